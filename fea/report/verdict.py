"""The verdict: what the comparison says, in a few plain sentences."""

from dataclasses import dataclass

import numpy as np

from fea.analysis.result import Comparison, Share, ShareKind, StackResult
from fea.report.member import Group, group_fractions, group_of, merged
from fea.report.number import percent, rounded, setting

EQUAL_BAND = 0.05
"""Stiffness within 5 % is called equal: the joints are not known any better."""
EVEN_BAND = 0.05
"""Shares closer than 5 points do not make one more to blame than the other."""

BLAME = {
    Group.TOOL: "Blame the tool before the post or the slides beneath",
    Group.POST: "Blame the post rather than the slides beneath",
    Group.SLIDES: "Blame the slides beneath rather than the post",
}
ADVICE = {
    Group.TOOL: "Let the tool stick out less, or use a thicker shank, before "
    "changing the post.",
    Group.POST: "Improve the holder, the post and how they are clamped before "
    "looking at the slides.",
    Group.SLIDES: "Adjust the gib and the ways before making the post heavier.",
}
IN_WORDS = {
    Group.TOOL: "the tool and its seat",
    Group.POST: "the holder and post",
    Group.SLIDES: "the slides and machine beneath",
}
KIND_IN_WORDS = {
    ShareKind.PART: "the {} itself",
    ShareKind.JOINT: "the joint “{}”",
    ShareKind.LINK: "the {}",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """Sentences to read first: how stiff, where it goes, what to blame."""

    stiffness: str
    origin: str
    blame: str

    @property
    def text(self) -> str:
        """All of it in one paragraph."""
        return f"{self.stiffness} {self.origin} {self.blame}"


def verdict(comparison: Comparison) -> Verdict:
    """Put a comparison into words."""
    return Verdict(
        stiffness=(
            f"{_stiffness(comparison)} {_deflection(comparison)} "
            f"{_hold(comparison.quick_change)}"
        ),
        origin=_origin(comparison.quick_change),
        blame=_blame(group_fractions(comparison.quick_change.shares)),
    )


def motion_along_force(stack: StackResult) -> float:
    """How far the tip moves along the cutting force at the deepest cut. [um]."""
    force = stack.curve.force_n[-1]
    return float(stack.curve.deflection_um[-1] @ force / np.linalg.norm(force))


def _stiffness(comparison: Comparison) -> str:
    ratio = comparison.stiffness_ratio
    if abs(ratio - 1.0) <= EQUAL_BAND:
        how = f"about as stiff as with the four-way block ({rounded(ratio)} times)"
    else:
        how = f"{rounded(ratio)} times as stiff as with the four-way block"
    low, high = (rounded(float(end)) for end in comparison.ratio_band)
    return (
        f"With this quick-change post the tool tip is {how}. The uncertain joints "
        f"allow {low} to {high} times."
    )


def _deflection(comparison: Comparison) -> str:
    new, old = comparison.quick_change, comparison.four_way
    depth = setting(float(new.curve.depth_mm[-1]))
    moves = [rounded(motion_along_force(stack)) for stack in (new, old)]
    errors = [
        _error_in_words(float(stack.curve.diameter_error_um[-1]))
        for stack in (new, old)
    ]
    return (
        f"At {depth} mm depth of cut it gives way {moves[0]} µm along the cutting "
        f"force, against {moves[1]} µm with the block, and the work comes out "
        f"{errors[0]} in diameter, against {errors[1]}."
    )


def _hold(stack: StackResult) -> str:
    """Say up to which depth the post's own joints hold, and how the stack is lost."""
    if stack.lost is not None:
        lost_at = setting(stack.lost_depth_mm or 0.0)
        return f"It does not hold a cut of {lost_at} mm: {stack.lost}."
    begins = [
        (depth, joint.name, how)
        for joint in stack.joints
        if group_of(joint.name) is not Group.SLIDES
        for depth, how in (
            (joint.slips_at_mm, "slip"),
            (joint.lifts_at_mm, "lift"),
        )
        if depth is not None
    ]
    if not begins:
        return "No joint of the tool, holder or post begins to slip or lift."
    depth, name, how = min(begins)
    return f"From {setting(depth)} mm the joint “{name}” begins to {how} at its edge."


def _error_in_words(error_um: float) -> str:
    way = "too large" if error_um >= 0.0 else "too small"
    return f"{rounded(abs(error_um))} µm {way}"


def _origin(stack: StackResult) -> str:
    largest: Share = max(merged(stack.shares), key=lambda share: share.fraction)
    amount = "Most" if largest.fraction > 0.5 else "The largest share"
    member = KIND_IN_WORDS[largest.kind].format(largest.name)
    return f"{amount} of that motion ({percent(largest.fraction)}) comes from {member}."


def _blame(fractions: dict[Group, float]) -> str:
    first, second, _ = sorted(fractions, key=lambda group: -fractions[group])
    parts = ", ".join(
        f"{IN_WORDS[group]} {percent(fractions[group])}" for group in Group
    )
    if fractions[first] - fractions[second] <= EVEN_BAND:
        pair = " and ".join(IN_WORDS[g] for g in Group if g in (first, second))
        return f"Blame {pair} about equally: {parts}."
    return f"{BLAME[first]}: {parts}. {ADVICE[first]}"

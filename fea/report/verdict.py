"""The verdict: what the comparison says, in a few plain sentences."""

from dataclasses import dataclass

from fea.analysis.member import Group, group_fractions, merged
from fea.analysis.result import Comparison, Share, ShareKind, StackResult
from fea.machining.fed import Fed
from fea.report.mesh_table import mesh_error_in_words
from fea.report.motion import (
    common_depth,
    deepest,
    motion_along_force,
    place,
    stiffness_ratio,
)
from fea.report.number import between, percent, rounded, setting
from fea.report.onset import Onset, beginnings
from fea.report.palette import title_of
from fea.report.size_error import error_um, error_words
from geometry.pad import FloatArray

EQUAL_BAND = 0.05
"""Stiffness within 5 % is called equal: the joints are not known any better."""
EVEN_BAND = 0.05
"""Shares closer than 5 points do not make one more to blame than the other."""

SAFE = 1.0
"""Least yield strength over stress without a word in the verdict."""
OFTEN_LOST = 0.05
"""Fraction of the samples that lose a joint from which the verdict tells of it: beyond
it the bands, which hold the other samples only, are no 5 to 95 % of all."""

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
LEAVES = {
    Fed.ALONG: "the work comes out {} in diameter",
    Fed.ACROSS: "the work comes out {}",
    Fed.IN: "what the tool leaves standing is {} in diameter until it has dwelt",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """Sentences to read first: how stiff, what fails, where it goes, what to blame.

    Parameters
    ----------
    stiffness : with its band, and the error of the meshes
    failure : what is lost or yields, empty if nothing
    joints : where those above the slides begin to slip or lift
    origin, blame : of the tip's motion
    """

    stiffness: str
    failure: str
    joints: str
    origin: str
    blame: str

    @property
    def text(self) -> str:
        """All of it in one paragraph."""
        said = (self.stiffness, self.failure, self.joints, self.origin, self.blame)
        return " ".join(sentence for sentence in said if sentence)


def verdict(comparison: Comparison) -> Verdict:
    """Put a comparison into words."""
    new, old = comparison.quick_change, comparison.four_way
    failures = [_lost(new), _lost(old), _often_lost(new), _yields(new), _yields(old)]
    return Verdict(
        stiffness=(
            f"{_stiffness(comparison)} {_deflection(comparison)} {_mesh(comparison)}"
        ),
        failure=" ".join(sentence for sentence in failures if sentence),
        joints=f"Above the slides {_joints(new)}; with the block {_joints(old)}.",
        origin=_origin(new),
        blame=_blame(group_fractions(new.shares)),
    )


def _stiffness(comparison: Comparison) -> str:
    ratio, band = stiffness_ratio(comparison), comparison.ratio_band
    ends = between(*band)
    if abs(ratio - 1.0) <= EQUAL_BAND:
        times = f"{rounded(ratio)} times, {ends}"
        how = f"about as stiff as with the four-way block ({times})"
    else:
        how = f"{rounded(ratio)} times as stiff ({ends}) as with the four-way block"
    return f"With this quick-change post the tool tip is {how}.{_unsure(ratio, band)}"


def _unsure(ratio: float, band: FloatArray) -> str:
    """Say what the band means, and whether it leaves open which stack is stiffer."""
    meaning = " The brackets hold 5 to 95 % of what joints, ground and clamping may be"
    if abs(ratio - 1.0) > EQUAL_BAND and band[0] < 1.0 < band[1]:
        return f"{meaning}: which of the two is stiffer is not sure."
    return f"{meaning}."


def _deflection(comparison: Comparison) -> str:
    depth = common_depth(comparison)
    stacks = (comparison.quick_change, comparison.four_way)
    moves = [rounded(motion_along_force(stack, depth)) for stack in stacks]
    errors = [
        error_words(stack, float(error_um(stack)[place(stack, depth)]))
        for stack in stacks
    ]
    fed = stacks[0].curve.fed
    return (
        f"At {setting(depth)} mm {fed.quantity} it gives way {moves[0]} µm along the "
        f"cutting force, against {moves[1]} µm with the block, and "
        f"{LEAVES[fed].format(errors[0])}, against {errors[1]}."
    )


def _mesh(comparison: Comparison) -> str:
    """Say how much of the motion the meshes leave out."""
    new, old = comparison.quick_change, comparison.four_way
    return (
        f"The mesh error of that motion is about {mesh_error_in_words(new)}, with the "
        f"block {mesh_error_in_words(old)}."
    )


def _lost(stack: StackResult) -> str:
    """Say beyond which depth a stack does not hold; empty if it holds all."""
    if stack.lost is None:
        return ""
    tried, of = stack.lost_depth_mm, stack.curve.fed.quantity
    there = "" if tried is None else f" (tried: {setting(tried)} mm)"
    return (
        f"The stack with the {title_of(stack)} does not hold beyond "
        f"{setting(deepest(stack))} mm {of}{there}: {stack.lost.rstrip('.')}."
    )


def _often_lost(stack: StackResult) -> str:
    if stack.bands.lost < OFTEN_LOST:
        return ""
    return (
        f"With {percent(stack.bands.lost)} of what joints, ground and clamping may be, "
        f"the {title_of(stack)} loses a joint before "
        f"{setting(deepest(stack))} mm; the bands leave those cases out."
    )


def _yields(stack: StackResult) -> str:
    """Name the least safe feature if it yields; mesh-limited values do not count."""
    peaks = [peak for peak in stack.stresses if not peak.mesh_limited]
    worst = min(peaks, key=lambda peak: peak.safety, default=None)
    if worst is None or worst.safety >= SAFE:
        return ""
    return (
        f"With the {title_of(stack)} the {worst.part} yields "
        f"({worst.feature}): {rounded(worst.von_mises_mpa)} MPa against a yield "
        f"strength of {rounded(worst.yield_mpa)} MPa."
    )


def _joints(stack: StackResult) -> str:
    """Say which joints above the slides slip and lift first, and from which depth."""
    begun = beginnings(stack)
    if not begun:
        depth = setting(deepest(stack))
        return f"no joint slips or lifts up to {depth} mm {stack.curve.fed.quantity}"
    said = []
    for onset in Onset:
        first = next((each for each in begun if each.onset is onset), None)
        said.append(
            f"none {onset}s"
            if first is None
            else f"“{first.joint}” begins to {onset} at {setting(first.depth_mm)} mm"
        )
    return " and ".join(said)


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

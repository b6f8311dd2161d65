"""What to mind at the lathe, and what in a case is worth a second look."""

from collections.abc import Iterator

from fea.case.fit import engagement, holder_bottom
from fea.case.schema import Case
from fea.case.tightening import (
    CLAMPING,
    case_drive,
    proof_share,
    tightenings_of,
    wedge_self_holding,
)
from fea.case.unit_registry import LENGTH
from fea.case.wording import Units, shown_quantity
from fea.case.work_caution import work_cautions
from fea.core.wedge import is_self_holding

ALWAYS = (
    "The numbers are a model's: joints and the machine below are known to a factor of "
    "two or three. The limits that the machine's maker gives come first.",
    "Guards in place and eye protection on whenever the spindle turns.",
    "Machine off and unplugged while a dial indicator, a weight or a hand is on it.",
    "First cuts light, with the clamping checked by hand before each; then deeper.",
)

# A shop rule allows one to one and a half times the shank's height, twice at a pinch.
MOST_OVERHANG_RATIO = 2.0

# Bolts are commonly pulled to three quarters of their proof load, not beyond.
MOST_OF_PROOF = 0.75

# A holder that is not wholly on the dovetail gives way at its free end; a screw beyond
# its whole proof load stays longer.
WHOLE = 1.0

# Every shim is one more joint; more than this is better replaced by one block.
MOST_SHIMS = 3

# Less room than this fills with chips. [mm]
CHIP_ROOM_MM = 2.0


def cautions(case: Case, units: Units = Units.MM) -> tuple[str, ...]:
    """Return what to mind with this case, then what to mind always."""
    return (
        *_overhang(case),
        *_screws(case),
        *_wedge(case),
        *_holder(case, units),
        *work_cautions(case, units),
        *ALWAYS,
    )


def _overhang(case: Case) -> Iterator[str]:
    ratio = case.tool.overhang / case.tool.shank_height
    if ratio > MOST_OVERHANG_RATIO:
        yield (
            f"The tool sticks out {ratio:.2g} times its shank's height; more than "
            f"{MOST_OVERHANG_RATIO:g} times is asking for chatter."
        )
    if case.block.shims.count > MOST_SHIMS:
        yield (
            f"{case.block.shims.count} shims under the tool: one thick one is stiffer, "
            "and the comparison fairer to the block."
        )


def _screws(case: Case) -> Iterator[str]:
    for tightening in tightenings_of(case):
        share = proof_share(case, tightening)
        if share <= MOST_OF_PROOF:
            continue
        how_much = (
            "which stretches it for good"
            if share > WHOLE
            else f"more than the usual {MOST_OF_PROOF:.0%}"
        )
        strength = case_drive(case, tightening).property_class
        yield (
            f"The {tightening.name} would bear {share:.0%} of the proof load of class "
            f"{strength}, {how_much}; check its "
            f"{tightening.force_name} and torque."
        )


def _wedge(case: Case) -> Iterator[str]:
    drive = case_drive(case, CLAMPING)
    taper, oil = drive.taper_deg, drive.lubrication
    if taper is not None and not is_self_holding(taper, oil.slippery.face):
        fails = "may not" if wedge_self_holding(case) else "does not"
        yield (
            f"A wedge of {taper:.3g} deg, {oil.key}, {fails} hold itself: only its "
            "screw keeps it in; check that screw as the cuts go on, or take a flatter "
            "wedge."
        )


def _holder(case: Case, units: Units) -> Iterator[str]:
    share = engagement(case) / case.holder.height
    if share < WHOLE:
        yield (
            f"Only {share:.0%} of the holder's height is on the post's dovetail; a "
            "higher post would carry all of it."
        )
    room = holder_bottom(case)
    if room < CHIP_ROOM_MM:
        yield (
            f"The holder hangs {shown_quantity(room, LENGTH, units)} over the slide: "
            "chips will lift it; brush them off at every change of tool."
        )

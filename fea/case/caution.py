"""What to mind at the lathe, and what in a case is worth a second look."""

from collections.abc import Iterator

from fea.case.derived import stud_stress
from fea.case.fit import engagement, holder_bottom
from fea.case.schema import Case
from fea.case.unit_registry import LENGTH, PRESSURE
from fea.case.wording import Units, shown_quantity
from fea.core.material import load_materials

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
MOST_STUD_UTILISATION = 0.75

# A holder that is not wholly on the dovetail gives way at its free end.
WHOLE = 1.0

# Every shim is one more joint; more than this is better replaced by one block.
MOST_SHIMS = 3

# Less room than this fills with chips. [mm]
CHIP_ROOM_MM = 2.0


def cautions(case: Case, units: Units = Units.MM) -> tuple[str, ...]:
    """Return what to mind with this case, then what to mind always."""
    return (*_overhang(case), *_stud(case, units), *_holder(case, units), *ALWAYS)


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


def _stud(case: Case, units: Units) -> Iterator[str]:
    material = load_materials()[case.machine.stud.material]
    stress, limit = stud_stress(case), MOST_STUD_UTILISATION * material.yield_mpa
    if stress > limit:
        yield (
            f"The stud is pulled to {shown_quantity(stress, PRESSURE, units)}, more "
            f"than {MOST_STUD_UTILISATION:.0%} of what {material.name} bears without "
            f"lasting stretch ({shown_quantity(limit, PRESSURE, units)}); check its "
            "preload."
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

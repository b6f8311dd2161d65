"""What in the workpiece, the speed and the kind of cut is worth a second look."""

from collections.abc import Iterator

from fea.case.default_speed import cutting_speed, usual_cutting_speed
from fea.case.schema import Case
from fea.case.unit_registry import CUTTING_SPEED, SPINDLE_SPEED
from fea.case.wording import Units, shown_quantity
from fea.case.work_section import CENTRE, PARTING, PLUNGING

# Diameters that a bar may stand out without a centre, and with one without a steady:
# common practice, no source.
MOST_WITHOUT_CENTRE = 4.0
MOST_WITHOUT_STEADY = 12.0

# A tube with less wall is squeezed out of round by the jaws; a share of the diameter.
# Common practice, no source.
THIN_WALL = 0.08

# A bar is parted off within a diameter of the chuck: common practice, no source.
MOST_TO_PARTING = 1.0

# Usual cutting speeds leave this much to a good tool and coolant.
FAST = 1.5


def work_cautions(case: Case, units: Units) -> Iterator[str]:
    """Yield what to mind about the work and its cut."""
    yield from _slender(case)
    yield from _tube(case)
    yield from _plunging(case)
    yield from _speed(case, units)


def slenderness(case: Case) -> float:
    """Return how many diameters the bar stands out of the chuck."""
    return case.work.stick_out / case.work.diameter


def _slender(case: Case) -> Iterator[str]:
    ratio = slenderness(case)
    if case.work.tailstock == CENTRE:
        if ratio > MOST_WITHOUT_STEADY:
            yield (
                f"The bar stands out {ratio:.3g} diameters between chuck and centre; "
                f"beyond {MOST_WITHOUT_STEADY:g} it wants a steady, which is not "
                "modelled."
            )
    elif ratio > MOST_WITHOUT_CENTRE:
        yield (
            f"The bar stands out {ratio:.3g} diameters with its end free; beyond "
            f"{MOST_WITHOUT_CENTRE:g} give it a centre (work.tailstock = "
            f'"{CENTRE}").'
        )


def _tube(case: Case) -> Iterator[str]:
    wall = (case.work.diameter - case.work.bore) / 2.0
    if wall < THIN_WALL * case.work.diameter:
        yield (
            f"The tube's wall is {wall / case.work.diameter:.1%} of its diameter: the "
            "jaws press it out of round, and it gives in ways that a beam does not "
            "show."
        )


def _plunging(case: Case) -> Iterator[str]:
    work, kind = case.work, case.cut.kind
    if kind in PLUNGING:
        yield (
            f"For {kind} the tool cuts all of its width, and that is what may chatter; "
            "cut.depths is left out."
        )
    if kind != PARTING:
        return
    if work.tailstock == CENTRE:
        yield (
            "Parting between chuck and centre: the piece cannot fall clear, tips and "
            "jams the tool; take the centre away, or leave a core and saw it."
        )
    if work.cut_at > MOST_TO_PARTING * work.diameter:
        yield (
            f"Parting {work.cut_at / work.diameter:.2g} diameters from the chuck; stay "
            "within one."
        )


def _speed(case: Case, units: Units) -> Iterator[str]:
    spindle, work = case.spindle, case.work
    shown = shown_quantity(spindle.speed, SPINDLE_SPEED)
    if spindle.speed not in spindle.speeds:
        yield (
            f"{shown} is none of spindle.speeds; that is right only where the drive "
            "is stepless."
        )
    fast = cutting_speed(spindle.speed, work.diameter)
    usual = usual_cutting_speed(work.material, case.tool.material)
    if fast > FAST * usual:
        yield (
            f"At {shown} the work passes the tool at "
            f"{shown_quantity(fast, CUTTING_SPEED, units)}; "
            f"{shown_quantity(usual, CUTTING_SPEED, units)} is usual for "
            f"{work.material} and this tool."
        )

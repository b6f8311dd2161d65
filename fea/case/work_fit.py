"""What must hold of the workpiece, of the speeds and of the kind of cut."""

from collections.abc import Iterator

from fea.case.problem import Problem
from fea.case.schema import Case
from fea.case.unit_registry import LENGTH, SPINDLE_SPEED
from fea.case.wording import collide, shown_quantity
from fea.case.work_section import PLUNGING

# A thinner wall is a foil, which no jaw holds; a share of the diameter.
LEAST_WALL = 0.01


def work_problems(case: Case) -> Iterator[Problem]:
    """Yield what keeps the work from being held and cut as the case says."""
    yield from _bar(case)
    yield from _speed(case)
    yield from _width(case)


def _problem(case: Case, keys: list[str], why: str) -> Problem:
    return Problem(keys=(*keys,), text=collide(case, keys, why))


def _bar(case: Case) -> Iterator[Problem]:
    work = case.work
    if work.diameter - work.bore < 2.0 * LEAST_WALL * work.diameter:
        why = (
            "no wall is left; make the bore "
            f"{shown_quantity((1.0 - 2.0 * LEAST_WALL) * work.diameter, LENGTH)} or "
            "smaller (0 mm is a solid bar)"
        )
        yield _problem(case, ["work.bore", "work.diameter"], why)
    if work.diameter / 2.0 > case.machine.centre_height:
        why = "it would foul the bed; twice centre_height is the most that swings"
        yield _problem(case, ["work.diameter", "machine.centre_height"], why)
    if work.cut_at > work.stick_out:
        why = (
            "the cut is beyond the free end; both are measured from the chuck's face, "
            "correct one of them"
        )
        yield _problem(case, ["work.cut_at", "work.stick_out"], why)


def _speed(case: Case) -> Iterator[Problem]:
    spindle = case.spindle
    slowest, fastest = spindle.speeds[0], spindle.speeds[-1]
    if not slowest <= spindle.speed <= fastest:
        why = (
            f"the lathe turns at {shown_quantity(slowest, SPINDLE_SPEED)} to "
            f"{shown_quantity(fastest, SPINDLE_SPEED)}; choose one of speeds, or "
            "correct the list"
        )
        yield _problem(case, ["spindle.speed", "spindle.speeds"], why)


def _width(case: Case) -> Iterator[Problem]:
    if case.cut.width is not None and case.cut.kind not in PLUNGING:
        why = (
            f"only {' and '.join(PLUNGING)} cut as wide as the tool; remove width, or "
            "correct kind"
        )
        yield _problem(case, ["cut.width", "cut.kind"], why)

"""What a case asks of its screws that no hand, or no screw, can do."""

from collections.abc import Iterator, Mapping

from fea.case.field_kind import Quantity
from fea.case.key_tree import kind_of
from fea.case.post_section import SOLID
from fea.case.problem import Problem, as_written
from fea.case.schema import Case
from fea.case.tightening import (
    CLAMPING,
    TIGHTENINGS,
    Look,
    Tightening,
    axial_force,
    breaks_at,
    drive_of,
    force_from_torque,
    look_in,
    tightenings_of,
)
from fea.case.unit_registry import FORCE
from fea.case.wording import collide, shown_quantity

Found = Iterator[Problem]


def torque_problems(given: Mapping[str, object], look: Look) -> list[Problem]:
    """Return which torques cannot be turned into a force.

    Parameters
    ----------
    given : dotted key to value, as the file says them and each readable
    look : value of any key, given or by default
    """
    found = []
    for tightening in TIGHTENINGS:
        if tightening.torque not in given:
            continue
        if tightening.force in given:
            found.append(_both(tightening, given))
        elif tightening is CLAMPING and look(CLAMPING.key("way")) == SOLID:
            found.append(_nothing_to_tighten(given))
        else:
            found += _out_of_reach(tightening, given, look)
    return found


def _said(key: str, given: Mapping[str, object]) -> str:
    return f"{key} = {as_written(given[key])}"


def _both(tightening: Tightening, given: Mapping[str, object]) -> Problem:
    keys = (tightening.force, tightening.torque)
    text = (
        f"{_said(keys[0], given)} and {_said(keys[1], given)} collide: the one follows "
        "from the other; give the torque or the force, not both"
    )
    return Problem(keys=keys, text=text)


def _nothing_to_tighten(given: Mapping[str, object]) -> Problem:
    keys = (CLAMPING.torque, CLAMPING.key("way"))
    text = (
        f"{_said(keys[0], given)} and {_said(keys[1], given)} collide: nothing is "
        f"tightened where way = '{SOLID}'; remove torque"
    )
    return Problem(keys=keys, text=text)


def _out_of_reach(
    tightening: Tightening, given: Mapping[str, object], look: Look
) -> Found:
    kind = kind_of(tightening.force)
    if not isinstance(kind, Quantity):
        raise TypeError(tightening.force)
    drive = drive_of(tightening, look)
    torque: float = look(tightening.torque)
    force = force_from_torque(drive, torque, drive.lubrication.friction)
    if not kind.low <= force <= kind.high:
        text = (
            f"{_said(tightening.torque, given)}: makes {tightening.force} "
            f"{shown_quantity(force, FORCE)}, which must be {kind.wanted}; correct the "
            "torque or its unit"
        )
        yield Problem(keys=(tightening.torque,), text=text)


def breaking_problems(case: Case) -> Found:
    """Return which screws would break."""
    look = look_in(case)
    for tightening in tightenings_of(case):
        axial, most = axial_force(case, tightening), breaks_at(case, tightening)
        if axial <= most:
            continue
        by_torque = look(tightening.torque) is not None
        cause = tightening.torque if by_torque else tightening.force
        keys = (cause, tightening.diameter, tightening.key("property_class"))
        why = (
            f"{shown_quantity(axial, FORCE)} along the screw break it, which bears "
            f"{shown_quantity(most, FORCE)}; tighten it less, or take a thicker or a "
            "stronger one"
        )
        yield Problem(keys=keys, text=collide(case, keys, why))

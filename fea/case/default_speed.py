"""The spindle speed that a case means where it names none."""

from collections.abc import Callable
from math import pi
from typing import Any, cast

from fea.case.default_rule import load_default_table
from fea.case.field_kind import read_quantity
from fea.case.key_tree import kind_of
from fea.case.unit_registry import CUTTING_SPEED, SPINDLE_SPEED
from geometry.units import MM_PER_M

SPEED = "spindle.speed"
HSS = "hss"
TABLE = "work_guidance"


def cutting_speed(spindle_speed: float, diameter: float) -> float:
    """Return how fast the surface of the bar runs. [m/min].

    Parameters
    ----------
    spindle_speed : [rev/min]
    diameter : of the bar [mm]
    """
    return spindle_speed * pi * diameter / MM_PER_M


def usual_cutting_speed(work_material: str, tool_material: str) -> float:
    """Return the cutting speed that a shop begins with. [m/min].

    A tool that is not of high-speed steel is taken to have a carbide edge: on a steel
    shank the tip is brazed or clamped.
    """
    rows = {row["work_material"]: row for row in load_default_table(TABLE)}
    column = HSS if tool_material == HSS else "carbide"
    return read_quantity(rows[work_material][column], CUTTING_SPEED)


def default_speed(look: Callable[[str], Any]) -> str:
    """Return the speed that comes next below the usual cutting speed, else the slowest.

    Parameters
    ----------
    look : value of any key, given or by default
    """
    usual = usual_cutting_speed(look("work.material"), look("tool.material"))
    diameter = look("work.diameter")
    listed = kind_of("spindle.speeds").read(look("spindle.speeds"))
    speeds = cast("tuple[float, ...]", listed)
    allowed = [each for each in speeds if cutting_speed(each, diameter) <= usual]
    return f"{max(allowed, default=min(speeds))!r} {SPINDLE_SPEED.unit}"

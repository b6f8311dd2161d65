"""A stack as it stood when something was measured on it, and where it was watched."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fea.analysis.build import build_planned, fineness, plan_stack
from fea.analysis.clamping_scatter import Scatter, clamping_scatter
from fea.analysis.set_blocks import sampled_model
from fea.case.schema import Case
from fea.core.contact_model import ContactModel
from fea.core.stack import Stack
from fea.core.surface_point import motion_rows, surface_point
from fea.measurement.record import Heading, Spot
from geometry.errors import InputError
from geometry.pad import FloatArray

TIP_FORCES = 3
OFF_SURFACE = 4.0
"""A spot may be this far off its part, as measured with a rule. [mm]"""

Watch = tuple[Spot, Heading]
"""A spot and the direction in which it is pushed or watched."""


@dataclass(frozen=True, kw_only=True)
class Bench:
    """A stack with all the spots at which it is pushed, watched, struck or heard.

    Parameters
    ----------
    case : with the tool's overhang of that day
    stack : assembled
    model : its joints as the samples take them; its forces are the tip's three, then
        one for each of `watches`
    scatter : of clamping forces, by joint or link
    watches : in the order of the model's forces
    rows : (w, n) their motion
    """

    case: Case
    stack: Stack
    model: ContactModel
    scatter: Mapping[str, Scatter]
    watches: tuple[Watch, ...]
    rows: FloatArray

    def force_number(self, watch: Watch) -> int:
        """Place of a spot's force among those of the model."""
        return TIP_FORCES + self.watches.index(watch)


def bench(
    case: Case, name: str, watches: Sequence[Watch], folder: Path, *, place: str = ""
) -> Bench:
    """Build a stack and find the spots on it.

    Parameters
    ----------
    case, name : as `build_stack`
    watches : spots and directions
    folder : cache of reduced parts
    place : where they were written down, for messages

    Raises
    ------
    InputError
        A spot's part is not in the stack, or the spot is not on it.
    """
    plan = plan_stack(case, name)
    stack = build_planned(plan, *fineness(case), folder)
    distinct = tuple(dict.fromkeys(watches))
    rows = np.array([_row(stack, name, each, place) for each in distinct])
    rows = rows.reshape(-1, stack.size)
    return Bench(
        case=case,
        stack=stack,
        model=sampled_model(stack, rows),
        scatter=clamping_scatter(case, plan),
        watches=distinct,
        rows=rows,
    )


def _row(stack: Stack, name: str, watch: Watch, place: str) -> FloatArray:
    spot, along = watch
    point = np.array([spot.x_mm, spot.y_mm, spot.z_mm])
    parts = {part.name: part for part in stack.parts}
    where = f"{place}: " if place else ""
    if spot.part not in parts:
        message = (
            f"{where}part = {spot.part!r}: the {name} stack has no such part (it has: "
            f"{', '.join(parts)}); name one of them"
        )
        raise InputError(message)
    away = surface_point(parts[spot.part], point).distance
    if away > OFF_SURFACE:
        message = (
            f"{where}spot at x {spot.x_mm:g}, y {spot.y_mm:g}, z {spot.z_mm:g} mm: is "
            f"{away:.0f} mm off the surface of the {spot.part} (at most "
            f"{OFF_SURFACE:g} mm is taken for a slip of the rule); measure from the "
            "tool's tip, x away from the work, y toward the tailstock, z up"
        )
        raise InputError(message)
    heading = np.array([along.x, along.y, along.z])
    return np.asarray(heading @ motion_rows(stack, spot.part, point))

"""A stack as it stood when something was measured on it, and where it was watched."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fea.analysis.build import plan_stack
from fea.analysis.clamping_scatter import Scatter, clamping_scatter
from fea.analysis.set_blocks import sampled_model
from fea.case.schema import Case
from fea.core.contact_model import ContactModel
from fea.core.stack import Stack
from fea.core.surface_point import motion_rows, surface_point
from fea.measurement.record import Heading, Source, Spot
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
    case: Case, stack: Stack, name: str, watches: Mapping[Watch, Source]
) -> Bench:
    """Find the spots on a stack.

    Parameters
    ----------
    case, name : of the stack, as `build_stack` takes them
    stack : built
    watches : spots and directions, and where each was written down

    Raises
    ------
    InputError
        A spot's part is not in the stack, or the spot is not on it.
    """
    rows = np.array(
        [_row(stack, name, each, source) for each, source in watches.items()]
    )
    rows = rows.reshape(-1, stack.size)
    return Bench(
        case=case,
        stack=stack,
        model=sampled_model(stack, rows),
        scatter=clamping_scatter(case, plan_stack(case, name)),
        watches=tuple(watches),
        rows=rows,
    )


def _row(stack: Stack, name: str, watch: Watch, source: Source) -> FloatArray:
    spot, along = watch
    point = np.array([spot.x_mm, spot.y_mm, spot.z_mm])
    parts = {part.name: part for part in stack.parts}
    if spot.part not in parts:
        message = (
            f"{source}: part = {spot.part!r}: the {name} stack has no such part (it "
            f"has: {', '.join(parts)}); name one of them"
        )
        raise InputError(message)
    away = surface_point(parts[spot.part], point).distance
    if away > OFF_SURFACE:
        message = (
            f"{source}: spot at radial {spot.x_mm:g}, axial {spot.y_mm:g}, vertical "
            f"{spot.z_mm:g} mm: is {away:.0f} mm off the surface of the {spot.part} "
            f"that the case describes (at most {OFF_SURFACE:g} mm is taken for a slip "
            "of the rule); measure from the nominal tool tip: radial away from the "
            "work, axial toward the tailstock, vertical up"
        )
        raise InputError(message)
    heading = np.array([along.x, along.y, along.z])
    return np.asarray(heading @ motion_rows(stack, spot.part, point))

"""What an assembled stack does under a force at the tip."""

from collections.abc import Mapping

import numpy as np

from fea.analysis.result import PartField, Share, ShareKind
from fea.core.stack import Stack
from geometry.pad import FloatArray
from geometry.units import KG_PER_TONNE


def tip_compliance(stack: Stack) -> FloatArray:
    """Motion of the tip under unit forces at the tip, machine frame. (3, 3) [mm/N].

    Rows are motion, columns are force: radial, axial, vertical.
    """
    return np.asarray(stack.tip_rows @ stack.respond(stack.tip_rows.T))


def motion_shares(stack: Stack, force: FloatArray) -> tuple[Share, ...]:
    """Share of every member in the tip's motion along a force. `force` (3,) [N].

    In a linear stack the motion along the force is twice the strain energy over the
    force (Clapeyron), so the members' shares of the energy add up to the whole.
    """
    state = stack.respond(stack.tip_rows.T @ force)
    energies = stack.energies(state, state)
    return shares_of(stack, energies)


def shares_of(stack: Stack, amounts: Mapping[str, float]) -> tuple[Share, ...]:
    """Share of every member in the sum of amounts by member, such as energies."""
    total = sum(amounts.values())
    kinds = (
        (ShareKind.PART, stack.parts),
        (ShareKind.JOINT, stack.joints),
        (ShareKind.LINK, stack.links),
    )
    return tuple(
        Share(kind=kind, name=member.name, fraction=amounts[member.name] / total)
        for kind, members in kinds
        for member in members
    )


def part_fields(stack: Stack, state: FloatArray) -> tuple[PartField, ...]:
    """Every part where it stands and how it moves. `state` (n,) of the stack [mm]."""
    return tuple(
        PartField(
            name=part.name,
            points=part.reduced.points + part.origin,
            tetrahedra=part.reduced.tetrahedra,
            displacement=stack.displacement(part.name, state),
            unknowns=part.reduced.unknowns,
            mass_kg=part.reduced.volume * part.material.density_t_mm3 * KG_PER_TONNE,
        )
        for part in stack.parts
    )

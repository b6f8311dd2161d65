"""A free part under given tractions on any mesh: what it stores, what that misses."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from fea.core.elasticity import quadratic_mesh
from fea.core.free_part import FreePart
from fea.core.mesh_error import missed_energy
from fea.core.pad_functions import PadFunctions, degree_of
from fea.core.plan import PartPlan
from fea.core.solid import Solid
from fea.core.stress import Loads
from geometry.mesh import PartMesh
from geometry.mesher import mesh_part
from geometry.pad import Pad


@dataclass(frozen=True, slots=True, kw_only=True)
class PartEnergy:
    """Twice the strain energy for modulus 1 MPa, and what the mesh says it misses."""

    unknowns: int
    energy: float
    missed: float


def part_energy(
    plan: PartPlan, loads: Loads, size: float, steps: int = 0
) -> PartEnergy:
    """Mesh a planned part and solve for balanced tractions on its pads."""
    pads = [*plan.own(plan.contacts), *plan.own(plan.patches)]
    mesh = mesh_part(plan.shape, pads, size, name=plan.name, steps=steps)
    return mesh_energy(mesh, pads, loads, plan.material.poissons_ratio)


def mesh_energy(
    mesh: PartMesh, pads: Sequence[Pad], loads: Loads, nu: float
) -> PartEnergy:
    """Solve a meshed part for balanced tractions, coefficients by pad."""
    quadratic = quadratic_mesh(mesh)
    by_name = {pad.name: pad for pad in pads}
    total = np.zeros(3 * (quadratic.nvertices + quadratic.nedges))
    for name, coefficients in loads.items():
        functions = PadFunctions(by_name[name], degree_of(len(coefficients) // 3))
        rows = functions.displacement_moments(quadratic, mesh.pads[name])
        total += sp.csr_matrix(rows).T @ coefficients
    moved = FreePart(Solid(quadratic, nu), loads=1).respond(total[:, None])
    energy = total[None] @ moved
    missed = missed_energy(quadratic, moved, energy, nu)
    return PartEnergy(unknowns=len(total), energy=energy.item(), missed=missed.item())

"""Stress in a part under the tractions on its pads, from displacement at all nodes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from skfem import MeshTet

from fea.core.elasticity import (
    CORNER_SLOPES,
    barycentric_gradients,
    element_nodes,
    lame,
    quadratic_mesh,
)
from fea.core.free_part import FreePart
from fea.core.pad_functions import PadFunctions, degree_of
from fea.core.solid import Solid
from geometry.errors import SolveError
from geometry.mesh import IntArray, PartMesh
from geometry.pad import FloatArray, Pad

# What acts on a part: pad name to (3 n_function,) coefficients of the traction on it,
# along the pad's axes. On a patch that is force over root of area [N/mm].
Loads = Mapping[str, FloatArray]

# Of a resultant, relative to all that it is the sum of. Equilibrium of a stack leaves
# less than 1e-7; a forgotten force leaves far more.
BALANCED = 1e-5


@dataclass(frozen=True, slots=True, kw_only=True)
class StressField:
    """Von Mises stress of a part at the points of its mesh.

    Parameters
    ----------
    points : (n_point, 3) [mm], part's frame
    tetrahedra : (n_tet, 4)
    von_mises : (n_point,) of the mean stress of the elements that meet there [MPa]
    spread : (n_point,) how far the von Mises stress of any of these elements is from
        it; what the mesh leaves uncertain [MPa]
    """

    points: FloatArray
    tetrahedra: IntArray
    von_mises: FloatArray
    spread: FloatArray


def recover_stresses(
    mesh: PartMesh,
    pads: Sequence[Pad],
    poissons_ratio: float,
    cases: Sequence[Loads],
    *,
    name: str,
) -> tuple[StressField, ...]:
    """Stress of a free part under balanced loads, one field for each load case.

    Parameters
    ----------
    mesh : with boundary triangles for every pad
    pads : in the mesh's frame
    poissons_ratio : the modulus does not matter, since forces are given
    cases : at least one; all share one factorisation
    name : of the part, for messages

    Raises
    ------
    SolveError
        The loads of a case are not balanced, or the stiffness is singular.
    """
    quadratic = quadratic_mesh(mesh)
    solid = Solid(quadratic, poissons_ratio)
    columns = [_load_vector(quadratic, mesh, pads, loads) for loads in cases]
    for column in columns:
        _require_balanced(solid.rigid, column, name)
    found = np.zeros((3 * solid.n_node, len(columns)))
    loaded = [column.any() for column in columns]
    if any(loaded):
        part = FreePart(solid, loads=int(np.sum(loaded)))
        found[:, loaded] = part.respond(np.column_stack(columns)[:, loaded])
    return tuple(
        stress_field(quadratic, displacement, 1.0, poissons_ratio)
        for displacement in found.T
    )


def stress_field(
    mesh: MeshTet, displacement: FloatArray, modulus: float, poissons_ratio: float
) -> StressField:
    """Stress of a displacement of all nodes, smoothed at the points.

    Parameters
    ----------
    mesh : straight-sided tetrahedra
    displacement : (3 n_node,) [mm], numbered as in `fea.core.elasticity`
    modulus, poissons_ratio : [MPa], [-]

    Notes
    -----
    The strain of a quadratic displacement is linear in an element, so its values at
    the four corners are all of it. A point takes the mean of its elements' stress,
    weighted with their volume.
    """
    tetrahedra = mesh.t.T.astype(np.int64)
    corner_stress, volumes = _corner_stress(
        mesh, displacement.reshape(-1, 3), modulus, poissons_ratio
    )
    n_point = mesh.nvertices
    weights = np.repeat(volumes, 4)
    at = tetrahedra.ravel()
    raw = corner_stress.reshape(-1, 9)
    total = np.bincount(at, weights, n_point)
    sums = [np.bincount(at, weights * part, n_point) for part in raw.T]
    mean = von_mises((np.array(sums) / total).T.reshape(-1, 3, 3))
    apart = np.abs(von_mises(corner_stress).ravel() - mean[at])
    spread = np.zeros(n_point)
    np.maximum.at(spread, at, apart)
    return StressField(
        points=mesh.p.T.copy(), tetrahedra=tetrahedra, von_mises=mean, spread=spread
    )


def von_mises(stress: FloatArray) -> FloatArray:
    """Root of 3/2 s : s with the deviator s. (..., 3, 3) to (...) [MPa]."""
    mean = np.trace(stress, axis1=-2, axis2=-1) / 3.0
    deviator = stress - mean[..., None, None] * np.eye(3)
    return np.asarray(np.sqrt(1.5 * (deviator**2).sum(axis=(-2, -1))))


def _load_vector(
    quadratic: MeshTet, mesh: PartMesh, pads: Sequence[Pad], loads: Loads
) -> FloatArray:
    """Nodal forces of the tractions. (n_dof,) [N]."""
    by_name = {pad.name: pad for pad in pads}
    n_node = quadratic.nvertices + quadratic.nedges
    total = np.zeros(3 * n_node)
    for name, coefficients in loads.items():
        functions = PadFunctions(by_name[name], degree_of(len(coefficients) // 3))
        rows = functions.displacement_moments(quadratic, mesh.pads[name])
        total += sp.csr_matrix(rows).T @ coefficients
    return total


def _require_balanced(rigid: FloatArray, load: FloatArray, name: str) -> None:
    resultant = rigid.T @ load
    summed = np.abs(rigid).T @ np.abs(load)
    if np.all(np.abs(resultant) <= BALANCED * summed):
        return
    force, moment = (np.linalg.norm(part) for part in np.split(resultant, 2))
    message = (
        f"{name}: what acts on it is not in balance, {force:.3g} N and "
        f"{moment / 1000.0:.3g} N m are left over: its stress cannot be found"
    )
    raise SolveError(message)


def _corner_stress(
    mesh: MeshTet, displacement: FloatArray, modulus: float, poissons_ratio: float
) -> tuple[FloatArray, FloatArray]:
    """Stress at every element's corners (n_tet, 4, 3, 3) [MPa]; volumes (n_tet,)."""
    three, volumes = barycentric_gradients(mesh)
    gradients = np.concatenate([-three.sum(axis=1, keepdims=True), three], axis=1)
    nodal = displacement[element_nodes(mesh)].reshape(len(volumes), 30)
    per_coordinate = (nodal @ CORNER_TABLE).reshape(len(volumes), 3, 4, 4)
    slope = np.einsum("ecvk,ekd->evcd", per_coordinate, gradients, optimize=True)
    strain = (slope + slope.swapaxes(-1, -2)) / 2.0
    lam, mu = lame(modulus, poissons_ratio)
    trace = np.trace(strain, axis1=-2, axis2=-1)
    stress = lam * trace[..., None, None] * np.eye(3) + 2.0 * mu * strain
    return stress, volumes


# From nodal displacement to derivatives by coordinate at the corners.
# (10 nodes x 3 components, 3 components x 4 corners x 4 coordinates)
CORNER_TABLE = np.einsum("nvk,cd->ncdvk", CORNER_SLOPES, np.eye(3)).reshape(30, 48)

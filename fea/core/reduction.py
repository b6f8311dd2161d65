"""Reduce a part once: pad responses, lowest modes, rigid motions; dense and small."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from scipy.linalg import eigh

from fea.core.elasticity import inertia, quadratic_mesh
from fea.core.free_part import FreePart
from fea.core.mesh_error import missed_energy
from fea.core.pad_functions import PadFunctions
from fea.core.solid import Solid
from fea.core.static_vectors import DEPENDENT, StaticVectors
from geometry.errors import SolveError
from geometry.mesh import IntArray, PartMesh
from geometry.pad import FloatArray, Pad

MODE_TOLERANCE = 1e-4  # relative change of the squared frequencies between passes
MODE_PASSES = 12
SPARE_MODES = 8  # carried along so that the wanted ones converge
PATCH_DEGREE = 1  # mean and tilt


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """How finely a part is reduced.

    Parameters
    ----------
    degree : of the polynomials on contact pads
    modes : number of free elastic modes kept
    drawn : whether the motion of the mesh's points is kept, which only pictures need
    estimated : whether what the mesh misses is estimated
    """

    degree: int = 5
    modes: int = 8
    drawn: bool = True
    estimated: bool = True

    @property
    def unseen(self) -> bool:
        """Whether no one asks how the mesh moves, but only what moves on the pads."""
        return not (self.modes or self.drawn or self.estimated)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReducedPart:
    """A part in its own small basis: elastic vectors, then six rigid motions.

    The elastic vectors are orthonormal in the stiffness for Young's modulus 1 MPa, so
    the reduced stiffness is modulus times identity; the rigid motions are orthonormal
    in the mass for density 1 t/mm³ and have none.

    Parameters
    ----------
    mass : (n_elastic, n_elastic), elastic vectors, for density 1 t/mm³
    missed : (n_static, n_static) twice the energy that the mesh misses, for modulus
        1 MPa; of the first elastic vectors, which alone answer a load at rest; of none
        if it is not estimated
    pads : name to (3 n_function, n_elastic + 6): displacement's coefficients on the pad
    points : (n_point, 3) [mm], part's frame
    tetrahedra : (n_tet, 4)
    shapes : (n_point, 3, n_elastic + 6): displacement at the points, single precision;
        of no points if it is not to be drawn
    volume : [mm³]
    unknowns : displacement unknowns of the quadratic mesh
    """

    mass: FloatArray
    missed: FloatArray
    pads: dict[str, FloatArray]
    points: FloatArray
    tetrahedra: IntArray
    shapes: np.ndarray
    volume: float
    unknowns: int

    @property
    def n_elastic(self) -> int:
        """Number of elastic vectors."""
        return len(self.mass)

    @property
    def size(self) -> int:
        """Number of reduced unknowns."""
        return len(self.mass) + 6


def reduce_part(
    mesh: PartMesh,
    contacts: Sequence[Pad],
    patches: Sequence[Pad],
    poissons_ratio: float,
    settings: Settings,
) -> ReducedPart:
    """Reduce a meshed part to its pads, modes and rigid motions.

    Parameters
    ----------
    mesh : with boundary triangles for every pad
    contacts : pads that carry polynomials of `settings.degree`
    patches : pads of which only mean and tilt count (tip, ends of links and struts)
    poissons_ratio : the only material property that the basis depends on
    settings : degree and number of modes

    Raises
    ------
    SolveError
        The mesh gives a singular or badly conditioned stiffness.
    """
    quadratic = quadratic_mesh(mesh)
    rows = {
        pad.name: PadFunctions(pad, degree).displacement_moments(
            quadratic, mesh.pads[pad.name]
        )
        for pads, degree in ((contacts, settings.degree), (patches, PATCH_DEGREE))
        for pad in pads
    }
    loads = sp.vstack(list(rows.values())).tocsr()
    count = loads.shape[0] + MODE_PASSES * settings.modes
    part = FreePart(Solid(quadratic, poissons_ratio), count, np.float32)
    statics = StaticVectors(part, loads)
    basis = _written(statics, loads.shape[1], settings)
    missed = np.empty((0, 0))
    if settings.estimated:
        own = np.eye(statics.count)
        missed = missed_energy(quadratic, basis.filled, own, poissons_ratio)
    mass = _add_modes(part, basis, statics.mass, settings.modes)
    return ReducedPart(
        mass=mass,
        missed=missed,
        pads=_pad_moments(rows, statics, basis, part.rigid),
        points=mesh.points,
        tetrahedra=mesh.tetrahedra,
        shapes=_shapes(basis.filled, part.rigid, len(mesh.points))
        if settings.drawn
        else np.empty((0, 3, len(mass) + 6), np.float32),
        volume=mesh.volume,
        unknowns=loads.shape[1],
    )


class _Columns:
    """Columns filled from the left; memory that is not filled is not touched."""

    def __init__(self, length: int, room: int) -> None:
        self._store = np.empty((length, room), order="F")
        self._count = 0

    @property
    def filled(self) -> FloatArray:
        """Those that hold something. (length, count)."""
        return self._store[:, : self._count]

    def take(self, count: int) -> FloatArray:
        """Return the next columns, to be written to. (length, count)."""
        first, self._count = self._count, self._count + count
        return self._store[:, first : self._count]


def _shapes(elastic: FloatArray, rigid: FloatArray, count: int) -> np.ndarray:
    """Displacement of the first points, in single precision. (count, 3, n)."""
    shown = np.hstack([elastic[: 3 * count], rigid[: 3 * count]]).astype(np.float32)
    return shown.reshape(-1, 3, shown.shape[1])


def _pad_moments(
    rows: dict[str, sp.csr_matrix],
    statics: StaticVectors,
    basis: _Columns,
    rigid: FloatArray,
) -> dict[str, FloatArray]:
    """Moments on every pad: of static vectors, what follows them, rigid motions."""
    added = basis.filled[:, statics.count :]
    ends = np.cumsum([row.shape[0] for row in rows.values()])
    static = np.split(statics.moments, ends[:-1])
    return {
        name: np.hstack([own, _moments(row, added), row @ rigid])
        for (name, row), own in zip(rows.items(), static, strict=True)
    }


def _moments(row: sp.csr_matrix, vectors: FloatArray) -> FloatArray:
    """Moments of vectors on a pad, whose nodes are few."""
    nodes = np.unique(row.indices)
    return np.asarray(row[:, nodes] @ vectors[nodes])


def _written(statics: StaticVectors, length: int, settings: Settings) -> _Columns:
    """Write the static vectors, with room behind them for what `_add_modes` adds.

    Nothing is written if no one will read it. (length, n).
    """
    if settings.unseen:
        return _Columns(length, 0)
    block = settings.modes + SPARE_MODES
    room = max(statics.count, block) + MODE_PASSES * block
    basis = _Columns(length, room if settings.modes else statics.count)
    statics.write(basis.take(statics.count))
    return basis


def _add_modes(
    part: FreePart, basis: _Columns, mass: FloatArray, count: int
) -> FloatArray:
    """Add to static vectors what the lowest modes need; return the mass matrix of all.

    Block inverse iteration from the Ritz vectors of the static ones; every pass is one
    solve for a block of loads and adds that block to the basis, as a block Krylov
    method does. (n, n) to (m, m).
    """
    if count == 0:
        return mass
    block = count + SPARE_MODES
    missing = block - len(mass)
    if missing > 0:
        shape = (len(basis.filled), missing)
        loads = np.random.default_rng(0).standard_normal(shape)
        mass = _joined(part, basis, mass, inertia(part.mass, loads))
    before = np.full(count, np.inf)
    for _ in range(MODE_PASSES):
        # Stiffness is the identity here, so the eigenvalues are 1 / omega².
        least = max(len(mass) - block, 0)
        values, mix = eigh(mass, subset_by_index=(least, len(mass) - 1))
        lowest = values[::-1][:count]
        if np.all(np.abs(lowest - before[: len(lowest)]) <= MODE_TOLERANCE * lowest):
            return mass
        before = lowest
        mass = _joined(part, basis, mass, inertia(part.mass, basis.filled @ mix))
    message = (
        f"the {count} lowest modes of a part did not settle in {MODE_PASSES} passes"
    )
    raise SolveError(message)


def _joined(
    part: FreePart, basis: _Columns, mass: FloatArray, loads: FloatArray
) -> FloatArray:
    """Add responses to loads to the basis; return the mass matrix of all. (n, n)."""
    added = _beyond(part, basis.filled, loads)
    momentum = inertia(part.mass, added)
    shared = basis.filled.T @ momentum
    basis.take(added.shape[1])[:] = added
    return np.block([[mass, shared], [shared.T, added.T @ momentum]])


def _beyond(part: FreePart, basis: FloatArray, loads: FloatArray) -> FloatArray:
    """Return what responses hold beyond the basis, orthonormal in the stiffness.

    What balances the loads does no work on the basis, which is free of rigid motions;
    so its share in the responses is known before the stiffness is asked.
    """
    vectors = part.respond(loads)
    vectors -= basis @ (basis.T @ loads)
    # Once more, because responses are right to single precision only.
    forces = part.times(vectors)
    vectors -= basis @ (basis.T @ forces)
    values, turned = np.linalg.eigh(vectors.T @ forces)
    kept = values > DEPENDENT * values[-1]
    return np.asarray(vectors @ (turned[:, kept] / np.sqrt(values[kept])))

"""A stack: reduced parts, the joints and links between them, one small matrix."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np
from scipy.linalg import (
    block_diag,
    cho_factor,
    cho_solve,
    cholesky,
    solve_triangular,
)
from scipy.sparse.linalg import LinearOperator, eigsh

from fea.core.joint import FootLaw, Joint, Link, PadRef
from fea.core.material import Material
from fea.core.pad_functions import function_count
from fea.core.reduction import ReducedPart
from fea.core.strut import TILT_ROWS, end_of_strut
from geometry.errors import SolveError
from geometry.pad import FloatArray, Pad

FLOATING = 1e-9  # of the largest rigid stiffness; below it nothing holds the motion
FITTING = 1e-6  # mm; pads of a joint are the same rectangle to round-off


@dataclass(frozen=True, kw_only=True)
class Part:
    """A reduced part at its place in the machine.

    Parameters
    ----------
    name : unique in the stack
    reduced : its reduction
    material : scales stiffness and mass
    origin : (3,) [mm] of the part's frame in the machine frame
    pads : the pads it was reduced for, in the machine frame
    """

    name: str
    reduced: ReducedPart
    material: Material
    origin: FloatArray
    pads: Mapping[str, Pad]


class Stack:
    """Parts, joints and links, assembled; everything here is dense and small.

    Parameters
    ----------
    parts, joints, links : the members; names are unique across all of them
    tip : the patch that carries the cutting force

    Raises
    ------
    SolveError
        Pads of a joint do not lie on each other, or a part can still move.
    """

    def __init__(
        self,
        parts: Sequence[Part],
        joints: Sequence[Joint],
        links: Sequence[Link],
        tip: PadRef,
    ) -> None:
        self.parts = tuple(parts)
        self.joints = tuple(joints)
        self.links = tuple(links)
        self._by_name = {part.name: part for part in parts}
        ends = np.cumsum([part.reduced.size for part in parts])
        self.slices = {
            part.name: slice(end - part.reduced.size, end)
            for part, end in zip(parts, ends, strict=True)
        }
        self.size = int(ends[-1])
        _require_fit(self.joints, self._by_name)
        self.jumps = {joint.name: self._jump(joint) for joint in joints}
        self.stretches = {link.name: self._stretch(link) for link in links}
        self.tip_rows = self.mean_displacement(tip)
        _require_held(self)

    @cached_property
    def stiffness(self) -> FloatArray:
        """Reduced stiffness about the expected clamping. (n, n) [N/mm]."""
        matrices = {
            joint.name: np.diag(
                joint.law.coefficient_stiffness(len(self.jumps[joint.name]) // 3)
            )
            for joint in self.joints
        }
        return self.stiffness_with(matrices)

    def stiffness_with(self, matrices: Mapping[str, FloatArray]) -> FloatArray:
        """Reduced stiffness for given tangents of the joints. (n, n) [N/mm].

        `matrices` by joint, for its first coefficients, (3 k, 3 k) [N/mm³].
        """
        total = np.diag(np.concatenate([_part_stiffness(part) for part in self.parts]))
        for name, matrix in matrices.items():
            _add(total, self.jumps[name][: len(matrix)], matrix)
        for link in self.links:
            stretch = self.stretches[link.name][None]
            _add(total, stretch, np.array([[link.stiffness]]))
        return total

    @cached_property
    def mass(self) -> FloatArray:
        """Reduced mass of the parts and of what stands on the ground. (n, n) [t]."""
        total = np.asarray(block_diag(*(_part_mass(part) for part in self.parts)))
        for joint in self.joints:
            if isinstance(joint.law, FootLaw):
                # What stands there is stiff: it goes along with shifts and tilts.
                rows = self.jumps[joint.name][: 3 * function_count(1)]
                _add(total, rows, np.diag(joint.law.coefficient_mass(len(rows) // 3)))
        return total

    def pad(self, where: PadRef) -> Pad:
        """Return a pad of a part, in the machine frame."""
        return self._by_name[where.part].pads[where.pad]

    def mean_displacement(self, where: PadRef) -> FloatArray:
        """Rows that give a pad's mean displacement, in the machine frame. (3, n)."""
        part = self._by_name[where.part]
        pad = self.pad(where)
        rows = np.zeros((3, self.size))
        # The first function of a pad is the constant 1 / sqrt(area).
        local = part.reduced.pads[where.pad][:3] / np.sqrt(pad.area)
        rows[:, self.slices[where.part]] = pad.axes.T @ local
        return rows

    def respond(self, loads: FloatArray) -> FloatArray:
        """Reduced displacement under reduced loads. (n, n_load) [mm]."""
        return np.asarray(cho_solve(self._factor, loads))

    def energies(self, left: FloatArray, right: FloatArray) -> dict[str, float]:
        """Mutual strain energy of two states by member; twice the energy if equal.

        (n,) and (n,) [mm] to member name and [N mm].
        """
        found = {}
        for part in self.parts:
            own = self.slices[part.name]
            found[part.name] = float(left[own] @ (_part_stiffness(part) * right[own]))
        for joint in self.joints:
            rows = self.jumps[joint.name]
            k = joint.law.coefficient_stiffness(len(rows) // 3)
            found[joint.name] = float((rows @ left) @ (k * (rows @ right)))
        for link in self.links:
            row = self.stretches[link.name]
            found[link.name] = float(link.stiffness * (row @ left) * (row @ right))
        return found

    def modes(self, count: int) -> tuple[FloatArray, FloatArray]:
        """Natural modes about the expected clamping; see `natural_modes`."""
        return natural_modes(self.stiffness, self.mass, count)

    def displacement(self, part: str, state: FloatArray) -> FloatArray:
        """Displacement of a part's points. (n,) to (n_point, 3) [mm]."""
        shapes = self._by_name[part].reduced.shapes
        return np.asarray(shapes @ state[self.slices[part]])

    @cached_property
    def _factor(self) -> tuple[FloatArray, bool]:
        return cho_factor(self.stiffness, lower=True)

    def _rows(self, where: PadRef) -> FloatArray:
        local = self._by_name[where.part].reduced.pads[where.pad]
        rows = np.zeros((len(local), self.size))
        rows[:, self.slices[where.part]] = local
        return rows

    def _jump(self, joint: Joint) -> FloatArray:
        """Upper less lower displacement coefficients of a joint's pad. (3 k, n)."""
        rows = self._rows(joint.upper)
        if joint.lower is None:
            return rows
        below = self._rows(joint.lower)
        if joint.strut:
            end = end_of_strut(self.pad(joint.lower), self.pad(joint.upper))
            return np.asarray(end @ rows[:TILT_ROWS] - below[: len(end)])
        return rows - below

    def _stretch(self, link: Link) -> FloatArray:
        """Lengthening of a link. (n,)."""
        part = self._by_name[link.upper.part]
        axis = np.asarray(part.pads[link.upper.pad].normal)
        ends = [self.mean_displacement(end) for end in (link.lower, link.upper)]
        return np.asarray(axis @ (ends[1] - ends[0]))


def natural_modes(
    stiffness: FloatArray, mass: FloatArray, count: int
) -> tuple[FloatArray, FloatArray]:
    """Lowest natural frequencies (n_mode,) [Hz]; modes of unit mass (n, n_mode).

    With the Cholesky factor K = L L', the largest eigenvalues of L^-1 M L^-T are
    1 / omega² of the lowest modes, which Lanczos' method finds first.
    `stiffness` (n, n) [N/mm], `mass` (n, n) [t].
    """
    lower = cholesky(stiffness, lower=True)
    # Finite, since it could be factored: looking again each time takes as long again.
    solve = partial(solve_triangular, lower, lower=True, check_finite=False)

    def inertia(vector: FloatArray) -> FloatArray:
        moved = solve(vector, trans="T")
        return np.asarray(solve(mass @ moved))

    operator = LinearOperator(mass.shape, matvec=inertia, dtype=float)
    start = np.random.default_rng(0).standard_normal(len(mass))
    values, vectors = eigsh(operator, count, which="LA", v0=start)
    omega = 1.0 / np.sqrt(values[::-1])
    modes = solve(vectors[:, ::-1], trans="T")
    return omega / (2.0 * np.pi), modes * omega


def _add(total: FloatArray, rows: FloatArray, matrix: FloatArray) -> None:
    """Add rows' matrix rows to a stiffness, only where the rows are not zero."""
    own = np.flatnonzero(rows.any(axis=0))  # two of the parts at most
    near = rows[:, own]
    total[np.ix_(own, own)] += near.T @ (matrix @ near)


def _part_stiffness(part: Part) -> FloatArray:
    """Diagonal of a part's reduced stiffness. (n,) [N/mm]."""
    held = np.full(part.reduced.size, part.material.youngs_modulus_mpa)
    held[part.reduced.n_elastic :] = 0.0
    return held


def _part_mass(part: Part) -> FloatArray:
    mass = block_diag(part.reduced.mass, np.eye(6))
    return np.asarray(part.material.density_t_mm3 * mass)


def _require_fit(joints: Sequence[Joint], parts: Mapping[str, Part]) -> None:
    for joint in joints:
        if joint.lower is None:
            continue
        lower = parts[joint.lower.part].pads[joint.lower.pad]
        upper = parts[joint.upper.part].pads[joint.upper.pad]
        between = upper.corners() - lower.corners()
        if joint.strut:
            normal = np.asarray(upper.normal)
            between -= np.outer(between @ normal, normal)
        apart = np.abs(between).max()
        if apart > FITTING or lower.window != upper.window:
            message = f"joint {joint.name}: its two pads lie {apart:.3g} mm apart"
            raise SolveError(message)


def _require_held(stack: Stack) -> None:
    """Refuse a stack in which a part can still move as a rigid body.

    A small residual proves nothing here: a floating part under balanced loads solves
    with a plausible answer. So the elastic unknowns are condensed out and the
    stiffness left to the rigid motions must have full rank.
    """
    rigid = np.concatenate(
        [np.arange(own.stop - 6, own.stop) for own in stack.slices.values()]
    )
    elastic = np.setdiff1d(np.arange(stack.size), rigid)
    k = stack.stiffness
    bent = cho_factor(k[np.ix_(elastic, elastic)], lower=True)
    coupling = k[np.ix_(elastic, rigid)]
    condensed = k[np.ix_(rigid, rigid)] - coupling.T @ cho_solve(bent, coupling)
    values, motions = np.linalg.eigh(condensed)
    if values[0] < FLOATING * values[-1]:
        amount = np.linalg.norm(motions[:, 0].reshape(-1, 6), axis=1)
        loosest = stack.parts[int(np.argmax(amount))].name
        message = (
            f"nothing holds {loosest}: it can still move as a rigid body; "
            "give it a joint or a link with stiffness in every direction"
        )
        raise SolveError(message)

"""A stack: reduced parts, the joints and links between them, one small matrix."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np
from scipy.linalg import block_diag, cho_factor, cho_solve, cholesky, solve_triangular
from scipy.sparse.linalg import LinearOperator, eigsh

from fea.core.joint import FootLaw, Joint, Link, PadRef
from fea.core.material import Material
from fea.core.pad_functions import function_count
from fea.core.reduction import ReducedPart
from fea.core.strut import TILT_ROWS, end_of_strut
from geometry.errors import SolveError
from geometry.mesh import IntArray
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
            self._add(total, self.jumps[name][: len(matrix)], matrix)
        for link in self.links:
            stretch = self.stretches[link.name][None]
            self._add(total, stretch, np.array([[link.stiffness]]))
        return total

    @cached_property
    def mass(self) -> FloatArray:
        """Reduced mass of the parts and of what stands on the ground. (n, n) [t]."""
        total = np.asarray(block_diag(*(_part_mass(part) for part in self.parts)))
        for joint in self.joints:
            if isinstance(joint.law, FootLaw):
                # What stands there is stiff: it goes along with shifts and tilts.
                rows = self.jumps[joint.name][: 3 * function_count(1)]
                mass = np.diag(joint.law.coefficient_mass(len(rows) // 3))
                self._add(total, rows, mass)
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
        return np.asarray(cho_solve((self._factor, True), loads))

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
        return natural_modes(self._factor, self.mass, count)

    def displacement(self, part: str, state: FloatArray) -> FloatArray:
        """Displacement of a part's points. (n,) to (n_point, 3) [mm]."""
        shapes = self._by_name[part].reduced.shapes
        return np.asarray(shapes @ state[self.slices[part]])

    @cached_property
    def _factor(self) -> FloatArray:
        return factored(self.stiffness)

    def _add(self, total: FloatArray, rows: FloatArray, matrix: FloatArray) -> None:
        """Add rows' matrix rows, only between the parts that the rows touch."""
        near = [own for own in self.slices.values() if rows[:, own].any()]
        for at in near:
            pulled = rows[:, at].T @ matrix
            for of in near:
                total[at, of] += pulled @ rows[:, of]

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


def split(stack: Stack) -> tuple[IntArray, IntArray, FloatArray]:
    """Elastic unknowns, rigid ones, and the flexibility of the elastic. [mm/N]."""
    elastic, rigid, give = [], [], []
    for part in stack.parts:
        own = stack.slices[part.name]
        elastic.append(np.arange(own.start, own.stop - 6))
        rigid.append(np.arange(own.stop - 6, own.stop))
        n = part.reduced.n_elastic
        give.append(np.full(n, 1.0 / part.material.youngs_modulus_mpa))
    return np.concatenate(elastic), np.concatenate(rigid), np.concatenate(give)


def factored(stiffness: FloatArray) -> FloatArray:
    """Cholesky factor L of a stiffness K = L L', below its diagonal. (n, n)."""
    return np.asarray(cholesky(stiffness, lower=True))


def natural_modes(
    factor: FloatArray, mass: FloatArray, count: int
) -> tuple[FloatArray, FloatArray]:
    """Lowest natural frequencies (n_mode,) [Hz]; modes of unit mass (n, n_mode).

    With the factor K = L L', the largest eigenvalues of L^-1 M L^-T are 1 / omega² of
    the lowest modes, which Lanczos' method finds first.
    `factor` (n, n) of the stiffness [N/mm], see `factored`; `mass` (n, n) [t].
    """
    # Finite, since it could be factored: looking again each time takes as long again.
    solve = partial(solve_triangular, factor, lower=True, check_finite=False)

    def inertia(vector: FloatArray) -> FloatArray:
        moved = solve(vector, trans="T")
        return np.asarray(solve(mass @ moved))

    operator = LinearOperator(mass.shape, matvec=inertia, dtype=float)
    start = np.random.default_rng(0).standard_normal(len(mass))
    values, vectors = eigsh(operator, count, which="LA", v0=start)
    omega = 1.0 / np.sqrt(values[::-1])
    modes = solve(vectors[:, ::-1], trans="T")
    return omega / (2.0 * np.pi), modes * omega


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
    with a plausible answer. So the elastic unknowns are condensed out and the stiffness
    left to the rigid motions G, G' k (I + A k)^-1 G with the joints' stiffness k and
    the parts' flexibility A as the joints feel it, must have full rank.
    """
    elastic, rigid, give = split(stack)
    springs = [
        joint.law.coefficient_stiffness(len(stack.jumps[joint.name]) // 3)
        for joint in stack.joints
    ]
    springs += [np.array([link.stiffness]) for link in stack.links]
    rows = np.vstack([*stack.jumps.values(), *stack.stretches.values()])
    rows *= np.sqrt(np.concatenate(springs))[:, None]
    bent, moved = rows[:, elastic], rows[:, rigid]
    both = np.eye(len(rows)) + (bent * give) @ bent.T
    condensed = moved.T @ cho_solve(cho_factor(both, lower=True), moved)
    values, motions = np.linalg.eigh(condensed)
    if values[0] < FLOATING * values[-1]:
        amount = np.linalg.norm(motions[:, 0].reshape(-1, 6), axis=1)
        loosest = stack.parts[int(np.argmax(amount))].name
        message = (
            f"nothing holds {loosest}: it can still move as a rigid body; "
            "give it a joint or a link with stiffness in every direction"
        )
        raise SolveError(message)

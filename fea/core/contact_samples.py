"""Many equilibria at once: the same stack with many sets of joint constants.

The same law and balance as in `fea.core.equilibrium`, for all sets together.
"""

from collections.abc import Mapping
from copy import copy
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from fea.core.contact_law import (
    ContactLaw,
    ContactPoints,
    Traction,
    remembered,
    traction,
)
from fea.core.contact_model import ContactModel
from fea.core.contact_sets import (
    CONSTANTS,
    SampledState,
    clamping_forces,
    flat_law,
    fresh_points,
    linear_jacobian,
    point_functions,
    points_of,
)
from geometry.mesh import IntArray
from geometry.pad import FloatArray

TOLERANCE = 1e-6  # bands need no more
ITERATIONS = 25
HALVINGS = 4
TINY = 1e-300


class SampledStack:
    """A contact model with s sets of constants.

    Parameters
    ----------
    model : with a low degree; its constants are the nominal ones
    laws : joint name to its law with (s,) arrays as constants
    ground : (s,) factor on all spring joints
    clamping : (s,) factor on the force that drives a joint or tightens a link, by
        name; 1 for those that are not there
    """

    def __init__(
        self,
        model: ContactModel,
        laws: Mapping[str, ContactLaw],
        ground: FloatArray,
        clamping: Mapping[str, FloatArray],
    ) -> None:
        self.model = model
        n = model.interface
        self._count = len(ground)
        self._m, self._r = n.size, n.rigid.shape[1]
        sizes = [len(joint.weights) for joint in model.contacts]
        self._weights = np.concatenate([joint.weights for joint in model.contacts])
        self._functions, self._advances = point_functions(model)
        self._law = flat_law(model, laws, self._count, sizes)
        self._ground = ground
        self._fresh = fresh_points(model, self._law, clamping, self._count, sizes)
        self._drives, self._preloads = clamping_forces(model, clamping, self._count)
        self._base = linear_jacobian(model)

    def clamp(self, start: FloatArray) -> SampledState:
        """Clamped states, from the nominal one's unknowns (m + r + w,)."""
        unknowns = np.tile(start, (self._count, 1))
        rest = np.zeros((self._count, self.model.interface.forces))
        found = self._solve(unknowns, self._fresh, None, rest)
        return replace(
            self._settled(found), stretches0=found.unknowns[:, : self._m].copy()
        )

    def load(self, state: SampledState, force: FloatArray) -> SampledState:
        """Equilibria under forces (f,) or (s, f) [N], from settled ones."""
        forces = np.broadcast_to(force, (self._count, self.model.interface.forces))
        return self._settled(
            self._solve(
                state.unknowns, state.points, state.stretches0, forces, state.held
            )
        )

    def tip_motion(self, state: SampledState, force: FloatArray) -> FloatArray:
        """Motion along every force; `force` (f,) or (s, f) [N]. (s, f) [mm]."""
        n = self.model.interface
        rigid = state.unknowns[:, self._m : self._m + self._r]
        return np.asarray(
            force @ n.tip_own.T - state.tractions @ n.tip + rigid @ n.tip_rigid.T
        )

    def tip_compliance(self, state: SampledState) -> FloatArray:
        """Motion under small forces about settled states. (s, f, f) [mm/N].

        All that touches sticks, as in `fea.core.equilibrium.tangent_compliance`. NaN
        for sets that are not in equilibrium.
        """
        n = self.model.interface
        pull = n.inverse @ n.tip
        rest = np.zeros((self._count, n.forces))
        about = (state.unknowns, state.points, state.stretches0, rest)
        jacobian = self._evaluate(*about)[1][state.held]
        loads = np.zeros((jacobian.shape[1], n.forces))
        loads[: self._m] = pull
        loads[self._m : self._m + self._r] = n.tip_rigid.T - n.rigid.T @ pull
        moved = np.linalg.solve(jacobian, loads)
        change = moved[:, : self._m]
        rigid = moved[:, self._m : self._m + self._r]
        tractions = n.inverse @ (n.tip + n.rigid @ rigid - change)
        found = np.full((self._count, n.forces, n.forces), np.nan)
        found[state.held] = n.tip_own - n.tip.T @ tractions + n.tip_rigid @ rigid
        return found

    def _traction(
        self, unknowns: FloatArray, points: ContactPoints
    ) -> tuple[FloatArray, Traction]:
        jump = np.tensordot(unknowns[:, : self._m], self._functions, 1)
        advance = unknowns[:, self._m + self._r :] @ self._advances.T
        flat = jump.reshape(-1, 3)
        return flat, traction(self._law, points, flat, advance.ravel())

    def _settled(self, found: SampledState) -> SampledState:
        """Accept equilibria, as `fea.core.equilibrium.settle`."""
        jump, at = self._traction(found.unknowns, found.points)
        return replace(found, points=remembered(self._law, found.points, jump, at))

    def _solve(
        self,
        unknowns: FloatArray,
        points: ContactPoints,
        stretches0: FloatArray | None,
        forces: FloatArray,
        held: FloatArray | None = None,
    ) -> SampledState:
        """Newton for all sets; those in balance are left alone."""
        unknowns = unknowns.copy()
        residual, jacobian, tractions = self._evaluate(
            unknowns, points, stretches0, forces
        )
        held = np.ones(self._count, dtype=bool) if held is None else held.copy()
        waiting = np.flatnonzero(held)
        for _ in range(ITERATIONS):
            scale, error, balanced = self._errors(
                residual[waiting], jacobian[waiting], tractions[waiting]
            )
            waiting = waiting[~balanced]
            scale, error = scale[~balanced], error[~balanced]
            if not len(waiting):
                break
            step = np.linalg.solve(jacobian[waiting], -residual[waiting, :, None])
            since = None if stretches0 is None else stretches0[waiting]
            about = (points_of(points, waiting, self._count), since, forces[waiting])
            unknowns[waiting], found = self._only(waiting)._search(
                unknowns[waiting], step[:, :, 0].astype(float), about, scale, error
            )
            residual[waiting], jacobian[waiting], tractions[waiting] = found
        held[waiting] = False
        return SampledState(
            unknowns=unknowns,
            tractions=tractions,
            points=points,
            stretches0=stretches0,
            held=held,
        )

    def _search(
        self,
        unknowns: FloatArray,
        step: FloatArray,
        about: tuple[ContactPoints, FloatArray | None, FloatArray],
        scale: FloatArray,
        error: FloatArray,
    ) -> tuple[FloatArray, tuple[FloatArray, FloatArray, FloatArray]]:
        """Go along each set's step until its residual falls, or a few halvings."""
        length = np.ones(len(unknowns))
        for _ in range(HALVINGS):
            trial = unknowns + length[:, None] * step
            found = self._evaluate(trial, *about)
            worse = ~(np.linalg.norm(scale * found[0], axis=1) < error)
            if not worse.any():
                break
            length[worse] /= 2.0
        return trial, found

    def _errors(
        self, residual: FloatArray, jacobian: FloatArray, tractions: FloatArray
    ) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
        """Scale and size of each set's residual, and whether it is small enough."""
        scale = 1.0 / np.sqrt(np.abs(np.einsum("sii->si", jacobian)) + TINY)
        error = np.linalg.norm(scale * residual, axis=1)
        size = np.linalg.norm(scale[:, : self._m] * tractions, axis=1)
        return scale, error, error <= TOLERANCE * size

    def _only(self, sets: IntArray) -> "SampledStack":
        """Return the same stack with some of the sets."""
        some = copy(self)
        shape = (self._count, -1)
        some._law = ContactLaw(
            **{
                constant: getattr(self._law, constant).reshape(shape)[sets].ravel()
                for constant in CONSTANTS
            }
        )
        some._ground = self._ground[sets]
        some._drives = self._drives[sets]
        some._preloads = self._preloads[sets]
        some._count = len(sets)
        return some

    def _evaluate(
        self,
        unknowns: FloatArray,
        points: ContactPoints,
        stretches0: FloatArray | None,
        forces: FloatArray,
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Residual (s, u), tangent (s, u, u) and tractions (s, m)."""
        n, m, r = self.model.interface, self._m, self._r
        _, at = self._traction(unknowns, points)
        shape = (self._count, len(self._weights))
        value = at.value.reshape(*shape, 3) * self._weights[:, None]
        slope = at.tangent.reshape(*shape, 3, 3) * self._weights[:, None, None]
        pressure = at.pressure.reshape(shape) * self._weights
        tractions = np.tensordot(value, self._functions, ([1, 2], [1, 2]))
        jacobian = np.tile(self._base, (self._count, 1, 1))
        self._add_contacts(jacobian, slope)
        self._add_linear(unknowns, stretches0, tractions, jacobian)
        strain = (
            unknowns[:, :m] - unknowns[:, m : m + r] @ n.rigid.T - forces @ n.tip.T
        ) @ n.inverse
        drives = np.zeros((self._count, len(self.model.driven)))
        self._add_drives(stretches0 is not None, slope, pressure, drives, jacobian)
        residual = np.hstack(
            [strain + tractions, -strain @ n.rigid - forces @ n.tip_rigid, drives]
        )
        return residual, jacobian, tractions

    def _add_contacts(self, jacobian: FloatArray, slope: FloatArray) -> None:
        for joint in self.model.contacts:
            own = self.model.interface.slices[joint.name]
            k = len(joint.functions)
            pairs = np.einsum("kn,ln->nkl", joint.functions, joint.functions)
            here = slope[:, self.model.spans[joint.name]].reshape(self._count, -1, 9)
            block = here.transpose(0, 2, 1) @ pairs.reshape(-1, k * k)
            block = block.reshape(self._count, 3, 3, k, k).transpose(0, 3, 1, 4, 2)
            jacobian[:, own, own] += block.reshape(self._count, 3 * k, 3 * k)

    def _add_linear(
        self,
        unknowns: FloatArray,
        stretches0: FloatArray | None,
        tractions: FloatArray,
        jacobian: FloatArray,
    ) -> None:
        slices = self.model.interface.slices
        for spring in self.model.springs:
            own = slices[spring.name]
            stiffness = np.outer(self._ground, spring.stiffness)
            tractions[:, own] += stiffness * unknowns[:, own]
            at = np.arange(own.start, own.stop)
            jacobian[:, at, at] += stiffness
        for tie, preload in zip(self.model.ties, self._preloads.T, strict=True):
            at = slices[tie.name].start
            tractions[:, at] += preload
            if stretches0 is not None:
                longer = unknowns[:, at] - stretches0[:, at]
                tractions[:, at] += tie.stiffness * longer
                jacobian[:, at, at] += tie.stiffness

    def _add_drives(
        self,
        clamped: bool,
        slope: FloatArray,
        pressure: FloatArray,
        drives: FloatArray,
        jacobian: FloatArray,
    ) -> None:
        """As in `fea.core.equilibrium`: driven to their force, then held in place."""
        for number, joint in enumerate(self.model.driven):
            row = self._m + self._r + number
            if clamped and not joint.yields:
                jacobian[:, row, row] = 1.0
                continue
            own = self.model.interface.slices[joint.name]
            span = self.model.spans[joint.name]
            drives[:, number] = pressure[:, span].sum(axis=1) - self._drives[:, number]
            pull = np.einsum("kn,sna->ska", joint.functions, slope[:, span, :, 2])
            jacobian[:, own, row] = -pull.reshape(self._count, -1)
            squeeze = slope[:, span, 2, 2] @ joint.functions.T
            jacobian[:, row, own.start + 2 : own.stop : 3] = -squeeze
            jacobian[:, row, row] = slope[:, span, 2, 2].sum(axis=1)

"""Many equilibria at once: the same stack with many sets of joint constants.

The same law and balance as in `fea.core.equilibrium`, for all sets together.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dgetrf, dgetrs

from fea.core.contact_law import Traction, remembered
from fea.core.contact_sets import SampledState, traction_of
from fea.core.sampled_balance import Circumstances, SampledBalance
from geometry.pad import FloatArray

TOLERANCE = 1e-6  # bands need no more
ITERATIONS = 25
HALVINGS = 4
TINY = 1e-300


class SampledStack(SampledBalance):
    """Equilibria of a contact model with s sets of constants."""

    tolerance = TOLERANCE

    def clamp(self, start: FloatArray) -> SampledState:
        """Clamped states, from the nominal one's unknowns (m + r + w,)."""
        unknowns = np.tile(start, (self._count, 1))
        rest = np.zeros((self._count, self.model.interface.forces))
        about = Circumstances(points=self._fresh, stretches0=None, force=rest)
        found = self._solve(unknowns, about, np.ones(self._count, dtype=bool))
        return replace(
            self._settled(found), stretches0=found.unknowns[:, : self._m].copy()
        )

    def load(
        self, state: SampledState, force: FloatArray, guess: FloatArray | None = None
    ) -> SampledState:
        """Equilibria under forces (f,) or (s, f) [N], from settled ones.

        `guess` (s, m + r + w) of the unknowns; as they are in `state` if not given.
        """
        forces = np.broadcast_to(force, (self._count, self.model.interface.forces))
        about = Circumstances(
            points=state.points, stretches0=state.stretches0, force=forces
        )
        start = state.unknowns if guess is None else guess
        return self._settled(self._solve(start, about, state.held))

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
        about = Circumstances(
            points=state.points, stretches0=state.stretches0, force=rest
        )
        _, _, at = self._balance(state.unknowns, about)
        jacobian = self._tangent(at, about.is_clamped)[state.held]
        loads = np.zeros((jacobian.shape[1], n.forces))
        loads[: self._m] = pull
        loads[self._m : self._m + self._r] = n.tip_rigid.T - n.rigid.T @ pull
        moved = solved(jacobian, np.broadcast_to(loads, (len(jacobian), *loads.shape)))
        change = moved[:, : self._m]
        rigid = moved[:, self._m : self._m + self._r]
        tractions = n.inverse @ (n.tip + n.rigid @ rigid - change)
        found = np.full((self._count, n.forces, n.forces), np.nan)
        found[state.held] = n.tip_own - n.tip.T @ tractions + n.tip_rigid @ rigid
        return found

    def _settled(self, found: SampledState) -> SampledState:
        """Accept equilibria, as `fea.core.equilibrium.settle`."""
        jump, at = self._traction(found.unknowns, found.points)
        return replace(found, points=remembered(self._law, found.points, jump, at))

    def _solve(
        self, unknowns: FloatArray, about: Circumstances, held: FloatArray
    ) -> SampledState:
        """Newton for all sets that are held; those in balance are left alone."""
        unknowns, held = unknowns.copy(), held.copy()
        residual, tractions, at = self._balance(unknowns, about)
        jacobian = self._tangent(at, about.is_clamped)
        scale = scale_of(jacobian)
        far = self._far(scale, residual, tractions)
        waiting = np.flatnonzero(np.logical_and(held, far))
        jacobian, scale = jacobian[waiting], scale[waiting]
        for _ in range(ITERATIONS if len(waiting) else 0):
            step = -solved(jacobian, residual[waiting])
            unknowns[waiting], found = self._only(waiting)._search(
                unknowns[waiting],
                step,
                about.only(waiting),
                scale,
                residual[waiting],
            )
            residual[waiting], tractions[waiting], at = found
            # By the tangent before: it hardly changes near balance, and what is in
            # balance needs no other.
            left = np.flatnonzero(
                self._far(scale, residual[waiting], tractions[waiting])
            )
            at, waiting = traction_of(at, left, len(waiting)), waiting[left]
            if not len(waiting):
                break
            jacobian = self._only(waiting)._tangent(at, about.is_clamped)
            scale = scale_of(jacobian)
        held[waiting] = False
        return SampledState(
            unknowns=unknowns,
            tractions=tractions,
            points=about.points,
            stretches0=about.stretches0,
            held=held,
        )

    def _search(
        self,
        unknowns: FloatArray,
        step: FloatArray,
        about: Circumstances,
        scale: FloatArray,
        residual: FloatArray,
    ) -> tuple[FloatArray, tuple[FloatArray, FloatArray, Traction]]:
        """Go along each set's step until its residual falls, or a few halvings."""
        error = np.linalg.norm(scale * residual, axis=1)
        length = np.ones(len(unknowns))
        for _ in range(HALVINGS):
            trial = unknowns + length[:, None] * step
            found = self._balance(trial, about)
            worse = ~(np.linalg.norm(scale * found[0], axis=1) < error)
            if not worse.any():
                break
            length[worse] /= 2.0
        return trial, found

    def _far(
        self, scale: FloatArray, residual: FloatArray, tractions: FloatArray
    ) -> NDArray[np.bool_]:
        """Which sets are not in balance."""
        error = np.linalg.norm(scale * residual, axis=1)
        size = np.linalg.norm(scale[:, : self._m] * tractions, axis=1)
        return np.asarray(~(error <= self.tolerance * size))


def scale_of(jacobian: FloatArray) -> FloatArray:
    """Scale of each residual, from tangents (s, u, u). (s, u)."""
    return np.asarray(1.0 / np.sqrt(np.abs(np.einsum("sii->si", jacobian)) + TINY))


def solved(matrices: FloatArray, right: FloatArray) -> FloatArray:
    """Solve (s, u, u) for right sides (s, u) or (s, u, k); overwrites the matrices.

    Not finite where a matrix is singular.
    """
    found = np.empty(right.shape)
    for number, own in enumerate(matrices):
        # The transpose lies in memory as LAPACK wants it, which `numpy.linalg.solve`
        # has to copy: with that it takes twice as long.
        factor, pivots, _ = dgetrf(own.T, overwrite_a=True)
        found[number], _ = dgetrs(factor, pivots, right[number], trans=1)
    return found

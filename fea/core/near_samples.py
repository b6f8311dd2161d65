"""Equilibria of sets of joint constants that lie close to the first of them.

As when derivatives are taken: the first set is solved by Newton's search, and its
tangent serves all others, whose balance is then found without any tangent of their own.
"""

import numpy as np
from numpy.typing import NDArray

from fea.core.contact_samples import SampledStack, scale_of
from fea.core.contact_sets import SampledState
from fea.core.sampled_balance import Circumstances
from geometry.pad import FloatArray

TOLERANCE = 1e-8
"""Differences between the sets are a percent, and are to be good to 1e-5 or so."""
STEPS = 12  # with one tangent; four or five are usual
SLOW = 0.5
"""A step that leaves more of a residual than this is no use: joints slip or lift
elsewhere than in the first set, which a search of its own must find."""
FIRST = np.array([0])


class NearSamples(SampledStack):
    """A contact model with sets of constants close to the first."""

    tolerance = TOLERANCE

    def _solve(
        self, unknowns: FloatArray, about: Circumstances, held: FloatArray
    ) -> SampledState:
        if self._count == 1 or not held.all():
            return super()._solve(unknowns, about, held)
        first = super(NearSamples, self._only(FIRST))._solve(
            unknowns[:1], about.only(FIRST), held[:1]
        )
        if not first.held[0]:
            return super()._solve(unknowns, about, held)
        found, tractions, far = self._beside(first, unknowns, about)
        left = np.flatnonzero(far)
        if len(left):
            own = super(NearSamples, self._only(left))._solve(
                unknowns[left], about.only(left), held[left]
            )
            found[left], tractions[left] = own.unknowns, own.tractions
            held = held.copy()
            held[left] = own.held
        return SampledState(
            unknowns=found,
            tractions=tractions,
            points=about.points,
            stretches0=about.stretches0,
            held=held,
        )

    def _beside(
        self, first: SampledState, unknowns: FloatArray, about: Circumstances
    ) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
        """Unknowns and tractions by the first set's tangent, and which are still far.

        All begin as far from where they were as the first has come.
        """
        scale, inverse = self._first_tangent(first, about)
        found = unknowns + (first.unknowns - unknowns[:1])
        residual, tractions, _ = self._balance(found, about)
        waiting = np.arange(self._count)
        far = self._far(scale, residual, tractions)
        for _ in range(STEPS):
            waiting = waiting[far[waiting]]
            if not len(waiting):
                break
            before = np.linalg.norm(scale * residual[waiting], axis=1)
            found[waiting] -= residual[waiting] @ inverse.T
            some = self._only(waiting)
            residual[waiting], tractions[waiting], _ = some._balance(
                found[waiting], about.only(waiting)
            )
            far[waiting] = self._far(scale, residual[waiting], tractions[waiting])
            after = np.linalg.norm(scale * residual[waiting], axis=1)
            waiting = waiting[after <= SLOW * before]
        return found, tractions, far

    def _first_tangent(
        self, first: SampledState, about: Circumstances
    ) -> tuple[FloatArray, FloatArray]:
        """Scale (1, u) of the residuals, and the inverse (u, u) of the tangent."""
        some, own = self._only(FIRST), about.only(FIRST)
        _, _, at = some._balance(first.unknowns, own)
        jacobian = some._tangent(at, own.is_clamped)
        return scale_of(jacobian), np.linalg.inv(jacobian[0])

"""Balance of the same stack with many sets of joint constants, all sets together.

The same law and balance as in `fea.core.contact_balance`.
"""

from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass
from typing import Self

import numpy as np

from fea.core.contact_law import ContactLaw, ContactPoints, Traction, traction
from fea.core.contact_model import ContactModel
from fea.core.contact_sets import (
    CONSTANTS,
    clamping_forces,
    flat_law,
    fresh_points,
    linear_jacobian,
    point_functions,
    points_of,
)
from geometry.mesh import IntArray
from geometry.pad import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Circumstances:
    """What a balance is looked for under.

    Parameters
    ----------
    points : what they remember
    stretches0 : (s, m) coefficients when clamped, None before
    force : (s, f) [N]
    """

    points: ContactPoints
    stretches0: FloatArray | None
    force: FloatArray

    @property
    def is_clamped(self) -> bool:
        """Whether wedges stay where they are by now."""
        return self.stretches0 is not None

    def only(self, sets: IntArray) -> "Circumstances":
        """Return those of some of the sets."""
        return Circumstances(
            points=points_of(self.points, sets, len(self.force)),
            stretches0=None if self.stretches0 is None else self.stretches0[sets],
            force=self.force[sets],
        )


class SampledBalance:
    """Forces of a contact model with s sets of constants, and how they change.

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

    def _traction(
        self, unknowns: FloatArray, points: ContactPoints
    ) -> tuple[FloatArray, Traction]:
        jump = np.tensordot(unknowns[:, : self._m], self._functions, 1)
        advance = unknowns[:, self._m + self._r :] @ self._advances.T
        flat = jump.reshape(-1, 3)
        return flat, traction(self._law, points, flat, advance.ravel())

    def _only(self, sets: IntArray) -> Self:
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

    def _balance(
        self, unknowns: FloatArray, about: Circumstances
    ) -> tuple[FloatArray, FloatArray, Traction]:
        """Residual (s, u), tractions (s, m), and those at the points."""
        _, at = self._traction(unknowns, about.points)
        n, m, r = self.model.interface, self._m, self._r
        shape = (self._count, len(self._weights))
        value = at.value.reshape(*shape, 3) * self._weights[:, None]
        tractions = np.tensordot(value, self._functions, ([1, 2], [1, 2]))
        self._add_linear(unknowns, about.stretches0, tractions)
        strain = (
            unknowns[:, :m] - unknowns[:, m : m + r] @ n.rigid.T - about.force @ n.tip.T
        ) @ n.inverse
        drives = self._driven(at.pressure.reshape(shape), about.is_clamped)
        residual = np.hstack(
            [strain + tractions, -strain @ n.rigid - about.force @ n.tip_rigid, drives]
        )
        return residual, tractions, at

    def _driven(self, pressure: FloatArray, clamped: bool) -> FloatArray:
        """As in `fea.core.equilibrium`: driven to their force, then held. (s, w)."""
        drives = np.zeros((self._count, len(self.model.driven)))
        weighed = pressure * self._weights
        for number, joint in enumerate(self.model.driven):
            if joint.yields or not clamped:
                force = weighed[:, self.model.spans[joint.name]].sum(axis=1)
                drives[:, number] = force - self._drives[:, number]
        return drives

    def _tangent(self, at: Traction, clamped: bool) -> FloatArray:
        """Change of the residual with the unknowns. (s, u, u)."""
        shape = (self._count, len(self._weights), 3, 3)
        slope = at.tangent.reshape(shape) * self._weights[:, None, None]
        jacobian = np.tile(self._base, (self._count, 1, 1))
        self._add_contacts(jacobian, slope)
        self._add_linear_slopes(jacobian, clamped)
        self._add_drive_slopes(jacobian, slope, clamped)
        return jacobian

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
    ) -> None:
        slices = self.model.interface.slices
        for spring in self.model.springs:
            own = slices[spring.name]
            stiffness = np.outer(self._ground, spring.stiffness)
            tractions[:, own] += stiffness * unknowns[:, own]
        for tie, preload in zip(self.model.ties, self._preloads.T, strict=True):
            at = slices[tie.name].start
            tractions[:, at] += preload
            if stretches0 is not None:
                longer = unknowns[:, at] - stretches0[:, at]
                tractions[:, at] += tie.stiffness * longer

    def _add_linear_slopes(self, jacobian: FloatArray, clamped: bool) -> None:
        slices = self.model.interface.slices
        for spring in self.model.springs:
            own = slices[spring.name]
            at = np.arange(own.start, own.stop)
            jacobian[:, at, at] += np.outer(self._ground, spring.stiffness)
        for tie in self.model.ties if clamped else ():
            start = slices[tie.name].start
            jacobian[:, start, start] += tie.stiffness

    def _add_drive_slopes(
        self, jacobian: FloatArray, slope: FloatArray, clamped: bool
    ) -> None:
        for number, joint in enumerate(self.model.driven):
            row = self._m + self._r + number
            if clamped and not joint.yields:
                jacobian[:, row, row] = 1.0
                continue
            own = self.model.interface.slices[joint.name]
            span = self.model.spans[joint.name]
            pull = np.einsum("kn,sna->ska", joint.functions, slope[:, span, :, 2])
            jacobian[:, own, row] = -pull.reshape(self._count, -1)
            squeeze = slope[:, span, 2, 2] @ joint.functions.T
            jacobian[:, row, own.start + 2 : own.stop : 3] = -squeeze
            jacobian[:, row, row] = slope[:, span, 2, 2].sum(axis=1)

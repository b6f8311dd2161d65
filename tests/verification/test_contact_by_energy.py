"""One joint without friction against a minimum of energy, found by SciPy.

Source: the theorem of least potential energy, for elastic blocks on a joint whose
pressure only depends on the approach. The energy is written here by itself (blocks,
ground, preload, stud, force, and C^(-1/m) d^(1 + 1/m) / (1 + 1/m) per area of the
joint) and minimised by a general quasi-Newton method that is told it and its slope.
In place of friction weak springs along the seat keep the block from drifting away.
"""

from dataclasses import dataclass

import numpy as np
import pytest
from block_mesh import material
from contact_pair import AREA, GROUND, contact_pair, pair, side_patch
from scipy.optimize import minimize

from fea.core.contact_balance import joint_tractions
from fea.core.contact_law import ContactLaw
from fea.core.contact_model import ContactModel
from fea.core.equilibrium import clamp, load, tip_motion
from geometry.pad import FloatArray

PRELOAD, STUD, DEGREE = 3000.0, 5e4, 3
CLOSURE, EXPONENT = 2e-3, 0.5
WEAK = 0.02  # of the normal stiffness, along the seat
# Lifts the seat over a good part of its area, and leaves the rest pressed.
FORCE = np.array([2600.0, 300.0, 900.0])
# The minimum is flat: it is found to about the root of round-off.
AGREED = 1e-5


@pytest.fixture(scope="module")
def model() -> ContactModel:
    stack = pair(material(), tip=side_patch("tip"), degree=DEGREE)
    law = ContactLaw(
        closure=CLOSURE, exponent=EXPONENT, tangential_ratio=WEAK, friction=np.inf
    )
    return contact_pair(
        stack, law, degree=DEGREE, preload=PRELOAD, stiffness=STUD, keyed=True
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Energy:
    """Potential energy of the pair; `rest` is the stud's stretch once clamped."""

    model: ContactModel
    force: FloatArray
    rest: float | None = None

    def seat(self, c: FloatArray) -> tuple[float, FloatArray]:
        """Energy of the seat and its slope along its coefficients."""
        seat = self.model.contacts[0]
        jump = seat.functions.T @ c.reshape(-1, 3)
        closed = np.maximum(-jump[:, 2], 0.0)
        power = 1.0 + 1.0 / EXPONENT
        stored = CLOSURE ** (1.0 - power) * closed**power / power
        mean = PRELOAD / AREA
        along = WEAK * mean ** (1.0 - EXPONENT) / (CLOSURE * EXPONENT)
        stored += along * (jump[:, :2] ** 2).sum(axis=1) / 2.0
        pull = along * jump
        pull[:, 2] = -((closed / CLOSURE) ** (1.0 / EXPONENT))
        slope = (seat.functions * seat.weights) @ pull
        return float(seat.weights @ stored), slope.ravel()

    def members(self, c: FloatArray) -> tuple[float, FloatArray]:
        """Energy of ground, seat and stud, and its slope along the coefficients."""
        slices, slope = self.model.interface.slices, np.zeros(len(c))
        ground, seat, at = slices["ground"], slices["seat"], slices["stud"].start
        bed = [GROUND.first, GROUND.second, GROUND.normal]
        slope[ground] = np.resize(bed, ground.stop - ground.start) * c[ground]
        total, slope[seat] = self.seat(c[seat])
        longer = 0.0 if self.rest is None else c[at] - self.rest
        slope[at] = PRELOAD + STUD * longer
        total += slope[ground] @ c[ground] / 2.0
        return total + PRELOAD * c[at] + STUD * longer**2 / 2.0, slope

    def minimum(self) -> tuple[FloatArray, FloatArray]:
        """Coefficients and rigid motions of least energy.

        The blocks' strain is measured along the factor of their flexibility, and rigid
        motions by how far they move the pads, so that all unknowns count alike.
        """
        n = self.model.interface
        factor = np.linalg.cholesky(np.linalg.inv(n.inverse))
        size = np.linalg.norm(n.rigid, axis=0) * 1e2
        pushed = n.tip_rigid.T @ self.force

        def place(unknown: FloatArray) -> tuple[FloatArray, FloatArray]:
            rigid = unknown[n.size :] / size
            bent = factor @ unknown[: n.size]
            return bent + n.rigid @ rigid + n.tip @ self.force, rigid

        def energy(unknown: FloatArray) -> tuple[float, FloatArray]:
            c, rigid = place(unknown)
            strain = unknown[: n.size]
            total, slope = self.members(c)
            total += strain @ strain / 2.0 - pushed @ rigid
            along = (n.rigid.T @ slope - pushed) / size
            return total, np.concatenate([strain + factor.T @ slope, along])

        found = np.zeros(n.size + n.rigid.shape[1])
        options = {"gtol": 1e-9, "maxiter": 20_000}
        for _ in range(3):  # anew from where round-off stopped it
            found = minimize(energy, found, jac=True, method="BFGS", options=options).x
        return place(found)


def compare(model: ContactModel, ours: FloatArray, theirs: FloatArray) -> None:
    """Hold coefficients and pressures against each other."""
    assert np.abs(ours - theirs).max() < AGREED * np.abs(ours).max()
    seat, own = model.contacts[0], model.interface.slices["seat"]
    pressures = [seat.law.pressure(-seat.jump(c[own])[:, 2])[0] for c in (ours, theirs)]
    assert np.abs(pressures[0] - pressures[1]).max() < AGREED * pressures[0].max()


def test_the_clamped_seat_is_that_of_least_energy(model: ContactModel) -> None:
    found, _ = Energy(model=model, force=np.zeros(3)).minimum()
    compare(model, clamp(model).coefficients, found)


def test_a_half_lifted_seat_is_that_of_least_energy(model: ContactModel) -> None:
    start = clamp(model)
    rest = float(start.coefficients[model.interface.slices["stud"].start])
    state = load(model, start, FORCE)
    parted = joint_tractions(model, state)["seat"].pressure <= 0.0
    assert 0.2 < parted.mean() < 0.8
    found, rigid = Energy(model=model, force=FORCE, rest=rest).minimum()
    compare(model, state.coefficients, found)
    n = model.interface
    held = n.inverse @ (n.rigid @ rigid + n.tip @ FORCE - found)
    moved = n.tip_own @ FORCE - n.tip.T @ held + n.tip_rigid @ rigid
    expected = tip_motion(model, state)
    assert moved == pytest.approx(expected, abs=AGREED * np.abs(expected).max())

"""Sensitivities of a study against closed forms.

Variance-based indices: T. Ishigami and T. Homma, "An importance quantification
technique in uncertainty analysis for computer models", Proc. ISUMA '90, IEEE (1990)
398: f = sin x1 + a sin² x2 + b x3⁴ sin x1 with x uniform over -pi to pi. The parts of
its variance as in A. Saltelli et al., "Global Sensitivity Analysis. The Primer", Wiley
(2008), section 4 (from memory; the integrals were done again by hand):
V1 = (1 + b pi⁴/5)²/2, V2 = a²/8, V13 = b² pi⁸ (1/18 - 1/50), all others none.
Elasticities: a power law c x^p has the exponent p as its elasticity, everywhere.
"""

from collections.abc import Callable
from typing import cast

import numpy as np
import pytest
from invented_study import OFFSET, OVERHANG, WAY, WAYS, WIDTH, solved, study_of, varied
from sklearn.gaussian_process import GaussianProcessRegressor

from fea.study.axis import Axis, axis_of
from fea.study.sensitivity import sensitivities, variance_shares
from fea.study.surrogate import Surrogate, fit

A, B = 7.0, 0.1
KEYS = (WIDTH, OFFSET, OVERHANG)

Formula = Callable[[np.ndarray], np.ndarray]


class Exact:
    """A surface that is a formula of the shares."""

    def __init__(self, formula: Formula) -> None:
        self.predict = formula


def exact(keys: tuple[str, ...], formula: Formula) -> Surrogate:
    axes = tuple(axis_of(variable) for variable in study_of(varied(*keys)).variables)
    return Surrogate(
        axes=cast("tuple[Axis, ...]", axes),
        model=cast("GaussianProcessRegressor", Exact(formula)),
        error=0.0,
        scatter=0.0,
        spread=1.0,
    )


def ishigami(shares: np.ndarray) -> np.ndarray:
    x1, x2, x3 = (np.pi * (2.0 * shares - 1.0)).T
    return np.asarray(np.sin(x1) * (1.0 + B * x3**4) + A * np.sin(x2) ** 2)


def closed_form() -> tuple[np.ndarray, np.ndarray]:
    """First-order and total indices."""
    v1 = (1.0 + B * np.pi**4 / 5.0) ** 2 / 2.0
    v2 = A**2 / 8.0
    v13 = B**2 * np.pi**8 * (1.0 / 18.0 - 1.0 / 50.0)
    first = np.array([v1, v2, 0.0])
    total = np.array([v1 + v13, v2, v13])
    return first / (v1 + v2 + v13), total / (v1 + v2 + v13)


def test_indices_of_the_ishigami_function_are_those_of_its_closed_form() -> None:
    first, total = closed_form()
    # As printed with three digits in the same book (from memory).
    assert first == pytest.approx([0.314, 0.442, 0.0], abs=5e-4)
    found = variance_shares(exact(KEYS, ishigami))
    # Sampled: 4096 points of a low-discrepancy sequence give 0.01.
    assert found[0] == pytest.approx(first, abs=0.01)
    assert found[1] == pytest.approx(total, abs=0.01)


def test_indices_through_fitted_designs_are_those_of_a_product() -> None:
    # prod (1 + c (2 x - 1)): each factor has the mean 1 and the variance c^2 / 3.
    factors = np.array([0.9, 0.6, 0.3])
    variances = factors**2 / 3.0
    whole = np.prod(1.0 + variances) - 1.0
    first = variances / whole
    total = variances * np.prod(1.0 + variances) / (1.0 + variances) / whole

    def row(at: dict[str, float]) -> dict[str, float]:
        shares = np.array(list(at.values()))
        return {"stiffness_ratio": float(np.prod(1.0 + factors * (2.0 * shares - 1.0)))}

    study = study_of(varied(*KEYS), designs=40)
    surrogate = fit(study, solved(study, row), "stiffness_ratio")
    assert surrogate is not None
    # What the surface misses is far below what the sampling leaves open.
    assert (surrogate.error / surrogate.spread) ** 2 < 1e-3
    found = variance_shares(surrogate)
    assert found[0] == pytest.approx(first, abs=0.01)
    assert found[1] == pytest.approx(total, abs=0.01)


def test_flat_measure_has_no_variance_to_share_out() -> None:
    found = variance_shares(exact(KEYS, lambda shares: np.full(len(shares), 0.7)))
    assert not found.any()


@pytest.mark.parametrize("width", ["30 mm", "42 mm", "53.9 mm"])
def test_elasticities_of_a_power_law_are_its_exponents(width: str) -> None:
    exponents = {WIDTH: 0.37, OVERHANG: -2.4}

    def power(shares: np.ndarray) -> np.ndarray:
        numbers = (30.0 + 24.0 * shares[:, 0], 12.0 + 18.0 * shares[:, 1])
        return np.asarray(
            3.0 * numbers[0] ** exponents[WIDTH] * numbers[1] ** exponents[OVERHANG]
        )

    surrogate = exact((WIDTH, OVERHANG), power)
    found = sensitivities(surrogate, {WIDTH: width, OVERHANG: "20 mm"})
    # Round-off of a difference over a few per cent.
    for each in found:
        assert each.elasticity == pytest.approx(exponents[each.axis.key], rel=1e-12)


def test_slope_is_in_per_cent_for_one_unit_and_has_a_sign() -> None:
    def plane(shares: np.ndarray) -> np.ndarray:
        offset = -10.0 + 18.0 * shares[:, 1]
        return np.asarray(-(2.0 + 0.05 * offset) + 0.0 * shares[:, 0])

    surrogate = exact((WIDTH, OFFSET), plane)
    width, offset = sensitivities(surrogate, {WIDTH: "42 mm", OFFSET: "0 mm"})
    assert width.slope_percent == pytest.approx(0.0, abs=1e-9)
    # -0.05 a millimetre, over 2: a negative measure grows more negative.
    assert offset.slope_percent == pytest.approx(-2.5, rel=1e-9)
    # A per cent of an offset that may be nothing has no meaning.
    assert offset.elasticity is None


def test_measure_that_changes_its_sign_has_no_elasticity() -> None:
    surrogate = exact((WIDTH,), lambda shares: shares[:, 0] - 0.5 + 1e-6)
    (width,) = sensitivities(surrogate, {WIDTH: "42 mm"})
    assert width.elasticity is None


def test_choice_has_shares_and_no_slope() -> None:
    study = study_of({**varied(WIDTH), WAY: WAYS})

    def row(at: dict[str, float]) -> dict[str, float]:
        return {"stiffness_ratio": 0.5 + 0.3 * (at[WAY] < 1.0 / 3.0)}

    surrogate = fit(study, solved(study, row), "stiffness_ratio")
    assert surrogate is not None
    width, way = sensitivities(surrogate, {WIDTH: "42 mm", WAY: "wedge"})
    assert way.elasticity is way.slope_percent is None
    assert way.first == pytest.approx(1.0, abs=0.02)
    assert width.total == pytest.approx(0.0, abs=0.02)

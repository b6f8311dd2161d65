"""What the study's smooth surface says of its own error, against true values.

Closed form: the function itself, at points that the surface was not fitted to.
"""

import numpy as np
import pytest
from invented_study import OFFSET, OVERHANG, WAY, WAYS, WIDTH, solved, study_of, varied

from fea.study.surrogate import Surrogate, fit

MEASURE, COLUMN = "stiffness_ratio", "stiffness_ratio"
FRESH = 2000


def curved(shares: np.ndarray) -> np.ndarray:
    """Bends, a slope and an interaction. (n, d) to (n,)."""
    first, last = shares[:, 0], shares[:, -1]
    return np.asarray(1.0 + np.sin(2.0 * first) + last**2 + 0.5 * first * last)


def fitted(keys: tuple[str, ...], designs: int | None, noise: float) -> Surrogate:
    random = np.random.default_rng(5)
    study = study_of(varied(*keys), designs=designs)
    tried = solved(
        study,
        lambda at: {
            COLUMN: float(curved(np.array([list(at.values())]))[0])
            + noise * random.standard_normal()
        },
    )
    surrogate = fit(study, tried, MEASURE)
    assert surrogate is not None
    return surrogate


def true_error(surrogate: Surrogate, noise: float) -> float:
    random = np.random.default_rng(6)
    shares = random.random((FRESH, len(surrogate.axes)))
    truth = curved(shares) + noise * random.standard_normal(FRESH)
    return float(np.sqrt(((surrogate.at(shares) - truth) ** 2).mean()))


CASES = [
    ((WIDTH, OFFSET), None),
    ((WIDTH, OFFSET, OVERHANG), 40),
    ((WIDTH, OFFSET, OVERHANG, "post.side"), 60),
]


@pytest.mark.parametrize(("keys", "designs"), CASES)
def test_stated_error_is_that_at_new_designs_when_meshes_scatter(
    keys: tuple[str, ...], designs: int | None
) -> None:
    noise = 0.02
    surrogate = fitted(keys, designs, noise)
    # A root mean square over n designs is itself uncertain by 1 / sqrt(2 n): 11 % of
    # it for the fewest here, and three times that is allowed.
    assert surrogate.error == pytest.approx(true_error(surrogate, noise), rel=0.35)


@pytest.mark.parametrize(("keys", "designs"), CASES)
def test_stated_error_of_a_smooth_measure_is_small_and_hides_nothing(
    keys: tuple[str, ...], designs: int | None
) -> None:
    surrogate = fitted(keys, designs, 0.0)
    truth = true_error(surrogate, 0.0)
    # Held-out corners are extrapolated to and the surface is fitted to fewer designs,
    # so that the stated error may be larger than the true one, not much smaller.
    assert surrogate.error > truth / 2.0
    assert surrogate.error < 0.01 * surrogate.spread


@pytest.mark.parametrize("noise", [0.005, 0.02])
def test_scatter_from_mesh_to_mesh_is_recovered(noise: float) -> None:
    surrogate = fitted((WIDTH, OFFSET), None, noise)
    # 100 designs: 7 % for the standard deviation, three times that, and what a flexible
    # surface takes up of the scatter.
    assert surrogate.scatter == pytest.approx(noise, rel=0.3)
    assert surrogate.least_difference == pytest.approx(2.0**0.5 * surrogate.scatter)


def test_surface_of_nothing_but_scatter_says_so() -> None:
    random = np.random.default_rng(7)
    study = study_of(varied(WIDTH, OFFSET))
    tried = solved(study, lambda _: {COLUMN: 1.0 + 0.1 * random.standard_normal()})
    surrogate = fit(study, tried, MEASURE)
    assert surrogate is not None
    # No surface predicts it: off by as much as it varies.
    assert surrogate.error == pytest.approx(surrogate.spread, rel=0.2)
    assert surrogate.scatter == pytest.approx(surrogate.spread, rel=0.2)


def test_choice_has_a_level_of_its_own_for_each_name() -> None:
    heights = dict(zip(WAYS, (0.9, 0.5, 0.7), strict=True))
    study = study_of({**varied(WIDTH, OVERHANG), WAY: WAYS}, designs=45)

    def row(at: dict[str, float]) -> dict[str, float]:
        way = WAYS[min(int(at[WAY] * len(WAYS)), len(WAYS) - 1)]
        return {COLUMN: heights[way] + 0.2 * at[WIDTH]}

    surrogate = fit(study, solved(study, row), MEASURE)
    assert surrogate is not None
    for way, height in heights.items():
        shares = surrogate.shares({WIDTH: "42 mm", OVERHANG: "21 mm", WAY: way})
        assert shares is not None
        # The surface is smooth and so is the answer; 1 % of the spread is a wide gate.
        assert surrogate.at(shares[None])[0] == pytest.approx(height + 0.1, abs=2e-3)


def test_many_designs_are_fitted_by_lengths_learnt_from_some(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("fea.study.surrogate.MOST_LEARNT", 40)
    surrogate = fitted((WIDTH, OFFSET, OVERHANG), 100, 0.02)
    assert len(surrogate.model.X_train_) == 100
    # 7 % for the root mean square of 100, three times that.
    assert surrogate.error == pytest.approx(true_error(surrogate, 0.02), rel=0.2)

"""Known constants come back from push tests that another route has made.

The records come from `tests/probed_stack.py`: patches meshed at the spots, joints with
polynomials of full degree, Newton joint by joint, constants put into the plan by hand,
and noise. The fit sees them through points on the surface, coarse joints and straight
lines of what slip adds.
"""

from pathlib import Path

import numpy as np
import pytest
from linear_model import HERE, fitted
from probed_stack import (
    SPOTS,
    probed_model,
    probed_plan,
    probed_stack,
    readings_um,
    with_truth,
)
from scipy.special import ndtri

from fea.analysis.distribution import WIDTH
from fea.analysis.draw import GROUND
from fea.case.schema import Case
from fea.case.table_spread import ground_spread
from fea.core.contact_model import ContactModel
from fea.measurement.forward_model import ForwardModel, forward_model
from fea.measurement.map_fit import MapFit
from fea.measurement.posterior import Posterior, posterior
from fea.measurement.record import Heading, PushReading, Records, Spot
from fea.measurement.station import Station

GROUND_TRUE = 0.45
CLOSURES_TRUE = {"tool floor": 0.6, "way near work": 1.7, "way far": 1.7}
NOISE_UM = 0.5
FORCES = [60.0, 120.0, 180.0, 90.0, 0.0]
AXES = np.eye(3)
Setup = tuple[str, tuple[int, float], str, tuple[int, float]]
"""Part pushed, along which axis and sign; part watched, likewise."""
DOWN, AWAY = (2, -1.0), (0, 1.0)
SETUPS = (
    ("tool bit", DOWN, "tool bit", DOWN),
    ("tool bit", DOWN, "holder", DOWN),
    ("tool bit", DOWN, "top slide", DOWN),
    ("tool bit", AWAY, "post body", AWAY),
)
HELD_BACK = ("post body", AWAY, "tool bit", AWAY)


def spot(part: str) -> Spot:
    x, y, z = SPOTS[part].centre
    return Spot(part=part, x_mm=x, y_mm=y, z_mm=z)


def heading(axis: tuple[int, float]) -> Heading:
    x, y, z = (axis[1] * AXES[axis[0]]).tolist()
    return Heading(x=x, y=y, z=z)


def pushes(
    model: ContactModel,
    setups: tuple[Setup, ...],
    noise: np.ndarray,
) -> tuple[PushReading, ...]:
    random = iter(noise)
    return tuple(
        PushReading(
            stack="quick-change",
            force_n=newtons,
            force_at=spot(at),
            force_along=heading(along),
            read_at=spot(read),
            read_along=heading(toward),
            reading_um=um + float(next(random)),
            uncertainty_um=NOISE_UM,
            phase="loading",
            overhang_mm=None,
            source=HERE,
        )
        for at, along, read, toward in setups
        for newtons, um in zip(
            FORCES,
            readings_um(model, (at, *along), (read, *toward), FORCES),
            strict=True,
        )
    )


@pytest.fixture(scope="module")
def truth(coarse_case: Case, cache_folder: Path) -> ContactModel:
    plan = with_truth(probed_plan(coarse_case), GROUND_TRUE, CLOSURES_TRUE)
    return probed_model(probed_stack(coarse_case, plan, cache_folder))


@pytest.fixture(scope="module")
def fit(truth: ContactModel, coarse_case: Case, cache_folder: Path) -> MapFit:
    random = np.random.default_rng(5)
    noise = NOISE_UM * random.standard_normal(len(SETUPS) * len(FORCES))
    records = Records(pushes=pushes(truth, SETUPS, noise))
    station = Station(coarse_case, cache_folder)
    return fitted(forward_model(coarse_case, records, station.rig))


@pytest.fixture(scope="module")
def found(fit: MapFit) -> Posterior:
    return posterior(fit)


def score(model: ForwardModel, found: Posterior, name: str) -> np.ndarray:
    return found.scores[:, model.unknowns.names.index(name)]


def test_the_ground_comes_back(
    fit: MapFit, found: Posterior, coarse_case: Case
) -> None:
    true = np.log(GROUND_TRUE) / np.log(ground_spread(coarse_case)) * WIDTH
    low, high = np.quantile(score(fit.model, found, GROUND), [0.05, 0.95])
    assert low < true < high
    # It was known to 3.3 such units, and moves every reading: a tenth is left.
    assert high - low < 0.15 * 2.0 * WIDTH


def test_softer_ways_and_a_stiffer_seat_are_told_by_their_sign(
    fit: MapFit, found: Posterior
) -> None:
    floor, way = (
        score(fit.model, found, f"{name}: closure_um").mean()
        for name in ("tool floor", "way near work")
    )
    assert floor < -0.2
    assert way > 0.1


def test_the_fit_is_as_good_as_the_noise(fit: MapFit, found: Posterior) -> None:
    residual = (fit.values - fit.of.value) / fit.of.scale
    # 20 readings: their mean square is 1 within 0.6 in 95 % of all cases, less what
    # the fit took up.
    assert np.mean(residual**2) < 1.6
    assert found.trusted


def test_a_push_that_was_held_back_is_predicted(
    truth: ContactModel,
    fit: MapFit,
    found: Posterior,
    coarse_case: Case,
    cache_folder: Path,
) -> None:
    clean = pushes(truth, (HELD_BACK,), np.zeros(len(FORCES)))
    records, station = Records(pushes=clean), Station(coarse_case, cache_folder)
    model = forward_model(coarse_case, records, station.rig)
    slip = model.slip(fit.scores)
    values = model.predicted(found.scores, slip)[:, 2]
    expected = np.random.default_rng(1).standard_normal((64, fit.scores.size))
    before = model.predicted(expected, slip)[:, 2]
    low, high = np.quantile(values, [0.05, 0.95])
    assert high - low < 0.3 * np.ptp(np.quantile(before, [0.05, 0.95]))
    # The band has the truth in it, or misses it by the 2 % that coarse joints differ.
    true = clean[2].reading_um
    assert low - 0.02 * true < true < high + 0.02 * true


def test_most_unknowns_stay_as_they_were_expected(found: Posterior) -> None:
    # Four set-ups tell of a handful of more than a hundred unknowns.
    assert found.approximation.directions.shape[1] < 12
    quantile = (np.arange(1, 100)) / 100.0
    kept = np.quantile(found.scores[:, -1], quantile)
    assert kept == pytest.approx(ndtri(quantile), abs=0.8)

"""How often the bands of a fit hold the truth, on the demo's real forward model.

Run from the project's root, with one BLAS thread if the cores are shared:

    python -m tests.benchmarks.fit_coverage [--sets N] [--first N]

For each data set a machine is drawn from what is expected, the demo's test day of the
quick-change stack is measured on it with the noise that the likelihood expects, and the
fit is asked for what was measured and for what was not: pushes at the tip, motion in a
deep cut, depths at which chatter begins. Of a right posterior bands of 5 to 95 % hold
90 % of the truths (Cook, Gelman & Rubin, J. Comp. Graph. Stat. 15 (2006) 675, from
memory). Push tests of the true machine are followed through slip in full. Machines that
a joint of which is lost are drawn again.

The shares also go to results/fit_coverage.json, after every data set.
"""

import argparse
import json
from collections import defaultdict
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from fea.analysis.build import default_cache
from fea.case.case_file import load_case
from fea.core.threads import on_one_blas_thread
from fea.measurement.forward_model import ForwardModel, forward_model
from fea.measurement.likelihood import (
    CHATTER_WIDTH,
    FREEDOM,
    GRADE_WIDTH,
    MODEL_SHARE,
    PLAIN,
    measured,
)
from fea.measurement.observation import Kind, Observation
from fea.measurement.pareto import TRUSTED
from fea.measurement.posterior import Posterior, posterior
from fea.measurement.read_records import read_records
from fea.measurement.record import (
    PushReading,
    Records,
    SpringPass,
    StackName,
    TapResult,
    TestCut,
)
from fea.measurement.rig import Rig
from fea.measurement.station import Station
from geometry.pad import FloatArray
from geometry.units import MM_PER_UM
from tests.linear_model import HERE, TIP, fitted

CASE = Path("cases/garden_railway.toml")
RECORDS = sorted(Path("cases/garden_railway_records").glob("*.csv"))
OUT = Path("results/fit_coverage.json")
SEED = 53  # any: with the number of the data set it fixes the draw
UNTOLD_UM = 1e9
"""Uncertainty of what is asked for and was not measured: it weighs nothing."""
BAND = (0.05, 0.95)
ASKED_N = 150.0
STACK: StackName = "quick-change"


@dataclass(frozen=True, kw_only=True)
class DataSet:
    """A machine, and what the fit knows of it.

    Parameters
    ----------
    truth, found : (n,) and (s, n) of all observations
    fitted : of the scores
    """

    truth: FloatArray
    found: FloatArray
    fitted: Posterior


def asked(records: Records) -> Records:
    """Return what was measured on the stack, and what is asked for and was not."""
    pushes = [each for each in records.pushes if each.stack == STACK]
    cuts = [each for each in records.cuts if each.stack == STACK]
    untold = [
        PushReading(
            stack=STACK,
            force_n=ASKED_N,
            force_at=TIP,
            force_along=along,
            read_at=TIP,
            read_along=along,
            reading_um=0.0,
            uncertainty_um=UNTOLD_UM,
            phase="loading",
            overhang_mm=None,
            source=HERE,
        )
        for along in dict.fromkeys(each.force_along for each in pushes)
    ]
    deepest = replace(
        max(cuts, key=lambda cut: cut.depth_mm),
        deflection_um=0.0,
        uncertainty_um=UNTOLD_UM,
        seen=None,
        chatter=None,
    )
    return Records(
        pushes=(*pushes, *untold),
        springs=tuple(each for each in records.springs if each.stack == STACK),
        cuts=(*cuts, deepest),
        taps=tuple(each for each in records.taps if each.stack == STACK),
    )


def is_asked(seen: Observation) -> bool:
    record = seen.record
    return (
        isinstance(record, PushReading | TestCut) and record.uncertainty_um == UNTOLD_UM
    )


def measured_again(
    model: ForwardModel, truth: FloatArray, eye: float, random: np.random.Generator
) -> ForwardModel:
    """Return the model with records as they would be of a machine; `truth` (n,)."""
    rows = {
        id(seen): _noisy(seen, float(value), eye, random)
        for seen, value in zip(model.seen, truth, strict=True)
    }
    # What was seen and what was heard in one cut, frequency and damping of one peak,
    # stand in one record each, but every observation reads its own column alone.
    rigs = tuple(
        replace(rig, seen=tuple(rows[id(each)] for each in rig.seen))
        for rig in model.rigs
        if isinstance(rig, Rig)
    )
    return replace(
        model, rigs=rigs, seen=tuple(each for rig in rigs for each in rig.seen)
    )


def _noisy(
    seen: Observation, value: float, eye: float, random: np.random.Generator
) -> Observation:
    if is_asked(seen):
        return seen
    record = seen.record
    if isinstance(record, TestCut) and seen.kind is Kind.GRADE:
        line = (record.threshold_um or 1.0) * eye
        ratio = value / line * np.exp(GRADE_WIDTH * random.standard_normal())
        grade = "none" if ratio < 1.0 else "slight" if ratio < PLAIN else "plain"
        return replace(seen, record=replace(record, seen=grade))
    if isinstance(record, TestCut) and seen.kind is Kind.CHATTER:
        odds = (record.depth_mm / value) ** (1.0 / CHATTER_WIDTH)
        heard = bool(random.random() < odds / (1.0 + odds))
        return replace(seen, record=replace(record, chatter=heard))
    own = _uncertainty(seen)
    scale = np.hypot(own, MODEL_SHARE[seen.kind] * value)
    return replace(seen, record=_read(seen, value + scale * random.standard_t(FREEDOM)))


def _uncertainty(seen: Observation) -> float:
    """As it is written down."""
    return float(
        np.sqrt(
            max(
                measured([seen]).scale[0] ** 2
                - (MODEL_SHARE[seen.kind] * measured([seen]).value[0]) ** 2,
                0.0,
            )
        )
    )


def _read(
    seen: Observation, value: float
) -> PushReading | SpringPass | TestCut | TapResult:
    record = seen.record
    if isinstance(record, PushReading):
        return replace(record, reading_um=value)
    if isinstance(record, SpringPass):
        got = record.diameter_set_mm + value * MM_PER_UM
        return replace(record, diameter_got_mm=got)
    if isinstance(record, TestCut):
        return replace(record, deflection_um=value)
    if seen.kind is Kind.FREQUENCY:
        return replace(record, frequency_hz=value)
    return replace(record, damping_ratio=value)


def data_set(model: ForwardModel, number: int) -> DataSet:
    """Draw a machine, measure it, and fit."""
    random = np.random.default_rng([SEED, number])
    while True:
        scores = random.standard_normal(model.unknowns.count)
        slip = model.slip(scores)
        truth = model.predicted(scores[None], slip)[0]
        if np.isfinite(truth).all():
            break
    eye = float(model.unknowns.eye_factor(scores[None])[0])
    made = measured_again(model, truth, eye, random)
    found = posterior(fitted(made))
    return DataSet(truth=truth, found=found.values, fitted=found)


def inside(truth: FloatArray, found: FloatArray) -> np.ndarray:
    """Which truths (n,) lie in the bands of sets (s, n)."""
    low, high = np.nanquantile(found, BAND, axis=0)
    return np.asarray((low <= truth) & (truth <= high))


def asked_for(model: ForwardModel, one: DataSet) -> dict[str, list[bool]]:
    """Whether each band holds the truth, by what was asked for."""
    held: dict[str, list[bool]] = defaultdict(list)
    within = inside(one.truth, one.found)
    for seen, yes in zip(model.seen, within, strict=True):
        name = "not measured: " if is_asked(seen) else "true value behind: "
        held[name + seen.kind].append(bool(yes))
    return held


@on_one_blas_thread
def main(first: int, count: int) -> None:
    """Print and write the shares."""
    records = asked(read_records(RECORDS))
    case = load_case(CASE)
    model = forward_model(case, records, Station(case, default_cache()).rig)
    held: dict[str, list[bool]] = defaultdict(list)
    shapes: list[float] = []
    for number in range(first, first + count):
        one = data_set(model, number)
        for name, own in asked_for(model, one).items():
            held[name] += own
        shapes.append(one.fitted.weights.shape)
        made = len(shapes)
        shares = {name: float(np.mean(own)) for name, own in held.items()}
        untold = [yes for name in held if name.startswith("not") for yes in held[name]]
        shares["not measured, all"] = float(np.mean(untold))
        record = {"sets": made, "shares": shares, "rough": _rough(shapes)}
        OUT.parent.mkdir(exist_ok=True)
        OUT.write_text(json.dumps(record, indent=2), encoding="utf-8")
        print(f"{number}: {shares['not measured, all']:.3f} of {made} sets", flush=True)
    print(json.dumps(record, indent=2))


def _rough(shapes: list[float]) -> float:
    """Share of the fits whose weights do not pass their check."""
    return float(np.mean(np.array(shapes) > TRUSTED))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--sets", type=int, default=100)
    given = parser.parse_args()
    main(given.first, given.sets)

"""Make the readings of the metric demo's invented test day anew.

python -m tests.benchmarks.demo_test_day FOLDER

The machine is the model itself with other constants: its ways and the machine below the
slides are softer than is expected. Set-ups are those of the record files in the folder;
what was read in each of them is written anew, with the noise of such a day, and rounded
as it would be read. Also prints the peaks that a tap would ring, for
`demo_tap_recordings`.
"""

import sys
from pathlib import Path

import numpy as np

from fea.analysis.build import default_cache
from fea.analysis.mode_samples import sample_modes
from fea.case.case_file import load_case
from fea.core.threads import on_one_blas_thread
from fea.measurement.forward_model import ForwardModel, forward_model
from fea.measurement.likelihood import PLAIN
from fea.measurement.observation import Kind, Observation
from fea.measurement.read_records import read_records
from fea.measurement.record import TestCut
from fea.measurement.rig import Rig
from fea.measurement.station import Station
from geometry.pad import FloatArray

CASE = Path(__file__).parents[2] / "cases" / "garden_railway.toml"
FILES = ("push.csv", "spring.csv", "cut.csv")
SEED = 7

# How far the invented machine is from what is expected, in standard deviations: its
# ways are worn and the machine below them is softer.
TRUTH = {
    "way near work: closure_um": 1.6,
    "way far: closure_um": 1.5,
    "way flank near work: closure_um": 1.0,
    "gib: closure_um": 1.5,
    "ground: stiffness": -1.4,
    "tool floor: closure_um": -1.2,
    "tool on shims: closure_um": -0.5,
}
OTHERS = 0.3
"""Standard deviation of all other constants, in what is expected of them."""
NOISE_SHARE = 0.9
"""Noise over the uncertainty that is written down; rounding adds to it."""
MODEL_SHARE = 0.02
"""Noise over the reading: nothing is as the model has it."""
BASIS_SETS = 16
DEEPEST = 1e3
"""Peaks this much lower than the loudest are not heard."""


def true_scores(model: ForwardModel) -> FloatArray:
    """Scores of the invented machine. (d,)."""
    random = np.random.default_rng(SEED)
    scores = OTHERS * random.standard_normal(model.unknowns.count)
    for name, score in TRUTH.items():
        scores[model.unknowns.names.index(name)] = score
    return scores


def read_off(seen: Observation, value: float, random: np.random.Generator) -> str:
    """What somebody would write down."""
    record = seen.record
    if isinstance(record, TestCut) and seen.kind is Kind.GRADE:
        ratio = value / (record.threshold_um or 1.0)
        return "none" if ratio < 1.0 else "slight" if ratio < PLAIN else "plain"
    if isinstance(record, TestCut) and seen.kind is Kind.CHATTER:
        return "yes" if record.depth_mm > value else "no"
    noise = NOISE_SHARE * (record.uncertainty_um or 0.0) + MODEL_SHARE * abs(value)
    return str(round(value + noise * random.standard_normal()))


def column(seen: Observation) -> str:
    """Name of the column that holds it."""
    return {
        Kind.PUSH: "reading",
        Kind.SPRING: "diameter got",
        Kind.DEFLECTION: "deflection",
        Kind.GRADE: "seen",
        Kind.CHATTER: "chatter",
    }[seen.kind]


def rewrite(path: Path, found: list[tuple[Observation, str]]) -> None:
    """Put readings into their rows of a file; all else stays."""
    lines = path.read_text(encoding="utf-8").splitlines()
    start = next(i for i, line in enumerate(lines) if not line.startswith("#"))
    names = [name.split(" [")[0] for name in lines[start].split(",")]
    for seen, text in found:
        cells = lines[seen.source.line - 1].split(",")
        if seen.kind is Kind.SPRING:
            text = f"{seen.record.diameter_set_mm + float(text) / 1000.0:.3f}"
        cells[names.index(column(seen))] = text
        lines[seen.source.line - 1] = ",".join(cells)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


@on_one_blas_thread
def main(folder: Path) -> None:
    """Write the readings into the record files of a folder."""
    case = load_case(CASE)
    records = read_records([folder / name for name in FILES])
    model = forward_model(case, records, Station(case, default_cache()).rig)
    scores = true_scores(model)
    values = model.predicted(scores[None], model.slip(scores))[0]
    random = np.random.default_rng(SEED)
    read = [
        (seen, read_off(seen, float(value), random))
        for seen, value in zip(model.seen, values, strict=True)
    ]
    for name in FILES:
        rewrite(folder / name, [each for each in read if each[0].source.file == name])
    for each in model.rigs:
        if isinstance(each, Rig):
            print_peaks(each, scores)


def print_peaks(rig: Rig, scores: FloatArray) -> None:
    """Print the peaks of a radial tap on the tip."""
    own, bench = rig.unknowns, rig.bench
    # The basis for modes wants sets that differ; only the first is of interest.
    near = np.random.default_rng(SEED).standard_normal((BASIS_SETS, len(scores)))
    sets = np.vstack([scores, scores + near])
    still = np.zeros(3)
    losses = own.loss_factors(sets)
    ring = sample_modes(bench.stack, still, own.constants(sets), bench.scatter, losses)
    omega = 2.0 * np.pi * ring.frequency_hz[0]
    heard = ring.shapes[0, :, 0] ** 2 / (2.0 * ring.damping_ratio[0] * omega**2)
    for number in np.argsort(-heard):
        size = heard[number] / heard.max()
        if size > 1.0 / DEEPEST:
            hertz, damping = ring.frequency_hz[0, number], ring.damping_ratio[0, number]
            print(f"{rig.seen[0].stack} {hertz:.1f} Hz {damping:.4f} size {size:.3f}")


if __name__ == "__main__":
    main(Path(sys.argv[1]))

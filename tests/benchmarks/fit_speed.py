"""How long a fit of fifty readings takes, stage by stage.

Run from the project's root, on cores that nothing else keeps busy:

    python -m tests.benchmarks.fit_speed [--readings N] [--repeats N]

The demo's test day, thinned evenly to so many readings of all kinds, is fitted and
written as `stoutpost fit` does, after one that fills the cache. Seconds are on the
clock, from the records on; their medians also go to results/fit_speed.json.
"""

import argparse
import json
import os
import time
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import fields, replace
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

import numpy as np

from fea.analysis.build import default_cache
from fea.case.case_file import CaseReading
from fea.measurement.fit_records import fit_records
from fea.measurement.keepers import keepers
from fea.measurement.observation import observations
from fea.measurement.read_records import read_records
from fea.measurement.record import Records
from fea.report.fit_write import write_fit
from fea.study.update import Bench

CASE = Path("cases/garden_railway.toml")
RECORDS = sorted(Path("cases/garden_railway_records").glob("*.csv"))
OUT = Path("results/fit_speed.json")
READING = "reading records"


def thinned(records: Records, readings: int) -> Records:
    """Leave out records evenly, so that about so many readings are left."""
    share = readings / len(observations(records))

    def some(own: Sequence[object]) -> tuple[object, ...]:
        count = round(share * len(own))
        at = np.linspace(0, len(own) - 1, count).round().astype(int)
        return tuple(own[i] for i in at)

    every = {each.name: some(getattr(records, each.name)) for each in fields(records)}
    return replace(records, **every)


def fitted(reading: CaseReading, readings: int, folder: Path) -> dict[str, float]:
    """Fit and write; seconds of each stage."""
    stages, times = [READING], [time.perf_counter()]

    def on_stage(name: str) -> None:
        stages.append(name)
        times.append(time.perf_counter())

    cache, workers = default_cache(), os.cpu_count() or 1
    with keepers(reading.case, cache, workers) as who:
        records = thinned(read_records(RECORDS), readings)
        found = fit_records(records, who, on_stage)
    bench = Bench(folder=folder, cache=cache, workers=workers)
    write_fit(reading, found, None, bench, on_stage)
    times.append(time.perf_counter())
    spent: dict[str, float] = defaultdict(float)
    for name, seconds in zip(stages, np.diff(times), strict=True):
        spent[name] += float(seconds)
    return {**spent, "all": times[-1] - times[0], "readings": len(found.fit.of.seen)}


def main(readings: int, repeats: int) -> None:
    """Print and write seconds by stage."""
    from fea.analysis.sound_case import read_case

    reading, runs = read_case(CASE), []
    with TemporaryDirectory() as folder:
        for number in range(1 + repeats):
            run = fitted(reading, readings, Path(folder))
            print(
                f"{run['all']:.1f} s", "to warm up" if number == 0 else "", flush=True
            )
            runs += [run] if number else []
    found = {name: median(run[name] for run in runs) for name in runs[0]}
    OUT.parent.mkdir(exist_ok=True)
    OUT.write_text(json.dumps(found, indent=2), encoding="utf-8")
    print(json.dumps(found, indent=2))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--readings", type=int, default=50)
    parser.add_argument("--repeats", type=int, default=3)
    given = parser.parse_args()
    main(given.readings, given.repeats)

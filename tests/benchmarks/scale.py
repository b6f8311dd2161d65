"""Time and memory against unknowns for one part, and parts a minute against workers.

    python -m tests.benchmarks.scale [--sizes 7 4.4 2.9 1.95] [--factor-up-to 400000]

The part is the welded stack of `peers`, three loads at its tip. Times are of the
processor, because the cores may be shared. Numbers go to results/scale.json, curves to
results/scale.png. The largest mesh needs some 10 GB.
"""

import argparse
import json
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import matplotlib as mpl
import numpy as np

from fea.analysis.build import QUICK_CHANGE, fineness, plan_stack
from fea.analysis.workforce import reduce_ahead
from fea.case.case_file import load_case
from tests.benchmarks.peers import CASE, OWN, run
from tests.benchmarks.welded_stack import weld

mpl.use("Agg")
import matplotlib.pyplot as plt

OUT = Path("results/scale.json")
SIZES = (7.0, 4.4, 2.9, 1.95)
WORKERS = (1, 2)


def main() -> None:
    """Measure, write, draw."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", nargs="+", type=float, default=SIZES)
    parser.add_argument("--factor-up-to", type=int, default=400_000)
    given = parser.parse_args()
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        for size in given.sizes:
            start = time.process_time()
            mesh = weld(load_case(CASE), size, Path(folder))
            meshing = time.process_time() - start
            tasks = ["statics"]
            if mesh.unknowns <= given.factor_up_to:
                tasks.append("factor")
            for task in tasks:
                done = run(sys.executable, OWN, task, mesh.path)
                done.pop("answer", None)
                row = {"task": task, "unknowns": int(mesh.unknowns), **done}
                rows.append(row | {"meshing_cpu_seconds": meshing})
                print(rows[-1], flush=True)
    workers = {count: _parts_a_minute(count) for count in WORKERS}
    print(workers)
    record = {"one part": rows, "parts a minute by workers": workers}
    OUT.write_text(json.dumps(record, indent=1) + "\n")
    _draw(rows)


def _parts_a_minute(workers: int) -> float:
    """How many parts of the demo's quick-change stack are reduced in a minute."""
    case = load_case(CASE)
    size, settings = fineness(case)
    parts = plan_stack(case, QUICK_CHANGE).parts
    # Poisson's ratio is part of the key: twelve parts that all differ.
    many = [
        replace(part, material=replace(part.material, poissons_ratio=ratio))
        for ratio in (0.27, 0.28)
        for part in parts
    ]
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        reduce_ahead(many, size, settings, Path(folder), workers, lambda _: None)
        return 60.0 * len(many) / (time.perf_counter() - start)


def _draw(rows: list[dict]) -> None:
    figure, (left, right) = plt.subplots(1, 2, figsize=(9.0, 3.6))
    for task, name in (("statics", "two levels"), ("factor", "factor")):
        found = [row for row in rows if row["task"] == task and "seconds" in row]
        unknowns = np.array([row["unknowns"] for row in found]) / 1e6
        for axes, key in ((left, "cpu_seconds"), (right, "peak_mb")):
            axes.loglog(unknowns, [row[key] for row in found], "o-", label=name)
    left.set_ylabel("processor time, s")
    right.set_ylabel("highest memory, MB")
    for axes in (left, right):
        axes.set_xlabel("unknowns, millions")
        axes.grid(visible=True, which="both", alpha=0.3)
        axes.legend()
    figure.tight_layout()
    figure.savefig(OUT.with_suffix(".png"), dpi=120)


if __name__ == "__main__":
    main()

"""Time and memory against unknowns for one part, and designs a minute against workers.

    python -m tests.benchmarks.scale [--sizes 7 4.4 2.9 1.95] [--factor-up-to 400000]
        [--workers 1 2] [--designs 12] [--study-size MM]

The part is the welded stack of `peers`, three loads at its tip; its times are of the
processor, because the cores may be shared. Designs are those of `designs`, other widths
of the dovetail, computed by the study engine with a cache as after the first design;
they are counted on the clock, the start of the processes included, so the cores must be
free. Rows go to results/scale.json as they are found, curves to results/scale.png. The
largest mesh needs some 10 GB.
"""

import argparse
import json
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import matplotlib as mpl
import numpy as np

from fea.case.case_file import load_case
from fea.report.palette import CHOICE_STYLES, INK
from tests.benchmarks.peers import CASE, OWN, run
from tests.benchmarks.study_engine import finish
from tests.benchmarks.welded_stack import weld

mpl.use("Agg")
import matplotlib.pyplot as plt
from matplotlib.ticker import LogLocator, NullLocator, StrMethodFormatter

OUT = Path("results/scale.json")
SIZES = (7.0, 4.4, 2.9, 1.95)
WORKERS = (1, 2)
TASKS = {"statics": "two levels", "factor": "factor"}

# Widths that fit the demo's body and holder. [mm]
NARROWEST, WIDEST = 36.0, 46.0

SECONDS_PER_MINUTE = 60.0


def main() -> None:
    """Measure, write, draw."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", nargs="*", type=float, default=SIZES)
    parser.add_argument("--factor-up-to", type=int, default=400_000)
    parser.add_argument("--workers", nargs="*", type=int, default=WORKERS)
    parser.add_argument("--designs", type=int, default=12)
    parser.add_argument("--study-size", type=float, help="mesh size of the study in mm")
    parser.add_argument("--out", type=Path, default=OUT)
    given = parser.parse_args()
    record: dict[str, list[dict]] = {"one part": [], "workers": []}
    with tempfile.TemporaryDirectory() as name:
        for kind, rows in (("one part", _parts), ("workers", _workers)):
            for row in rows(given, Path(name)):
                record[kind].append(row)
                print(json.dumps(row), flush=True)
                given.out.write_text(json.dumps(record, indent=1) + "\n")
    _draw(record, given.out.with_suffix(".png"))


def _parts(given: argparse.Namespace, folder: Path) -> Iterator[dict]:
    """One solid on finer and finer meshes."""
    for size in given.sizes:
        start = time.process_time()
        mesh = weld(load_case(CASE), size, folder)
        meshing = time.process_time() - start
        for task in TASKS:
            if task == "factor" and mesh.unknowns > given.factor_up_to:
                continue
            done = run(sys.executable, OWN, task, mesh.path)
            done.pop("answer", None)
            row = {"task": task, "unknowns": int(mesh.unknowns), **done}
            yield row | {"meshing_cpu_seconds": meshing}


def _workers(given: argparse.Namespace, folder: Path) -> Iterator[dict]:
    """The same designs by more and more processes, each time from the same cache."""
    if not given.workers:
        return
    widths = np.linspace(NARROWEST, WIDEST, given.designs + 1)
    first = folder / "first"
    finish(widths[:1], given.study_size, first, workers=1)
    for workers in given.workers:
        own = folder / f"workers_{workers}"
        shutil.copytree(first / "cache", own / "cache")
        taken = finish(widths[1:], given.study_size, own, workers)
        yield {
            "workers": workers,
            "designs": taken.designs,
            "seconds": taken.seconds,
            "cpu_seconds": taken.cpu_seconds,
            "designs_a_minute": SECONDS_PER_MINUTE * taken.designs / taken.seconds,
        }


def _draw(record: dict[str, list[dict]], path: Path) -> None:
    figure, (left, middle, right) = plt.subplots(1, 3, figsize=(11.0, 3.6))
    for axes, key in ((left, "cpu_seconds"), (middle, "peak_mb")):
        _draw_parts(axes, record["one part"], lambda row, key=key: row[key])
    left.set_ylabel("processor time, s")
    middle.set_ylabel("highest memory, MB")
    _draw_workers(right, record["workers"])
    for axes in (left, middle, right):
        axes.grid(visible=True, which="both", alpha=0.3)
        axes.spines[["top", "right"]].set_visible(False)
    figure.tight_layout()
    figure.savefig(path, dpi=120)


def _draw_parts(
    axes: plt.Axes, rows: list[dict], value: Callable[[dict], float]
) -> None:
    """One curve a way of solving; what failed has no point."""
    for (task, name), style in zip(TASKS.items(), CHOICE_STYLES, strict=False):
        colour, line, marker = style
        done = [row for row in rows if row["task"] == task and "seconds" in row]
        if done:
            unknowns = [row["unknowns"] / 1e6 for row in done]
            looks = {"color": colour, "linestyle": line, "marker": marker}
            axes.loglog(unknowns, [value(row) for row in done], label=name, **looks)
    axes.set_xlabel("unknowns, millions")
    if not axes.lines:
        return
    axes.legend(frameon=False)
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0)))
        axis.set_major_formatter(StrMethodFormatter("{x:g}"))
        axis.set_minor_locator(NullLocator())


def _draw_workers(axes: plt.Axes, rows: list[dict]) -> None:
    """Designs a minute, beside the line of workers that do not hinder each other."""
    axes.set_xlabel("workers")
    axes.set_ylabel("designs a minute")
    if not rows:
        return
    workers = [row["workers"] for row in rows]
    rates = [row["designs_a_minute"] for row in rows]
    colour, line, marker = CHOICE_STYLES[0]
    looks = {"color": colour, "linestyle": line, "marker": marker}
    axes.plot(workers, rates, label="study", **looks)
    alone = rates[0] / workers[0]
    ideal = [alone * count for count in workers]
    axes.plot(workers, ideal, color=INK, linestyle=":", label="in proportion")
    axes.set_xticks(workers)
    axes.set_ylim(bottom=0.0)
    axes.legend(frameon=False)


if __name__ == "__main__":
    main()

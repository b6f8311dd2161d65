"""Stoutpost against general-purpose finite-element libraries, on the same meshes.

Run from the project's root, with the extra `peers` installed here or in an environment
of its own:

    python -m tests.benchmarks.peers [--peers-python FILE] [--sizes 7 4.4 2.9]

Every program runs alone in its process, one after the other, the libraries by turns;
what is printed is the median of the repeats. The answers of all must agree to four
digits. The table also goes to results/peers.json.
"""

import argparse
import json
import os
import platform
import resource
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from importlib.metadata import version
from pathlib import Path

import numpy as np
import psutil

from fea.case.case_file import load_case
from tests.benchmarks.welded_stack import Welded, weld

CASE = Path("cases/garden_railway.toml")
OUT = Path("results/peers.json")
OWN = "stoutpost"
LIBRARIES = (OWN, "ngsolve", "sfepy", "scikit_fem")
TASKS = ("statics", "modes")

# Edge lengths that give about 0.1, 0.3 and 1 million unknowns. [mm]
SIZES = (7.0, 4.4, 2.9)

# Four digits: a relative difference below half a unit of the fourth.
AGREEMENT = 5e-5

# A program that takes longer is given up, and none gets the machine's last memory.
PATIENCE = 3600  # [s]
LEFT_FREE_BYTES = 6e9


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What one library took for one task on one mesh: medians of the repeats."""

    library: str
    task: str
    unknowns: int
    repeats: int
    seconds: float | None
    cpu_seconds: float | None
    peak_mb: float | None
    solver: str


def main() -> None:
    """Run everything, print the table, write the file."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--peers-python", default=sys.executable)
    parser.add_argument("--sizes", nargs="+", type=float, default=SIZES)
    parser.add_argument("--tasks", nargs="+", choices=TASKS, default=TASKS)
    parser.add_argument("--libraries", nargs="+", choices=LIBRARIES, default=LIBRARIES)
    parser.add_argument("--repeats", type=int, default=3)
    parser.add_argument("--out", type=Path, default=OUT)
    given = parser.parse_args()
    machine, results = _machine(), []
    print(f"{'task':8} {'unknowns':>9} {'library':11} {'s':>8} {'CPU s':>8} {'MB':>7}")
    with tempfile.TemporaryDirectory() as folder:
        for size in given.sizes:
            mesh = weld(load_case(CASE), size, Path(folder))
            for task in given.tasks:
                for result in _contest(given, task, mesh):
                    results.append(asdict(result))
                    print(_row(result), flush=True)
                    record = {"machine": machine, "results": results}
                    given.out.write_text(json.dumps(record, indent=1) + "\n")


def _contest(given: argparse.Namespace, task: str, mesh: Welded) -> Iterator[Result]:
    """Run all libraries by turns, compare their answers."""
    runs: dict[str, list[dict]] = {library: [] for library in given.libraries}
    for _ in range(given.repeats):
        for library in given.libraries:
            python = sys.executable if library == OWN else given.peers_python
            runs[library].append(run(python, library, task, mesh.path))
    reference = _reference(runs)
    for library, made in runs.items():
        wrong = _disagreement(made, reference)
        yield Result(
            library=library,
            task=task,
            unknowns=int(mesh.unknowns),
            repeats=given.repeats,
            **{
                key: None if wrong else _median([run.get(key) for run in made])
                for key in ("seconds", "cpu_seconds", "peak_mb")
            },
            solver=wrong or made[-1]["solver"],
        )


def run(python: str, library: str, task: str, mesh: Path, *counts: int) -> dict:
    """Return what a program printed, or why it printed nothing."""
    program = [python, "-m", f"tests.benchmarks.run_{library}"]
    command = [*program, task, str(mesh), *map(str, counts)]
    try:
        done = subprocess.run(
            command,
            capture_output=True,
            text=True,
            timeout=PATIENCE,
            check=False,
            # Ours looks at the memory by itself.
            preexec_fn=None if library == OWN else _limit_memory,
        )
    except subprocess.TimeoutExpired:
        return {"solver": f"given up after {PATIENCE} s"}
    except OSError as error:
        return {"solver": f"failed: {error}"}
    try:
        answer = json.loads(done.stdout.strip().splitlines()[-1])
    except (IndexError, ValueError):
        answer = None
    if done.returncode or not isinstance(answer, dict):
        ending = (done.stderr.strip().splitlines() or ["ended without a word"])[-1]
        return {"solver": f"failed, exit {done.returncode}: {ending}"}
    return answer


def _limit_memory() -> None:
    most = int(psutil.virtual_memory().available - LEFT_FREE_BYTES)
    resource.setrlimit(resource.RLIMIT_AS, (most, most))


def _reference(runs: dict[str, list[dict]]) -> np.ndarray | None:
    """Return the first answer that any library gave."""
    given = (run["answer"] for made in runs.values() for run in made if "answer" in run)
    return next((np.array(answer) for answer in given), None)


def _disagreement(made: list[dict], reference: np.ndarray | None) -> str | None:
    """Say so if a library does not solve the problem that the others solve."""
    for one in made:
        answer = np.array(one.get("answer", reference))
        if reference is None or len(answer) != len(reference):
            continue
        apart = np.abs(answer - reference).max() / np.abs(reference).max()
        if not apart <= AGREEMENT:
            return f"off by {apart:.1e}: not the same problem"
    return None


def _median(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return statistics.median(known) if len(known) == len(values) else None


def _row(result: Result) -> str:
    numbers = (result.seconds, result.cpu_seconds, result.peak_mb)
    if None in numbers:
        return (
            f"{result.task:8} {result.unknowns:9d} {result.library:11} {result.solver}"
        )
    seconds, busy, peak = numbers
    return (
        f"{result.task:8} {result.unknowns:9d} {result.library:11} {seconds:8.2f} "
        f"{busy:8.2f} {peak:7.0f}  {result.solver}"
    )


def _machine() -> dict[str, str | int | None]:
    """Return what the numbers depend on."""
    names = ("numpy", "scipy", "numba", "pymetis", "gmsh")
    return {
        "processor": platform.processor() or platform.machine(),
        "cores": len(os.sched_getaffinity(0)),
        "load_before": round(os.getloadavg()[0], 2),
        "system": platform.platform(),
        "python": platform.python_version(),
        **{name: version(name) for name in names},
    }


if __name__ == "__main__":
    main()

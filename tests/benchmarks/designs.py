"""Studies: designs and sets of joint constants, ours against a peer's.

    python -m tests.benchmarks.designs [--peers-python FILE] [--size 8] [--designs 20]

A design is another width of the dovetail. Four lines, each like for like:

parts    The compliance of the tip with linear joints. Ours meshes and reduces all parts
         from an empty cache, one process a core, as a first report does (`cold_parts`);
         then once more for the comparison with the block, and from the cache. The peer
         assembles, factors and solves the welded stack of about as many unknowns. On
         the clock.
linear   The compliance of the tip with linear joints. Ours reduces the three parts that
         the width changes and takes the rest from the cache; the peer meshes the whole
         welded stack, of about as many unknowns, assembles, factors and solves.
study    A study's whole answer. Ours is the study engine, its cache as after the first
         design, the start of its process included. The peer meshes, assembles stiffness
         and mass, factors and solves as often as our joints need Newton steps and
         tangents, and finds twelve modes. Nothing is extrapolated: every factor is run,
         on `--measured` designs.
sets     The compliance with a set of joint constants, clamping included, through the
         condensed stack. The peer factors the welded stiffness, assembled and analysed
         before, for each Newton step that clamping takes ours, and once for the tip.

Times but those of the first line are of the processor, because cores may be shared.
Rows go to results/designs.json as they are found; what a peer fails at is a row that
says why.
"""

import argparse
import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np

from fea.analysis.build import (
    QUICK_CHANGE,
    build_planned,
    build_stack,
    lean_fineness,
    plan_stack,
)
from fea.analysis.draw import SAMPLES, draw_constants
from fea.analysis.response import tip_compliance
from fea.analysis.set_blocks import follow_blocks, sampled_model
from fea.case.case_file import load_case
from fea.case.schema import Case
from fea.case.table_spread import ground_spread
from fea.core.contact_samples import SampledStack
from fea.core.threads import on_one_blas_thread
from tests.benchmarks.peers import run
from tests.benchmarks.reduction_error import with_numerics
from tests.benchmarks.study_engine import CASE, factors_of, finish
from tests.benchmarks.welded_stack import Welded, weld

OUT = Path("results/designs.json")
LINES = ("parts", "linear", "study", "sets")
LIBRARIES = ("sfepy", "scikit_fem")  # which have the task of a whole design

# Widths from the first on, all of which fit the demo's body and holder. [mm]
NARROWEST, WIDEST = 36.0, 46.0

# Edge length that gives the welded stack as many unknowns as the case's parts. [mm]
WELDED_SIZE = 5.5

Row = dict[str, Any]


def main() -> None:
    """Measure, print, write."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--peers-python", default=sys.executable)
    parser.add_argument("--size", type=float, help="mesh size of the parts in mm")
    parser.add_argument("--welded-size", type=float, default=WELDED_SIZE)
    parser.add_argument("--designs", type=int, default=20)
    parser.add_argument("--measured", type=int, default=1, help="of the peer's")
    parser.add_argument("--lines", nargs="+", choices=LINES, default=LINES)
    parser.add_argument("--library", choices=LIBRARIES, default=LIBRARIES[0])
    parser.add_argument("--out", type=Path, default=OUT)
    given = parser.parse_args()
    rows: list[Row] = []
    with tempfile.TemporaryDirectory() as name:
        for row in _rows(given, Path(name)):
            rows.append(row)
            print(json.dumps(row), flush=True)
            given.out.write_text(json.dumps(rows, indent=1) + "\n")


def _rows(given: argparse.Namespace, folder: Path) -> Iterator[Row]:
    case = load_case(CASE)
    if given.size is not None:
        case = with_numerics(case, mesh_size=given.size)
    widths = np.linspace(NARROWEST, WIDEST, given.designs + 1)
    welded = [_welded(case, w, given, folder) for w in widths[1 : given.measured + 1]]
    measured = _Peer(given, welded)
    if "parts" in given.lines:
        yield _parts(given.size)
        yield from measured.rows("parts", "statics")
    if "linear" in given.lines:
        yield _linear(case, widths, folder / "linear")
        yield from measured.rows("linear", "statics")
    if "study" in given.lines:
        own = folder / "study"
        first = finish(widths[:1], given.size, own, workers=1)
        yield {"line": "study, the first design", "who": "ours"} | _each(first)
        rest = finish(widths[1:], given.size, own, workers=1)
        yield {"line": "study", "who": "ours"} | _each(rest)
        counts = factors_of(widths[1], given.size, own)
        yield from measured.rows("study", "design", counts.newton, counts.tangents)
    if "sets" in given.lines:
        own = _sets(case, folder / "sets")
        yield own
        yield from measured.rows("sets", "design", round(own["newton_steps"]), 1)


class _Peer:
    """A peer's program on welded designs."""

    def __init__(
        self, given: argparse.Namespace, welded: list[tuple[Welded, float]]
    ) -> None:
        self._python, self._library = given.peers_python, given.library
        self._welded = welded

    def rows(self, line: str, task: str, *counts: int) -> Iterator[Row]:
        """One row a design; a set of constants needs neither mesh nor assembly anew."""
        for mesh, meshing in self._welded:
            row: Row = {"line": line, "who": self._library, "task": task}
            row |= {"unknowns": int(mesh.unknowns), "meshing_cpu_seconds": meshing}
            done = run(self._python, self._library, task, mesh.path, *counts)
            done.pop("answer", None)
            row |= done
            if "cpu_seconds" in done:
                stages = done["stages"]
                row["a_design_cpu_seconds"] = (
                    stages["newton"] + stages["tangents"]
                    if line == "sets"
                    else meshing + done["cpu_seconds"]
                )
            yield row


def _welded(
    case: Case, width: float, given: argparse.Namespace, folder: Path
) -> tuple[Welded, float]:
    """A design in one piece, and what its mesh took. [s]."""
    own = folder / f"welded_{width:g}"
    own.mkdir()
    return _timed(lambda: weld(_with_width(case, width), given.welded_size, own))


def _parts(size: float | None) -> Row:
    """Ours from nothing, in a process that holds nothing else."""
    command = [sys.executable, "-m", "tests.benchmarks.cold_parts"]
    command += [] if size is None else ["--size", str(size)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    return {"line": "parts", "who": "ours"} | json.loads(done.stdout)


@on_one_blas_thread
def _linear(case: Case, widths: np.ndarray, folder: Path) -> Row:
    """Ours on every width but the first, which fills the cache."""
    first, cold = _timed(lambda: _of_width(case, widths[0], folder))
    found, taken = _timed(lambda: [_of_width(case, w, folder) for w in widths[1:]])
    stiffness = [compliance[2, 2] for compliance, _ in [first, *found]]
    if not np.all(np.diff(stiffness) != 0.0):
        message = "the designs do not differ"
        raise SystemExit(message)
    return {
        "line": "linear",
        "who": "ours",
        "unknowns": first[1],
        "first_cpu_seconds": cold,
        "designs": len(found),
        "a_design_cpu_seconds": taken / len(found),
    }


@on_one_blas_thread
def _sets(case: Case, folder: Path) -> Row:
    """Sets of joint constants through one stack."""
    stack = build_stack(with_numerics(case, modes=0), QUICK_CHANGE, folder)
    # What the first set of constants needs once, for any number of sets.
    model, once = _timed(lambda: sampled_model(stack))
    joints = [joint.name for joint in stack.joints]
    constants = draw_constants(joints, [], ground_spread(case))

    def follow() -> list[np.ndarray]:
        return follow_blocks(
            stack,
            model,
            constants,
            {},
            lambda block: block.sampled.tip_compliance(block.clamped),
        )

    blocks, taken = _timed(follow)
    steps = _newton_steps(follow)
    if np.concatenate(blocks).shape != (SAMPLES, 3, 3):
        message = "answers are missing"
        raise SystemExit(message)
    return {
        "line": "sets",
        "who": "ours",
        "prepared_once_cpu_seconds": once,
        "sets": SAMPLES,
        "newton_steps": steps / SAMPLES,
        "a_design_cpu_seconds": taken / SAMPLES,
    }


def _newton_steps(follow: Callable[[], object]) -> int:
    """Count the steps of all sets together."""
    search, counts = SampledStack._search, []

    def counted(stack: SampledStack, unknowns: np.ndarray, *given: Any) -> Any:
        counts.append(len(unknowns))
        return search(stack, unknowns, *given)

    with patch.object(SampledStack, "_search", counted):
        follow()
    return sum(counts)


def _of_width(case: Case, width: float, folder: Path) -> tuple[np.ndarray, int]:
    """Compliance of a design, and the unknowns of all its parts."""
    plan = plan_stack(_with_width(case, width), QUICK_CHANGE)
    stack = build_planned(plan, *lean_fineness(case), folder)
    return tip_compliance(stack), sum(part.reduced.unknowns for part in stack.parts)


def _with_width(case: Case, width: float) -> Case:
    dovetail = case.post.dovetail.model_copy(update={"width": float(width)})
    post = case.post.model_copy(update={"dovetail": dovetail})
    return case.model_copy(update={"post": post})


def _each(taken: Any) -> Row:
    return {
        "designs": taken.designs,
        "seconds": taken.seconds,
        "a_design_cpu_seconds": taken.cpu_seconds / taken.designs,
    }


def _timed(work: Any) -> tuple:
    start = time.process_time()
    return work(), time.process_time() - start


if __name__ == "__main__":
    main()

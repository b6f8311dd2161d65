"""Studies: designs and sets of joint constants a minute, ours against the peers'.

    python -m tests.benchmarks.designs [--peers-python FILE] [--size 8] [--designs 20]

A design is another width of the dovetail. Ours reduces the three parts that carry it
and takes the rest from the cache; a peer meshes the whole welded stack, of about as
many unknowns, and solves it. A set of joint constants is followed by ours through the
condensed stack, clamping included; a peer factors its stiffness anew. A peer's time is
measured on a few designs and taken for the rest. Times are of the processor, because
the cores may be shared. The table also goes to results/designs.json.
"""

import argparse
import json
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from fea.analysis.build import QUICK_CHANGE, build_stack
from fea.analysis.draw import SAMPLES, draw_constants
from fea.analysis.response import tip_compliance
from fea.analysis.set_blocks import follow_blocks, sampled_model
from fea.case.case_file import load_case
from fea.case.schema import Case
from fea.case.table_spread import ground_spread
from tests.benchmarks.peers import CASE, LIBRARIES, OWN, run
from tests.benchmarks.reduction_error import with_numerics
from tests.benchmarks.welded_stack import weld

OUT = Path("results/designs.json")

# Widths from the first on, all of which fit the demo's body and holder. [mm]
NARROWEST, WIDEST = 36.0, 46.0

# Modes change no static answer; a study of stiffness leaves them out.
NO_MODES = 0

MEASURED = 2  # designs that a peer is measured on


def main() -> None:
    """Measure, print, write."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--peers-python", default=sys.executable)
    parser.add_argument("--size", type=float, help="mesh size of the parts in mm")
    parser.add_argument("--welded-size", type=float, default=5.5)
    parser.add_argument("--designs", type=int, default=20)
    parser.add_argument("--libraries", nargs="+", choices=LIBRARIES, default=LIBRARIES)
    given = parser.parse_args()
    case = with_numerics(load_case(CASE), modes=NO_MODES)
    if given.size is not None:
        case = with_numerics(case, mesh_size=given.size)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        record = _ours(case, folder, given.designs)
        record |= _theirs(case, folder, given)
    for key, value in record.items():
        print(f"{key:42} {value:10.4g}")
    OUT.write_text(json.dumps(record, indent=1) + "\n")


def _ours(case: Case, folder: Path, designs: int) -> dict[str, float]:
    """Processor seconds of ours, one figure a line."""
    stack, cold = _timed(lambda: build_stack(case, QUICK_CHANGE, folder))
    compliance, warm = _timed(
        lambda: tip_compliance(build_stack(case, QUICK_CHANGE, folder))
    )
    widths = np.linspace(NARROWEST, WIDEST, designs)
    found, study = _timed(lambda: [_of_width(case, width, folder) for width in widths])
    if not np.all(np.diff([each[2, 2] for each in found]) != 0.0):
        message = "the designs do not differ"
        raise SystemExit(message)
    # What the first set of constants needs once, for any number of sets.
    model, once = _timed(lambda: sampled_model(stack))
    joints = [joint.name for joint in stack.joints]
    constants = draw_constants(joints, [], ground_spread(case))
    sets, sampling = _timed(
        lambda: np.concatenate(
            follow_blocks(
                stack,
                model,
                constants,
                {},
                lambda sampled, clamped, _: sampled.tip_compliance(clamped),
            )
        )
    )
    if sets.shape != (SAMPLES, 3, 3) or compliance.shape != (3, 3):
        message = "answers are missing"
        raise SystemExit(message)
    return {
        "ours, unknowns of all parts": sum(p.reduced.unknowns for p in stack.parts),
        "ours, first stack, s": cold,
        "ours, the same from the cache, s": warm,
        "ours, a design, s": study / designs,
        "ours, joints prepared once, s": once,
        "ours, a set of joint constants, s": sampling / SAMPLES,
    }


def _theirs(case: Case, folder: Path, given: argparse.Namespace) -> dict[str, float]:
    """Processor seconds of every library for a welded design."""
    record: dict[str, float] = {}
    widths = np.linspace(NARROWEST, WIDEST, given.designs)[:MEASURED]
    taken: dict[str, list[float]] = {library: [] for library in given.libraries}
    meshing = []
    for width in widths:
        start = time.process_time()
        mesh = weld(_with_width(case, width), given.welded_size, folder)
        meshing.append(time.process_time() - start)
        answers = {}
        for library in given.libraries:
            python = sys.executable if library == OWN else given.peers_python
            done = run(python, library, "statics", mesh.path)
            taken[library].append(done["cpu_seconds"])
            answers[library] = done["answer"]
        record["welded, unknowns"] = float(mesh.unknowns)
    record["welded, meshing, s"] = float(np.median(meshing))
    for library, seconds in taken.items():
        record[f"{library}, a welded design less meshing, s"] = float(
            np.median(seconds)
        )
    return record


def _of_width(case: Case, width: float, folder: Path) -> np.ndarray:
    return tip_compliance(build_stack(_with_width(case, width), QUICK_CHANGE, folder))


def _with_width(case: Case, width: float) -> Case:
    dovetail = case.post.dovetail.model_copy(update={"width": float(width)})
    post = case.post.model_copy(update={"dovetail": dovetail})
    return case.model_copy(update={"post": post})


def _timed(work: Callable[[], object]) -> tuple:
    start = time.process_time()
    return work(), time.process_time() - start


if __name__ == "__main__":
    main()

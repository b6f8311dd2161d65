"""Error of the reduced stack against the monolithic one, by degree of the pads.

Run from the project's root, with one BLAS thread if the cores are shared:

    python -m tests.benchmarks.reduction_error [CASE] [--size MM] [--stack NAME]
        [--modes N]

Columns: largest error in the tip compliance matrix relative to its largest entry, and
largest relative error in the natural frequencies up to some 10 kHz.
"""

import argparse
import tempfile
import time
from pathlib import Path

import numpy as np

from fea.analysis.build import PLANS, QUICK_CHANGE, build_stack, plan_stack
from fea.analysis.response import tip_compliance
from fea.case.case_file import load_case
from fea.case.schema import Case
from fea.core.monolithic import Monolith

CASE = Path("cases/garden_railway.toml")
DEGREES = range(1, 7)
FREQUENCIES = 32


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("case", nargs="?", type=Path, default=CASE)
    parser.add_argument("--size", type=float, help="mesh size in mm")
    parser.add_argument("--modes", type=int, help="kept of every part")
    parser.add_argument("--stack", choices=list(PLANS), default=QUICK_CHANGE)
    given = parser.parse_args()
    case = load_case(given.case)
    if given.size is not None:
        case = with_numerics(case, mesh_size=given.size)
    if given.modes is not None:
        case = with_numerics(case, modes=given.modes)
    size = case.numerics.mesh_size
    start = time.perf_counter()
    whole = Monolith(plan_stack(case, given.stack), size)
    compliance, frequencies = whole.compliance(), whole.frequencies(FREQUENCIES)
    print(f"{given.stack}, mesh size {size:g} mm, {case.numerics.modes} modes a part")
    print(f"monolithic: {whole.unknowns} unknowns, {_since(start)}")
    print(f"frequencies {np.round(frequencies, 2)} Hz")
    print("degree  unknowns  compliance  frequencies  time")
    for degree in DEGREES:
        start = time.perf_counter()
        with tempfile.TemporaryDirectory() as folder:
            stack = build_stack(
                with_numerics(case, degree=degree), given.stack, Path(folder)
            )
        moved = np.abs(tip_compliance(stack) - compliance).max()
        swung = np.abs(stack.modes(FREQUENCIES)[0] / frequencies - 1.0).max()
        relative = moved / np.abs(compliance).max()
        print(
            f"{degree:6d}  {stack.size:8d}  {relative:10.1e}  {swung:11.1e}  "
            f"{_since(start)}"
        )


def with_numerics(case: Case, **values: float) -> Case:
    """Return a case with other mesh size, degree or modes."""
    numerics = case.numerics.model_copy(update=values)
    return case.model_copy(update={"numerics": numerics})


def _since(start: float) -> str:
    return f"{time.perf_counter() - start:.1f} s"


if __name__ == "__main__":
    main()

"""The compliance of the tip with linear joints, from an empty cache of parts.

    python -m tests.benchmarks.cold_parts [--size 8]

Meshes and reduces all parts of the quick-change stack, one process a core, as a first
report does, and answers; then the same for what the comparison with the block needs
beside it; then answers from the cache. Prints one line of JSON, seconds on the clock. A
program of its own, because each of its processes imports what this file imports.
"""

import argparse
import json
import tempfile
import time
from pathlib import Path

from fea.analysis.build import (
    FOUR_WAY,
    QUICK_CHANGE,
    build_planned,
    lean_fineness,
    plan_stack,
)
from fea.analysis.response import tip_compliance
from fea.analysis.workforce import reduce_ahead
from fea.case.case_file import load_case
from fea.core.threads import cores
from tests.benchmarks.reduction_error import CASE, with_numerics


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--size", type=float, help="mesh size of the parts in mm")
    given = parser.parse_args()
    case = load_case(CASE)
    if given.size is not None:
        case = with_numerics(case, mesh_size=given.size)
    plans = [plan_stack(case, name) for name in (QUICK_CHANGE, FOUR_WAY)]
    fine = lean_fineness(case)
    row = {"workers": cores()}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        clock = time.perf_counter()
        for key, plan in zip(("one", "both"), plans, strict=True):
            reduce_ahead(plan.parts, *fine, folder, cores(), lambda _: None)
            tip_compliance(build_planned(plan, *fine, folder))
            row[f"{key}_seconds"] = time.perf_counter() - clock
        clock = time.perf_counter()
        stack = build_planned(plans[0], *fine, folder)
        tip_compliance(stack)
        row["cached_seconds"] = time.perf_counter() - clock
    row["unknowns"] = sum(part.reduced.unknowns for part in stack.parts)
    print(json.dumps(row))


if __name__ == "__main__":
    main()

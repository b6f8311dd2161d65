"""The compliance of the tip with linear joints, from an empty cache of parts.

    python -m tests.benchmarks.cold_parts [--size 8]

Meshes and reduces all parts of the quick-change stack, one process a core, as a first
report does, and answers; then the same for what the comparison with the block needs
beside it; then answers from the cache. Last, the first of these as other libraries are
timed, from meshes in memory by processes that have loaded what they need: what the
busiest of them takes to reduce, and the answer. Prints one line of JSON, seconds on the
clock. A program of its own that imports late, because each of its processes imports
what this file does.
"""

import argparse
import json
import os
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import Any
from unittest.mock import patch

from fea.analysis.workforce import on_threads
from fea.core import cache
from fea.core.plan import PartPlan
from fea.core.reduction import Settings
from fea.core.threads import cores, on_one_blas_thread


@on_one_blas_thread
def main() -> None:
    """Measure and print."""
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
    from tests.benchmarks.reduction_error import CASE, with_numerics

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
    with tempfile.TemporaryDirectory() as name:
        busiest = _busiest(plans[0].parts, *fine, Path(name))
    row["reducing_seconds"] = busiest + row["cached_seconds"]
    row["unknowns"] = sum(part.reduced.unknowns for part in stack.parts)
    print(json.dumps(row))


def _busiest(
    parts: Sequence[PartPlan], size: float, settings: Settings, folder: Path
) -> float:
    """What the process with the most work takes to reduce its parts. [s]."""
    by_volume = sorted(parts, key=lambda part: part.shape.volume, reverse=True)
    given = size, settings
    spent: Counter[int] = Counter()
    with ProcessPoolExecutor(
        cores(),
        get_context("spawn"),
        initializer=_get_ready,
        initargs=(by_volume[-1], *given, folder),
    ) as pool:
        jobs = [pool.submit(_reduce, part, *given, folder) for part in by_volume]
        for job in jobs:
            process, seconds = job.result()
            spent[process] += seconds
    return float(max(spent.values()))


def _get_ready(part: PartPlan, size: float, settings: Settings, folder: Path) -> None:
    """Load what reducing needs, by reducing a small part."""
    on_threads(1)
    own = folder / str(os.getpid())
    own.mkdir()
    cache.reduced_part(part, size, settings, own)


def _reduce(
    part: PartPlan, size: float, settings: Settings, folder: Path
) -> tuple[int, float]:
    """Reduce a part; return the process and the seconds beside meshing."""
    made = cache.mesh_part
    meshing = 0.0

    def mesh_part(*given: Any, **named: Any) -> Any:
        nonlocal meshing
        clock = time.perf_counter()
        mesh = made(*given, **named)
        meshing += time.perf_counter() - clock
        return mesh

    clock = time.perf_counter()
    with patch("fea.core.cache.mesh_part", mesh_part):
        cache.reduced_part(part, size, settings, folder)
    return os.getpid(), time.perf_counter() - clock - meshing


if __name__ == "__main__":
    main()

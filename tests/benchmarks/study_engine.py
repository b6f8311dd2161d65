"""Designs of a dovetail study, computed by the study engine itself: what they take."""

import resource
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from fea.analysis import cutting_path
from fea.analysis.build import QUICK_CHANGE, lean_fineness, plan_stack
from fea.analysis.stack_answer import answer_stack
from fea.case.case_file import read_case, with_values
from fea.core import equilibrium
from fea.core.threads import on_one_blas_thread
from fea.study.designs import Design
from fea.study.run import open_run

CASE = Path("cases/garden_railway_study.toml")
WIDTH, SIZE = "post.dovetail.width", "numerics.mesh_size"


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What designs took together, with the processes that were started for them."""

    designs: int
    seconds: float
    cpu_seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Factors:
    """How often a solver of the whole would factor for one design's joints.

    Parameters
    ----------
    newton : steps of Newton's method, clamping and every depth together
    tangents : of the tip, for the depth that is really cut
    """

    newton: int
    tangents: int


def finish(
    widths: Sequence[float], size: float | None, folder: Path, workers: int
) -> Taken:
    """Compute designs; the cache in `folder` gives and keeps.

    Parameters
    ----------
    widths : of the dovetail, one a design [mm]
    size : mesh size [mm]; None for the case's
    """
    start, busy = time.perf_counter(), _busy()
    designs = [
        Design(number=number, values=_values(width, size))
        for number, width in enumerate(widths, start=1)
    ]
    with open_run(
        read_case(CASE), folder, cache=folder / "cache", workers=workers
    ) as run:
        finished = run.finish(designs, lambda: None)
    failed = [each.outcome.reason for each in finished if each.outcome.reason]
    if failed:
        raise SystemExit(failed[0])
    return Taken(
        designs=len(designs),
        seconds=time.perf_counter() - start,
        cpu_seconds=_busy() - busy,
    )


@on_one_blas_thread
def factors_of(width: float, size: float | None, folder: Path) -> Factors:
    """Count on a design that `finish` computed."""
    case = with_values(read_case(CASE), _values(width, size)).case
    plan = plan_stack(case, QUICK_CHANGE)
    steps, give = equilibrium._newton_step, cutting_path.tangent_compliance
    with (
        patch.object(equilibrium, "_newton_step", wraps=steps) as newton,
        patch.object(cutting_path, "tangent_compliance", wraps=give) as tangents,
    ):
        answer_stack(case, plan, folder / "cache", lean_fineness(case))
    return Factors(newton=newton.call_count, tangents=tangents.call_count)


def _values(width: float, size: float | None) -> Mapping[str, object]:
    values: dict[str, object] = {WIDTH: f"{width} mm"}
    return values if size is None else values | {SIZE: f"{size} mm"}


def _busy() -> float:
    """Processor time of this process and of those that it started and that ended."""
    used = [
        resource.getrusage(who)
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    ]
    return sum(each.ru_utime + each.ru_stime for each in used)

"""Reduce parts ahead of need, several at once: one process a core."""

import os
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from pathlib import Path

from fea.core.cache import is_cached, part_key, reduced_part
from fea.core.plan import PartPlan
from fea.core.reduction import Settings

OnStage = Callable[[str], None]


def distinct_parts(
    parts: Iterable[PartPlan], size: float, settings: Settings
) -> list[PartPlan]:
    """Return the parts without those that are reduced alike."""
    by_key = {part_key(part, size, settings): part for part in parts}
    return list(by_key.values())


def reduce_ahead(
    parts: Iterable[PartPlan],
    size: float,
    settings: Settings,
    folder: Path,
    workers: int,
    on_stage: OnStage,
) -> None:
    """Fill the cache with the reductions of parts.

    Parameters
    ----------
    parts : planned parts, of any number of stacks
    size, settings : how finely they are meshed and reduced
    folder : the cache
    workers : processes to use; with 1 everything is done in this one
    on_stage : is told of every distinct part once

    Raises
    ------
    InputError, MeshError, SolveError
        From the first part that fails; what is done by then stays in the cache.
    """
    missing = []
    for part in distinct_parts(parts, size, settings):
        if is_cached(part, size, settings, folder):
            on_stage(f"{part.name}, from the cache")
        else:
            missing.append(part)
    if min(workers, len(missing)) < 2:
        for part in missing:
            on_stage(part.name)
            reduced_part(part, size, settings, folder)
        return
    pool = ProcessPoolExecutor(
        workers, get_context("spawn"), initializer=on_threads, initargs=(1,)
    )
    try:
        jobs = {
            pool.submit(_reduce, part, size, settings, folder): part
            for part in sorted(missing, key=_effort, reverse=True)
        }
        for job in as_completed(jobs):
            on_stage(jobs[job].name)
            job.result()
    finally:
        # What is done need not wait until idle processes have ended.
        pool.shutdown(wait=False, cancel_futures=True)


def _reduce(part: PartPlan, size: float, settings: Settings, folder: Path) -> None:
    reduced_part(part, size, settings, folder)


def _effort(part: PartPlan) -> float:
    """Roughly the work, so that the longest job does not start last."""
    return part.shape.volume * (len(part.contacts) + 1)


def on_threads(count: int) -> None:
    """Keep to so many threads, and of linear algebra to one.

    To be called before the libraries that read this are imported.
    """
    for name in ("RAYON_NUM_THREADS", "OMP_NUM_THREADS"):
        os.environ[name] = str(count)
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    from threadpoolctl import threadpool_limits

    threadpool_limits(1)

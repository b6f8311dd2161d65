"""Threads of the linear algebra, and of compiled loops over rows."""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cache, wraps
from itertools import pairwise
from typing import Any, ParamSpec, TypeVar

from threadpoolctl import threadpool_limits

P = ParamSpec("P")
T = TypeVar("T")

# Fewer rows than this take less time than a second thread takes to wake.
FEWEST_ROWS = 2000


def on_one_blas_thread(work: Callable[P, T]) -> Callable[P, T]:
    """Make a function keep to one BLAS thread.

    More of them gain nothing here, and while another process has one of the cores they
    wait for each other at every small product, which costs up to ten times the work.
    """

    @wraps(work)
    def limited(*args: P.args, **kwargs: P.kwargs) -> T:
        with threadpool_limits(1, user_api="blas"):
            return work(*args, **kwargs)

    return limited


def over_rows(
    kernel: Callable[..., None], n_row: int, *given: Any, fewest: int = FEWEST_ROWS
) -> None:
    """Run a kernel that releases the interpreter on ranges of rows, one a thread.

    `kernel(first, last, *given)` writes to its own rows alone; fewer rows than `fewest`
    stay on this thread.
    """
    pool = _pool()
    if pool is None or n_row < fewest:
        kernel(0, n_row, *given)
        return
    count = threads()
    edges = [n_row * k // count for k in range(count + 1)]
    jobs = [
        pool.submit(kernel, first, last, *given) for first, last in pairwise(edges[1:])
    ]
    kernel(edges[0], edges[1], *given)
    for job in jobs:
        job.result()


def share_of_cores() -> float:
    """Part of the machine's cores that this process may keep busy."""
    return threads() / cores()


def cores() -> int:
    """Cores that this process may run on."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def threads() -> int:
    """All cores, or fewer if the usual variable says so."""
    asked = os.environ.get("OMP_NUM_THREADS", "")
    return max(1, min(cores(), int(asked))) if asked.isdigit() else cores()


@cache
def _pool() -> ThreadPoolExecutor | None:
    """Threads that stay for the life of the process."""
    return ThreadPoolExecutor(threads() - 1) if threads() > 1 else None

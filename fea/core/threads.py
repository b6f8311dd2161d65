"""Threads of the linear algebra: one is fastest for matrices of this size."""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from threadpoolctl import threadpool_limits

P = ParamSpec("P")
T = TypeVar("T")


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

"""Processes that draw, made ready while the stacks are still being computed."""

from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from multiprocessing import get_context

FROM = 2
"""Workers from which others than the one that computes can draw."""
PLOTS = ("fea.report.gallery", "matplotlib.figure")
STACKS = (*PLOTS, "pyvista")


@dataclass(frozen=True, slots=True, kw_only=True)
class Hands:
    """Two processes for `gallery`.

    Parameters
    ----------
    stacks : draws them in space
    plots : draws everything else
    """

    stacks: Executor
    plots: Executor


@contextmanager
def drawing_hands(workers: int) -> Iterator[Hands | None]:
    """Start processes that draw, or none if there is but one worker.

    A script that asks for more than one must guard its main module.
    """
    if workers < FROM:
        yield None
        return
    spawn = get_context("spawn")
    with (
        ProcessPoolExecutor(1, spawn) as stacks,
        ProcessPoolExecutor(1, spawn) as plots,
    ):
        # To load what draws takes as long as to draw.
        plots.submit(_load, PLOTS)
        stacks.submit(_load, STACKS)
        yield Hands(stacks=stacks, plots=plots)


def _load(modules: tuple[str, ...]) -> None:
    for module in modules:
        import_module(module)

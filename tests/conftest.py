"""What several folders of tests share: a cache of reduced parts and coarse stacks."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from threadpoolctl import threadpool_limits

from fea.analysis.build import FOUR_WAY, QUICK_CHANGE, build_stack
from fea.analysis.workforce import on_threads
from fea.case.case_file import load_case
from fea.case.schema import Case
from fea.core.stack import Stack

IN_WORKER = "PYTEST_XDIST_WORKER" in os.environ

DEMO = Path(__file__).parents[1] / "cases" / "garden_railway.toml"
COARSE_MM = 20.0


def pytest_configure() -> None:
    """Keep to one thread where other processes have the other cores."""
    if IN_WORKER:
        on_threads(1)


@pytest.fixture(scope="session", autouse=True)
def _one_blas_thread() -> Iterator[None]:
    """Keep small matrices on one core.

    BLAS threads that spin for a core which another process has make them ten times
    slower.
    """
    with threadpool_limits(1, user_api="blas"):
        yield


@pytest.fixture(scope="session")
def cache_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder of reduced parts, shared by all tests of a run and gone after it."""
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if IN_WORKER else base) / "reduced_parts"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture(scope="session")
def coarse_case() -> Case:
    """The metric demo on a mesh that takes seconds; its numbers are a few % off."""
    case = load_case(DEMO)
    numerics = case.numerics.model_copy(update={"mesh_size": COARSE_MM})
    return case.model_copy(update={"numerics": numerics})


@pytest.fixture(scope="session")
def coarse_quick_change(coarse_case: Case, cache_folder: Path) -> Stack:
    return build_stack(coarse_case, QUICK_CHANGE, cache_folder)


@pytest.fixture(scope="session")
def coarse_four_way(coarse_case: Case, cache_folder: Path) -> Stack:
    return build_stack(coarse_case, FOUR_WAY, cache_folder)

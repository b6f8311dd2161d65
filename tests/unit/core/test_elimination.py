"""What a plan of elimination promises, and how much it fills."""

import re

import numpy as np
import pytest
import scipy.sparse as sp
from sparse_matrices import MATRICES, entries, grid

from fea.core.cholesky import Cholesky
from fea.core.elimination import Elimination, plan_elimination
from fea.core.ordering import order_name

# Nested dissection of a grid of n by n nodes, each touching its eight neighbours,
# fills 31/4 n² log2 n + O(n²) entries (A. George, SIAM Journal on Numerical Analysis 10
# (1973) 345, from memory); with four neighbours it fills less.
GEORGE = 31 / 4


@pytest.fixture(params=["METIS", "SuperLU"])
def orderer(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Either ordering; the second by hiding the first."""
    if request.param == "SuperLU":
        monkeypatch.setattr("fea.core.ordering._metis_present", lambda: False)
    else:
        pytest.importorskip("pymetis", reason="METIS has no wheel for this system")
    return str(request.param)


def rows(plan: Elimination, front: int) -> np.ndarray:
    """Later places that a front touches."""
    return plan.below[plan.starts[front] : plan.starts[front + 1]]


def factor_of_pattern(matrix: sp.csr_matrix, plan: Elimination) -> np.ndarray:
    """Factor of entries that cannot cancel where a matrix has any, by dense algebra."""
    heavy = -(matrix.toarray() != 0.0).astype(float)
    np.fill_diagonal(heavy, 0.0)
    np.fill_diagonal(heavy, 1.0 - heavy.sum(axis=1))
    return np.linalg.cholesky(heavy[np.ix_(plan.order, plan.order)])


@pytest.mark.parametrize("name", MATRICES)
def test_every_entry_of_the_factor_has_its_place(name: str, orderer: str) -> None:
    assert orderer in order_name()
    matrix = MATRICES[name]
    plan = plan_elimination(matrix)
    size = matrix.shape[0]
    assert np.array_equal(np.sort(plan.order), np.arange(size))
    assert (plan.first[0], plan.first[-1]) == (0, size)
    held = np.zeros((size, size), dtype=bool)
    for front, (start, end) in enumerate(zip(plan.first, plan.first[1:], strict=False)):
        held[start:end, start:end] = True
        held[rows(plan, front), start:end] = True
    assert np.all(held[factor_of_pattern(matrix, plan) != 0.0])


@pytest.mark.parametrize("name", MATRICES)
def test_a_parent_has_room_for_what_its_children_leave(name: str) -> None:
    plan = plan_elimination(MATRICES[name])
    for front, parent in enumerate(plan.parent):
        below = rows(plan, front)
        assert np.all(np.diff(below) > 0)
        if parent < 0:
            assert len(below) == 0
            continue
        assert parent > front
        own = np.arange(plan.first[parent], plan.first[parent + 1])
        assert below[0] in own
        assert np.isin(below, np.concatenate([own, rows(plan, parent)])).all()


@pytest.mark.parametrize("cells", [31, 63, 127])
def test_a_grid_fills_no_more_than_nested_dissection(cells: int) -> None:
    found = entries(plan_elimination(grid(cells)))
    assert found < GEORGE * cells**2 * np.log2(cells)
    # Every order of a grid fills at least a separator of it (Hoffman, Martin and Rose,
    # SIAM Journal on Numerical Analysis 10 (1973) 364, from memory).
    assert found > cells**2 / 2


def test_without_metis_answers_are_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    matrix = grid(30)
    load = np.ones((matrix.shape[0], 1))
    one = Cholesky(matrix, plan_elimination(matrix)).solve(load)

    def missing(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr("fea.core.ordering.import_module", missing)
    assert order_name().startswith("minimum degree")
    other = Cholesky(matrix, plan_elimination(matrix)).solve(load)
    assert np.abs(one - other).max() < 1e-12 * np.abs(one).max()


def test_fronts_of_a_solid_take_few_zeros() -> None:
    touch = sp.diags_array([1.0, 1.0, 1.0], offsets=[-1, 0, 1], shape=(10, 10))
    cube = sp.kron(sp.kron(touch, touch), touch)
    matrix = sp.csr_matrix(sp.kron(cube, np.ones((3, 3))))
    plan = plan_elimination(matrix)
    needed = np.count_nonzero(factor_of_pattern(matrix, plan))
    assert needed <= entries(plan) < 1.3 * needed


def test_the_order_names_its_version(orderer: str) -> None:
    assert re.search(rf"{orderer} \((pymetis|scipy) \d+(\.\w+)+\)", order_name())

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from block_mesh import block_mesh

from fea.core import threads
from fea.core.elasticity import inertia, quadratic_mesh
from fea.core.solid import Solid
from fea.core.sparse_products import multiply


def test_the_number_of_threads_changes_no_digit(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    mesh = quadratic_mesh(block_mesh((30.0, 20.0, 10.0), (10, 6, 4)))
    assert mesh.nvertices + mesh.nedges > threads.FEWEST_ROWS
    found = []
    with ThreadPoolExecutor(2) as pool:
        for count, used in ((1, None), (3, pool)):
            monkeypatch.setattr(threads, "threads", lambda count=count: count)
            monkeypatch.setattr(threads, "_pool", lambda used=used: used)
            solid = Solid(mesh, 0.3)
            assert solid.products.groups >= count
            vectors = np.random.default_rng(0).standard_normal((3 * solid.n_node, 5))
            stiffness, momentum = solid.stiffness(), inertia(solid.mass, vectors)
            products = (multiply(stiffness, vectors), solid.products.times(vectors))
            found.append((stiffness.data, solid.diagonal(), momentum, *products))
    for one, other in zip(*found, strict=True):
        assert np.array_equal(one, other)


def test_a_failure_in_a_thread_is_not_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    def kernel(first: int, last: int) -> None:
        if first > 0:
            raise ValueError(last)

    with ThreadPoolExecutor(1) as pool:
        monkeypatch.setattr(threads, "threads", lambda: 2)
        monkeypatch.setattr(threads, "_pool", lambda: pool)
        with pytest.raises(ValueError, match="4000"):
            threads.over_rows(kernel, 4000)


@pytest.mark.parametrize(("asked", "share"), [("1", 0.25), ("2", 0.5), ("", 1.0)])
def test_a_process_told_to_keep_to_some_cores_takes_their_share(
    monkeypatch: pytest.MonkeyPatch, asked: str, share: float
) -> None:
    monkeypatch.setattr(threads, "cores", lambda: 4)
    monkeypatch.setenv("OMP_NUM_THREADS", asked)
    assert threads.share_of_cores() == share

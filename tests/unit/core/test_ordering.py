"""The order of a quadratic mesh by its corners."""

import numpy as np
import pytest
from block_mesh import block_mesh, irregular
from skfem import MeshTet
from sparse_matrices import entries

from fea.core.elasticity import quadratic_mesh
from fea.core.elimination import plan_elimination
from fea.core.ordering import quadratic_order
from fea.core.solid import Solid


@pytest.fixture(scope="module")
def mesh() -> MeshTet:
    return quadratic_mesh(irregular(block_mesh((40.0, 30.0, 20.0), (8, 7, 6)), 0.5))


def test_every_displacement_comes_once_and_a_node_s_together(mesh: MeshTet) -> None:
    order = quadratic_order(mesh)
    assert np.array_equal(np.sort(order), np.arange(len(order)))
    nodes = order.reshape(-1, 3) // 3
    assert np.all(nodes == nodes[:, [0]])


def test_an_edge_s_middle_comes_before_its_ends(mesh: MeshTet) -> None:
    order = quadratic_order(mesh)
    place = np.empty(len(order), dtype=int)
    place[order] = np.arange(len(order))
    corners = place[::3][: mesh.nvertices]
    middles = place[::3][mesh.nvertices :]
    assert np.all(middles < corners[mesh.edges].min(axis=0))


def test_it_fills_as_little_as_an_order_of_all_nodes(mesh: MeshTet) -> None:
    stiffness = Solid(mesh, 0.3).stiffness().tocsr()
    plans = [
        plan_elimination(stiffness, order) for order in (quadratic_order(mesh), None)
    ]
    by_corners, by_all = map(entries, plans)
    assert by_corners < 1.15 * by_all

import numpy as np
from block_mesh import block_mesh, flat_pad, irregular, part_mesh

from fea.core.elasticity import quadratic_mesh
from fea.core.mesh_numbers import edge_numbers, facet_numbers

WITHOUT = flat_pad("base", (10.0, 40.0), (5.0, 25.0), 20.0)
SIZES, COUNTS = (40.0, 30.0, 20.0), (8, 6, 2)


def test_facet_numbers_find_the_triangles_asked_for() -> None:
    mesh = irregular(block_mesh(SIZES, COUNTS), 0.5)
    mesh = part_mesh(mesh.points, mesh.tetrahedra, (WITHOUT,))
    quadratic = quadratic_mesh(mesh)
    triangles = mesh.pads["base"][::-1, [2, 0, 1]]
    facets = facet_numbers(quadratic, triangles)
    found = np.sort(quadratic.facets[:, facets].T, axis=1)
    assert np.array_equal(found, np.sort(triangles, axis=1))
    assert np.isin(facets, quadratic.boundary_facets()).all()


def test_edge_numbers_find_the_edges_asked_for_either_way_round() -> None:
    mesh = irregular(block_mesh(SIZES, COUNTS), 0.5)
    mesh = part_mesh(mesh.points, mesh.tetrahedra, (WITHOUT,))
    quadratic = quadratic_mesh(mesh)
    triangles = mesh.pads["base"]
    ends = np.vstack([triangles[:, [0, 1]], triangles[:, [2, 0]]])
    edges = edge_numbers(quadratic, ends)
    assert np.array_equal(
        np.sort(quadratic.edges[:, edges].T, axis=1), np.sort(ends, axis=1)
    )

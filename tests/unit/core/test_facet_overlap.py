import numpy as np
import pytest
from block_mesh import block_mesh, flat_pad, irregular, part_mesh

from fea.core.elasticity import node_points, quadratic_mesh
from fea.core.facet_overlap import PadFacets, facets_on, jump_stiffness, pieces_of
from fea.core.pad_functions import PadFunctions
from geometry.errors import SolveError
from geometry.mesh import PartMesh
from geometry.pad import Pad

SIZES = (40.0, 30.0, 20.0)
PAD = flat_pad("seat", (0.0, 40.0), (0.0, 30.0), 20.0)
NOWHERE = np.zeros(3)
ROUND_OFF = 1e-12

Unlike = tuple[list[PadFacets], np.ndarray, int]


def sheared(counts: tuple[int, int, int]) -> PartMesh:
    """Block whose points on the top are shifted in it, so that no two meshes match."""
    mesh = irregular(block_mesh(SIZES, counts), 0.5)
    points = mesh.points.copy()
    x, y, z = points.T
    bump = x * (SIZES[0] - x) * y * (SIZES[1] - y) * z
    points[:, 0] += 2e-6 * bump
    points[:, 1] -= 1e-6 * bump
    return part_mesh(points, mesh.tetrahedra, (PAD,))


def side(mesh: PartMesh, first_node: int) -> tuple[PadFacets, np.ndarray]:
    """Facets on the pad, and the points of all nodes of the mesh."""
    quadratic = quadratic_mesh(mesh)
    facets = facets_on(PAD, quadratic, mesh.pads["seat"], NOWHERE, first_node)
    return facets, node_points(quadratic)


@pytest.fixture(scope="module")
def unlike() -> Unlike:
    """Two sides whose meshes do not match, all nodes, how many are the first's."""
    one, points = side(sheared((5, 4, 2)), 0)
    other, more = side(sheared((7, 3, 2)), len(points))
    return [one, other], np.vstack([points, more]), len(points)


def test_pieces_fill_the_pad_and_lie_in_both_facets(unlike: Unlike) -> None:
    sides, _, _ = unlike
    pieces = pieces_of(PAD, sides)
    a, b, c = pieces.corners.T
    areas = np.abs(((b - a).conjugate() * (c - a)).imag) / 2.0
    assert areas.sum() == pytest.approx(PAD.area, rel=ROUND_OFF)
    assert len(areas) > max(len(s.corners) for s in sides)
    middle = pieces.corners.mean(axis=1)
    for facets, mine in zip(sides, pieces.facets, strict=True):
        low = facets.corners[mine]
        assert np.all(low.real.min(axis=1) <= middle.real + 1e-9)
        assert np.all(low.imag.max(axis=1) >= middle.imag - 1e-9)


def test_equal_quadratic_motion_of_both_sides_is_no_jump(unlike: Unlike) -> None:
    sides, points, _ = unlike
    stiffness = jump_stiffness(sides, pieces_of(PAD, sides), len(points))
    x, y, _ = points.T
    motion = 1.0 + 0.1 * x - 0.2 * y + 0.01 * x**2 - 0.02 * x * y
    size = motion @ (abs(stiffness) @ np.abs(motion))
    assert abs(motion @ stiffness @ motion) < 1e-10 * abs(size)


def test_energy_of_a_jump_is_its_integral(unlike: Unlike) -> None:
    sides, points, own = unlike
    stiffness = jump_stiffness(sides, pieces_of(PAD, sides), len(points))

    def upper(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return 1.0 + 0.1 * x - 0.002 * y**2

    def lower(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return 0.5 - 0.003 * x * y

    x, y, _ = points.T
    motion = np.where(np.arange(len(points)) < own, upper(x, y), lower(x, y))
    local, weights = PadFunctions(PAD, 4).quadrature(5)
    at = local + np.array(PAD.centre[:2])
    jump = upper(*at.T) - lower(*at.T)
    expected = weights @ jump**2
    # Not an equality to the bit: nodes of curved sums, hundreds of pieces.
    assert motion @ stiffness @ motion == pytest.approx(expected, rel=1e-11)


def test_one_side_over_ground_carries_the_whole_motion(unlike: Unlike) -> None:
    sides, points, own = unlike
    stiffness = jump_stiffness(sides[:1], pieces_of(PAD, sides[:1]), len(points))
    motion = np.ones(len(points))
    assert motion @ stiffness @ motion == pytest.approx(PAD.area, rel=ROUND_OFF)
    assert abs(stiffness[own:]).sum() == 0.0


def test_sides_that_do_not_cover_the_pad_are_refused(unlike: Unlike) -> None:
    sides, _, _ = unlike
    bare = PadFacets(nodes=sides[1].nodes[3:], corners=sides[1].corners[3:])
    with pytest.raises(SolveError, match="pad seat"):
        pieces_of(PAD, [sides[0], bare])


def test_a_pad_is_seen_in_its_own_frame() -> None:
    turned = Pad(
        name="seat",
        centre=(25.0, 12.0, 21.0),
        first=(0.0, 1.0, 0.0),
        second=(-1.0, 0.0, 0.0),
        half_sizes=(15.0, 20.0),
    )
    mesh = sheared((5, 4, 2))
    shifted = np.array([5.0, -3.0, 1.0])
    facets = facets_on(turned, quadratic_mesh(mesh), mesh.pads["seat"], shifted, 10)
    assert np.abs(facets.corners.real).max() == pytest.approx(15.0)
    assert np.abs(facets.corners.imag).max() == pytest.approx(20.0)
    assert facets.nodes.min() >= 10

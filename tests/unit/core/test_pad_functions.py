import numpy as np
import pytest
from block_mesh import block_mesh, flat_pad

from fea.core.elasticity import node_points, quadratic_mesh
from fea.core.pad_functions import (
    ALONG_FIRST,
    ALONG_SECOND,
    PadFunctions,
)
from geometry.pad import Pad

WITH_WINDOW = Pad(
    name="base",
    centre=(20.0, 15.0, 20.0),
    first=(1.0, 0.0, 0.0),
    second=(0.0, 1.0, 0.0),
    half_sizes=(20.0, 15.0),
    window=(5.0, 5.0),
)
WITHOUT = flat_pad("base", (10.0, 40.0), (5.0, 25.0), 20.0)
SIZES, COUNTS = (40.0, 30.0, 20.0), (8, 6, 2)

# Sums of a few hundred products.
ROUND_OFF = 1e-12


@pytest.mark.parametrize("pad", [WITHOUT, WITH_WINDOW], ids=["plain", "window"])
@pytest.mark.parametrize("degree", [0, 1, 5, 8])
def test_functions_are_orthonormal_over_the_pad(pad: Pad, degree: int) -> None:
    functions = PadFunctions(pad, degree)
    points, weights = functions.quadrature(degree + 2)
    values = functions.values(points)
    assert len(values) == functions.count
    gram = (values * weights) @ values.T
    assert np.abs(gram - np.eye(functions.count)).max() < ROUND_OFF


@pytest.mark.parametrize("pad", [WITHOUT, WITH_WINDOW], ids=["plain", "window"])
def test_quadrature_covers_the_pad_and_not_its_window(pad: Pad) -> None:
    points, weights = PadFunctions(pad, 3).quadrature(4)
    assert weights.sum() == pytest.approx(pad.area, rel=ROUND_OFF)
    machine = np.asarray(pad.centre) + points @ pad.axes[:2]
    assert pad.contains(machine).all()


def test_the_first_function_is_constant_and_the_next_two_are_linear() -> None:
    functions = PadFunctions(WITH_WINDOW, 2)
    points = np.array([[-7.0, 3.0], [11.0, 3.0], [11.0, -9.0]])
    values = functions.values(points)
    assert values[0] == pytest.approx(1.0 / np.sqrt(WITH_WINDOW.area))
    slopes = values[:, 1:] - values[:, :-1]
    # From the first point to the second only the first coordinate changes, and so on.
    assert abs(slopes[ALONG_SECOND, 0]) < ROUND_OFF < abs(slopes[ALONG_SECOND, 1])
    assert abs(slopes[ALONG_FIRST, 1]) < ROUND_OFF < abs(slopes[ALONG_FIRST, 0])


@pytest.mark.parametrize("pad", [WITHOUT, WITH_WINDOW], ids=["plain", "window"])
def test_moments_of_a_quadratic_displacement_are_exact(pad: Pad) -> None:
    mesh = block_mesh(SIZES, COUNTS, (pad,))
    quadratic = quadratic_mesh(mesh)
    functions = PadFunctions(pad, 5)
    moments = functions.moments(quadratic, mesh.pads[pad.name])

    def field(points: np.ndarray) -> np.ndarray:
        x, y, _ = np.moveaxis(points, -1, 0)
        return 2.0 - 0.3 * x + 0.02 * x * y - 0.01 * y**2

    found = moments @ field(node_points(quadratic))
    local, weights = functions.quadrature(6)
    machine = np.asarray(pad.centre) + local @ pad.axes[:2]
    expected = functions.values(local) @ (weights * field(machine))
    assert np.abs(found - expected).max() < ROUND_OFF * np.abs(expected).max()


@pytest.mark.parametrize("pad", [WITHOUT, WITH_WINDOW], ids=["plain", "window"])
@pytest.mark.parametrize("degree", [1, 3])
def test_slopes_of_a_plane_are_found_from_its_coefficients(
    pad: Pad, degree: int
) -> None:
    functions = PadFunctions(pad, degree)
    local, weights = functions.quadrature(degree + 1)
    plane = 0.7 + local @ np.array([0.03, -0.02])
    coefficients = functions.values(local) @ (weights * plane)
    assert functions.slopes() @ coefficients == pytest.approx(
        [0.03, -0.02], rel=1e3 * ROUND_OFF
    )


def test_displacement_moments_are_along_the_pads_axes() -> None:
    pad = Pad(
        name="end",
        centre=(40.0, 15.0, 10.0),
        first=(0.0, 0.0, 1.0),
        second=(0.0, -1.0, 0.0),
        half_sizes=(10.0, 15.0),
    )
    assert pad.normal == (1.0, 0.0, 0.0)
    mesh = block_mesh(SIZES, COUNTS, (pad,))
    quadratic = quadratic_mesh(mesh)
    rows = PadFunctions(pad, 0).displacement_moments(quadratic, mesh.pads["end"])
    shift = np.tile([1.0, 2.0, 3.0], quadratic.nvertices + quadratic.nedges)
    mean = rows @ shift / np.sqrt(pad.area)
    assert mean == pytest.approx([3.0, -2.0, 1.0], rel=ROUND_OFF)

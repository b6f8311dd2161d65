"""Tip deflection of a cantilever: Timoshenko's beam, and a solid clamped at its root.

Sources: delta = F L³/3EI + F L/(kappa G A), with kappa = 10 (1 + nu)/(12 + 11 nu) for
a rectangle (Cowper, J. Appl. Mech. 33 (1966) 335). Deflection and rotation in it are
means over the section, and the section is free to warp and contract, so that is how
the root is held here, by the pad's functions of degree 1. A root face that is clamped
all over cannot contract sideways and is stiffer, by 2 to 4 % on a stubby bar; its
values were computed once with scikit-fem and ten-node tetrahedra of 8 and of 5 mm:
27.24 um and 4.16 um, good to 0.1 %.
"""

import numpy as np
import pytest
from block_mesh import block_mesh, end_pad, material, on_plane
from held_bar import held_bar

from fea.analysis.response import tip_compliance
from fea.core.elasticity import quadratic_mesh
from fea.core.factor import Factor
from fea.core.pad_functions import PadFunctions
from fea.core.solid import stiffness_and_mass

FORCE = 1000.0
E = 210_000.0


def timoshenko(sizes: tuple[float, float, float], nu: float) -> float:
    """Tip compliance of a bar along x under a force along z. [mm/N]."""
    length, width, height = sizes
    second_moment = width * height**3 / 12.0
    kappa = 10.0 * (1.0 + nu) / (12.0 + 11.0 * nu)
    shear = E / (2.0 * (1.0 + nu)) * kappa * width * height
    return length**3 / (3.0 * E * second_moment) + length / shear


@pytest.mark.parametrize(
    ("nu", "tolerance"),
    [
        # The sections move as the theory says; the mesh leaves 2e-5.
        (0.0, 1e-4),
        # Force and reaction are spread evenly over the ends, not as the bar would
        # spread them; that disturbs the shear's share, 0.8 %, by hundredths of it.
        (0.3, 5e-4),
    ],
)
def test_tip_deflection_is_timoshenkos(nu: float, tolerance: float) -> None:
    sizes = (100.0, 10.0, 10.0)
    compliance = tip_compliance(held_bar(sizes, (24, 3, 3), material(E, nu)))
    for axis in (1, 2):
        found = compliance[axis, axis]
        assert found == pytest.approx(timoshenko(sizes, nu), rel=tolerance)


def test_stretching_is_that_of_a_bar() -> None:
    sizes = (100.0, 10.0, 10.0)
    compliance = tip_compliance(held_bar(sizes, (24, 3, 3), material(E, 0.3)))
    # Constant stress, exact on any mesh; what is left is the wall's finite stiffness.
    assert compliance[0, 0] == pytest.approx(100.0 / (E * 100.0), rel=1e-7)


@pytest.mark.parametrize(
    ("length", "counts", "micrometres"),
    [(60.0, (12, 4, 4), 27.24), (30.0, (8, 5, 5), 4.16)],
)
def test_a_clamped_stubby_bar_is_stiffer_than_the_beam(
    length: float, counts: tuple[int, int, int], micrometres: float
) -> None:
    sizes = (length, 20.0, 20.0)
    deflection = FORCE * 1000.0 * _clamped_compliance(sizes, counts, 0.3)
    # As good as the reference; this mesh is off by 0.03 %.
    assert deflection == pytest.approx(micrometres, rel=1e-3)
    assert deflection < 0.98 * FORCE * 1000.0 * timoshenko(sizes, 0.3)


def _clamped_compliance(
    sizes: tuple[float, float, float], counts: tuple[int, int, int], nu: float
) -> float:
    """Mean motion of the end along z under an even shear stress there. [mm/N]."""
    tip = end_pad("tip", sizes, sizes[0])
    made = block_mesh(sizes, counts, (tip,))
    mesh = quadratic_mesh(made)
    stiffness, mass = stiffness_and_mass(mesh, nu)
    free = np.ones((mass.shape[0], 3), dtype=bool)
    free[on_plane(mesh, 0, 0.0)] = False
    kept = free.ravel()
    rows = PadFunctions(tip, 0).displacement_moments(mesh, made.pads["tip"])
    along_z = rows[[1]].toarray()[:, kept] / np.sqrt(tip.area)
    matrix = E * stiffness[kept][:, kept]
    return float((along_z @ Factor(matrix.tocsr()).solve(along_z.T)).item())

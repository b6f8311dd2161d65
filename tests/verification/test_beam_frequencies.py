"""Natural frequencies of bars: cantilever and free, against the handbook.

Sources: Blevins, Formulas for Natural Frequency and Mode Shape, table 8-1 (from memory,
roots recomputed): f = (beta L)²/(2 pi L²) sqrt(E I / rho A) with cos cosh = -1 for the
cantilever and cos cosh = 1 for the free bar. Shear and rotary inertia lower them by a
share that falls with the square of the slenderness, so halving it twice extrapolates
to the handbook's slender beam. The stubbier bar's Timoshenko frequencies (Cowper's
coefficient) were computed once from the closed form: 829.04 and 4971.8 Hz. Stretching
of a free bar with nu = 0 is exact in a solid too: f = sqrt(E/rho)/2L.
"""

from math import pi, sqrt

import numpy as np
import pytest
from block_mesh import block_mesh, end_pad, material
from held_bar import held_bar

from fea.core.reduction import ReducedPart, Settings, reduce_part

E, DENSITY = 210_000.0, 7.85e-9
SIDE = 10.0
CANTILEVER = (1.875104, 4.694091)
FREE = (4.730041, 7.853205)
LENGTHS = (100.0, 200.0)


def slender_beam(beta_length: float, length: float) -> float:
    """Frequency of a square bar by the handbook. [Hz]."""
    gyration = SIDE / sqrt(12.0)
    return beta_length**2 / (2.0 * pi * length**2) * sqrt(E / DENSITY) * gyration


def free_bar(length: float, nu: float) -> ReducedPart:
    """Bar along x without any support, reduced to its modes and one patch."""
    sizes = (length, SIDE, SIDE)
    tip = end_pad("tip", sizes, length)
    mesh = block_mesh(sizes, (round(length / 5.0), 2, 2), (tip,))
    return reduce_part(mesh, (), (tip,), nu, Settings(degree=0, modes=8))


def held(length: float, nu: float) -> np.ndarray:
    """Frequencies of a cantilever, in pairs of the two planes. [Hz]."""
    counts = (round(length / 4.0), 3, 3)
    steel = material(E, nu, 7850.0)
    return held_bar((length, SIDE, SIDE), counts, steel).modes(4)[0]


def own_frequencies(part: ReducedPart) -> np.ndarray:
    """Elastic natural frequencies of a free reduced part. [Hz]."""
    inverse_squared = np.linalg.eigvalsh(part.mass)[::-1]
    return np.asarray(np.sqrt(E / DENSITY / inverse_squared) / (2.0 * pi))


def test_a_cantilever_rings_as_timoshenkos_beam() -> None:
    found = held(100.0, 0.3)
    # Bending comes in pairs, one in each plane. Ends are off as in the static case; the
    # coefficient is that of slow bending, which the second mode is less (0.08 %).
    assert found[[0, 1]] == pytest.approx(829.04, rel=5e-4)
    assert found[[2, 3]] == pytest.approx(4971.8, rel=2e-3)


@pytest.mark.parametrize("mode", [0, 1])
def test_a_slender_cantilever_rings_as_the_handbook_says(mode: int) -> None:
    found = [held(length, 0.0)[2 * mode] for length in LENGTHS]
    _tends_to_the_beam(found, CANTILEVER[mode])


@pytest.mark.parametrize("mode", [0, 1])
def test_a_free_bar_rings_as_the_handbook_says(mode: int) -> None:
    found = [own_frequencies(free_bar(length, 0.0))[2 * mode] for length in LENGTHS]
    _tends_to_the_beam(found, FREE[mode])


def test_a_free_bar_stretches_at_its_exact_frequency() -> None:
    found = own_frequencies(free_bar(100.0, 0.0))
    exact = sqrt(E / DENSITY) / 200.0
    # Half a wave over 20 quadratic elements: error (h pi / L)^4 / 720, 1e-6.
    assert np.abs(found / exact - 1.0).min() < 3e-6


def _tends_to_the_beam(found: list[float], beta_length: float) -> None:
    """Shear's share falls to a quarter, and nothing but it is missing. `found` [Hz]."""
    short, long = (
        1.0 - frequency / slender_beam(beta_length, length)
        for frequency, length in zip(found, LENGTHS, strict=True)
    )
    assert short > long > 0.0
    # The share's next term is of its own square.
    assert abs(4.0 * long - short) / 3.0 < max(5e-4, short**2)

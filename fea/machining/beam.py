"""Timoshenko's beam of a round bar, in elements exact under forces at their ends."""

from dataclasses import dataclass
from math import pi

import numpy as np

from fea.core.material import Material
from geometry.pad import FloatArray

POINTS, WEIGHTS = np.polynomial.legendre.leggauss(4)
"""Of Gauss' rule along an element: exact up to degree 7, and 6 is needed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundSection:
    """Cross-section of a bar or tube.

    Parameters
    ----------
    diameter, bore : outer and inner diameter, 0 where the bar is solid [mm]
    material : of the bar
    """

    diameter: float
    bore: float
    material: Material

    @property
    def area(self) -> float:
        """Area. [mm²]."""
        return pi / 4.0 * (self.diameter**2 - self.bore**2)

    @property
    def second_moment(self) -> float:
        """Second moment of area about a diameter. [mm⁴]."""
        return pi / 64.0 * (self.diameter**4 - self.bore**4)

    @property
    def shear_coefficient(self) -> float:
        """Cowper's coefficient of a circle, solid or hollow. [-].

        Notes
        -----
        With m the ratio of the diameters, k = 6 (1 + nu) (1 + m²)² /
        ((7 + 6 nu) (1 + m²)² + (20 + 12 nu) m²): Cowper, The Shear Coefficient in
        Timoshenko's Beam Theory, J. Appl. Mech. 33 (1966) 335; from memory.
        """
        nu, square = self.material.poissons_ratio, (self.bore / self.diameter) ** 2
        whole = (1.0 + square) ** 2
        return (
            6.0
            * (1.0 + nu)
            * whole
            / ((7.0 + 6.0 * nu) * whole + (20.0 + 12.0 * nu) * square)
        )


def bending_matrices(
    section: RoundSection, lengths: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Stiffness and mass of a free beam that bends in one plane.

    Parameters
    ----------
    section : the same along the beam
    lengths : (n,) of the elements, end to end [mm]

    Returns
    -------
    two of (2n + 2, 2n + 2)
        Unknowns are deflection [mm] and rotation of the section [rad] at each node;
        the rotation is the slope where shear is nothing. In N, mm and tonne.

    Notes
    -----
    Element with shear and rotary inertia: Przemieniecki, Theory of Matrix Structural
    Analysis, sections 5.6 and 11.5, from memory; the deflection is Timoshenko's exact
    one for loads at the nodes. Frequencies come out too high by a share that falls with
    the square of the elements' length.
    """
    size = 2 * len(lengths) + 2
    stiffness, mass = np.zeros((size, size)), np.zeros((size, size))
    # Most elements of a bar are equally long.
    springs = {each: _bending_stiffness(section, each) for each in set(lengths)}
    masses = {each: _bending_mass(section, each) for each in set(lengths)}
    for i, length in enumerate(lengths):
        own = slice(2 * i, 2 * i + 4)
        stiffness[own, own] += springs[length]
        mass[own, own] += masses[length]
    return stiffness, mass


def stretching_matrices(
    section: RoundSection, lengths: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Stiffness and mass of a free bar that is stretched. Two of (n + 1, n + 1).

    Parameters
    ----------
    section : the same along the bar
    lengths : (n,) of the elements, end to end [mm]
    """
    size = len(lengths) + 1
    stiffness, mass = np.zeros((size, size)), np.zeros((size, size))
    material = section.material
    for i, length in enumerate(lengths):
        own = slice(i, i + 2)
        spring = material.youngs_modulus_mpa * section.area / length
        third = material.density_t_mm3 * section.area * length / 3.0
        stiffness[own, own] += spring * np.array([[1.0, -1.0], [-1.0, 1.0]])
        mass[own, own] += third * np.array([[1.0, 0.5], [0.5, 1.0]])
    return stiffness, mass


def _shear_share(section: RoundSection, length: float) -> float:
    """Shear over bending flexibility of an element, Phi = 12 E I / (k G A L²)."""
    material = section.material
    bending = 12.0 * material.youngs_modulus_mpa * section.second_moment
    shear = section.shear_coefficient * material.shear_modulus_mpa * section.area
    return bending / (shear * length**2)


def _bending_stiffness(section: RoundSection, length: float) -> FloatArray:
    p, L = _shear_share(section, length), length
    rigidity = section.material.youngs_modulus_mpa * section.second_moment
    near, far = (4.0 + p) * L**2, (2.0 - p) * L**2
    table = np.array(
        [
            [12.0, 6.0 * L, -12.0, 6.0 * L],
            [6.0 * L, near, -6.0 * L, far],
            [-12.0, -6.0 * L, 12.0, -6.0 * L],
            [6.0 * L, far, -6.0 * L, near],
        ]
    )
    return rigidity / (L**3 * (1.0 + p)) * table


def _bending_mass(section: RoundSection, length: float) -> FloatArray:
    """Mass of deflection and of rotation, by the shapes the stiffness belongs to."""
    p, L = _shear_share(section, length), length
    density = section.material.density_t_mm3
    s, scale = (1.0 + POINTS) / 2.0, 1.0 / (1.0 + p)
    deflection = scale * np.array(
        [
            1.0 + p - p * s - 3.0 * s**2 + 2.0 * s**3,
            L * ((1.0 + p / 2.0) * s - (2.0 + p / 2.0) * s**2 + s**3),
            p * s + 3.0 * s**2 - 2.0 * s**3,
            L * (-p / 2.0 * s - (1.0 - p / 2.0) * s**2 + s**3),
        ]
    )
    bow = 6.0 / L * (s**2 - s)
    rotation = scale * np.array(
        [
            bow,
            1.0 + p - (4.0 + p) * s + 3.0 * s**2,
            -bow,
            3.0 * s**2 - (2.0 - p) * s,
        ]
    )
    weighted = density * L / 2.0 * WEIGHTS
    return np.asarray(
        section.area * (deflection * weighted) @ deflection.T
        + section.second_moment * (rotation * weighted) @ rotation.T
    )

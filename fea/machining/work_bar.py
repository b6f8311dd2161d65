"""The workpiece: a round bar in a chuck, with or without a centre in its free end.

The chuck is a rigid disc on the bar's end. It stands on three springs at its face, one
across the spindle, one against tilting, one along it; each holds what spindle, bearings
and the grip of the jaws give together. The spindle moves with the chuck across and
along the axis. It does not tilt with it: what tilts a chuck by so much is the grip of
its jaws and the spindle's nose, because two bearings a span apart are ten times as
stiff. A centre holds the free end across the spindle
and leaves it free to turn. The bar does not rotate here: a round bar is equally stiff
in all directions across its axis. Its twist moves the surface along the cutting speed,
which leaves the chip as it is, and is left out.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from math import pi

import numpy as np

from fea.core.material import Material
from fea.core.modal_model import ModalModel, joined
from fea.machining.beam import RoundSection, bending_matrices, stretching_matrices
from geometry.errors import InputError
from geometry.pad import FloatArray

ELEMENTS = 16
"""Along the bar. Measured on bars of 3 to 15 diameters: the first frequency is then
good to 2e-4, the third to 5e-3; springs are known to a factor."""
BENDING_MODES = 5
"""Kept in each plane; what the others give is in the residual. On a bar of ten
diameters they reach beyond 3 kHz, where the chatter of a lathe ends."""
AXIAL_MODES = 1
"""Kept: the bar on the spindle's spring. The next is the bar's own, above 4 kHz."""
SWINGING = 1.0 / 3.0
"""Of the spindle's mass, felt at its nose across the axis: a uniform rod that turns
about its rear bearing."""
KEPT = 1024
"""Models that are kept: the stacks of a case, and its kinds of record, share them."""
CHUCK_DENSITY_T_MM3 = 7.85e-9
"""Steel: gives the chuck's thickness from its mass and diameter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkBar:
    """The part of the workpiece that stands out of the chuck.

    Parameters
    ----------
    diameter, bore : outer and inner diameter, 0 where it is solid [mm]
    stick_out : from the chuck's face to the free end [mm]
    cut_at : from the chuck's face to the cut [mm]
    material : of the bar, whose loss factor damps it

    Raises
    ------
    InputError
        The bore leaves no wall, or the cut is not on the bar.
    """

    diameter: float
    bore: float
    stick_out: float
    cut_at: float
    material: Material

    def __post_init__(self) -> None:
        """Refuse what is no bar."""
        if not 0.0 <= self.bore < self.diameter:
            message = (
                f"bore = {self.bore:g} mm: must be 0 or greater and less than the "
                f"diameter ({self.diameter:g} mm); correct one of them"
            )
            raise InputError(message)
        if not 0.0 < self.cut_at <= self.stick_out:
            message = (
                f"cut_at = {self.cut_at:g} mm: must be greater than 0 and at most "
                f"stick_out ({self.stick_out:g} mm); correct one of them"
            )
            raise InputError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkHolding:
    """What holds the bar.

    Parameters
    ----------
    radial, axial : springs at the chuck's face, across and along the spindle [N/mm]
    tilting : spring at the chuck's face [N mm/rad]
    spindle_mass, chuck_mass : [t]
    chuck_diameter : [mm]
    centre : spring of the centre across the spindle, None where there is none [N/mm]
    loss_factor : of all these springs [-]
    """

    radial: float
    axial: float
    tilting: float
    spindle_mass: float
    chuck_mass: float
    chuck_diameter: float
    centre: float | None
    loss_factor: float

    def scaled(self, stiffness: float, damping: float) -> "WorkHolding":
        """Return springs that are stiffer, and lose more, by these factors."""
        return replace(
            self,
            radial=self.radial * stiffness,
            axial=self.axial * stiffness,
            tilting=self.tilting * stiffness,
            centre=None if self.centre is None else self.centre * stiffness,
            loss_factor=self.loss_factor * damping,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """Motion in one plane, or along the axis.

    Parameters
    ----------
    stiffness, mass : (n, n)
    lost : (n, n) stiffness, each part of it times its loss factor
    """

    stiffness: FloatArray
    mass: FloatArray
    lost: FloatArray


@lru_cache(maxsize=KEPT)
def work_model(bar: WorkBar, holding: WorkHolding) -> ModalModel:
    """Modes of the held bar, seen from the place on its surface where the tool cuts.

    Parameters
    ----------
    bar : what stands out of the chuck
    holding : chuck, spindle and centre

    Returns
    -------
    ModalModel
        Its static compliance is that of the beam, whatever modes are kept.

    Notes
    -----
    The tool cuts at the height of the axis, on the operator's side. A section that
    turns by psi there moves by -radius * psi along the axis, so bending joins x and y.
    """
    lengths, node = _elements(bar)
    bending = _bending(bar, holding, lengths)
    stretching = _stretching(bar, holding, lengths)
    across, up = np.zeros((2, 3, len(bending.mass)))
    along = np.zeros((3, len(stretching.mass)))
    across[0, 2 * node] = up[2, 2 * node] = along[1, node] = 1.0
    across[1, 2 * node + 1] = -bar.diameter / 2.0
    return joined(
        joined(
            _model(bending, across, BENDING_MODES), _model(bending, up, BENDING_MODES)
        ),
        _model(stretching, along, AXIAL_MODES),
    )


def _elements(bar: WorkBar) -> tuple[FloatArray, int]:
    """Lengths of the elements, and the number of the node at the cut."""
    share = bar.cut_at / bar.stick_out
    before = min(max(round(ELEMENTS * share), 1), ELEMENTS)
    if share == 1.0:
        return np.full(ELEMENTS, bar.stick_out / ELEMENTS), ELEMENTS
    after = max(ELEMENTS - before, 1)
    lengths = np.concatenate(
        [
            np.full(before, bar.cut_at / before),
            np.full(after, (bar.stick_out - bar.cut_at) / after),
        ]
    )
    return lengths, before


def _section(bar: WorkBar) -> RoundSection:
    return RoundSection(diameter=bar.diameter, bore=bar.bore, material=bar.material)


def _bending(bar: WorkBar, holding: WorkHolding, lengths: FloatArray) -> _Line:
    """Beam on the chuck's springs and the centre, with chuck and spindle as masses."""
    stiffness, mass = bending_matrices(_section(bar), lengths)
    springs = np.zeros(len(stiffness))
    springs[:2] = holding.radial, holding.tilting
    springs[-2] += holding.centre or 0.0
    mass[:2, :2] += _chuck(holding)
    mass[0, 0] += SWINGING * holding.spindle_mass
    return _held(stiffness, mass, springs, bar, holding)


def _stretching(bar: WorkBar, holding: WorkHolding, lengths: FloatArray) -> _Line:
    """Bar on the spindle's axial spring, with the masses of chuck and spindle."""
    stiffness, mass = stretching_matrices(_section(bar), lengths)
    springs = np.zeros(len(stiffness))
    springs[0] = holding.axial
    mass[0, 0] += holding.chuck_mass + holding.spindle_mass
    return _held(stiffness, mass, springs, bar, holding)


def _held(
    stiffness: FloatArray,
    mass: FloatArray,
    springs: FloatArray,
    bar: WorkBar,
    holding: WorkHolding,
) -> _Line:
    return _Line(
        stiffness=stiffness + np.diag(springs),
        mass=mass,
        lost=bar.material.loss_factor * stiffness
        + holding.loss_factor * np.diag(springs),
    )


def _chuck(holding: WorkHolding) -> FloatArray:
    """Mass of a disc behind its face, for motion and tilting of the face. (2, 2)."""
    radius = holding.chuck_diameter / 2.0
    thick = holding.chuck_mass / (CHUCK_DENSITY_T_MM3 * pi * radius**2)
    turning = radius**2 / 4.0 + thick**2 / 3.0
    return holding.chuck_mass * np.array([[1.0, -thick / 2.0], [-thick / 2.0, turning]])


def _model(line: _Line, cut: FloatArray, count: int) -> ModalModel:
    """Lowest modes of a line and what is left of its static compliance.

    Parameters
    ----------
    line : with n unknowns
    cut : (3, n) motion of the cut from the unknowns
    count : of the modes that are kept

    Notes
    -----
    Damping ratio = sum of loss factor times energy, over twice the whole energy (modal
    strain energy: Ungar & Kerwin, J. Acoust. Soc. Am. 34 (1962) 954, from memory).
    """
    # In a basis orthonormal in stiffness the softest modes come out sharpest.
    turned = np.linalg.inv(np.linalg.cholesky(line.stiffness))
    inverse, vectors = np.linalg.eigh(turned @ line.mass @ turned.T)
    square = 1.0 / inverse[: -count - 1 : -1]
    vectors = turned.T @ vectors[:, : -count - 1 : -1] * np.sqrt(square)
    lost = np.einsum("ir,ij,jr->r", vectors, line.lost, vectors)
    shapes = (cut @ vectors).T
    give = turned @ cut.T
    return ModalModel(
        frequency_hz=np.sqrt(square) / (2.0 * pi),
        damping_ratio=lost / (2.0 * square),
        shapes=shapes,
        residual=give.T @ give - (shapes.T / square) @ shapes,
    )

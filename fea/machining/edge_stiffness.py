"""How the cutting force answers to small motions of the tool: the dynamic cut."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from fea.machining.chip import chip_elements
from fea.machining.cut import Cut
from fea.machining.force import (
    THRUST_REFERENCE_THICKNESS_MM,
    mean_thickness_mm,
    rake_factor,
)
from fea.machining.work_material import WorkMaterial
from geometry.pad import FloatArray
from geometry.units import MM_PER_M

_TABLE = Path(__file__).with_name("process_damping.toml")
UP = np.array([0.0, 0.0, 1.0])
OUTWARD = np.array([1.0, 0.0, 0.0])
FACING_AXES = [1, 0, 2]
"""A facing tool is a turning tool with depth and feed along each other's axes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slopes:
    """Growth of the force on each millimetre of edge with the chip's thickness.

    Parameters
    ----------
    tangential, thrust : (n,) of each depth [N/mm²]
    """

    tangential: FloatArray
    thrust: FloatArray

    def scaled(self, tangential: float, thrust: float) -> "Slopes":
        """Return the slopes of a material that cuts harder by these factors."""
        return Slopes(
            tangential=self.tangential * tangential, thrust=self.thrust * thrust
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Rubbing:
    """Process damping: friction of the flank on fresh waves.

    Parameters
    ----------
    constant, low, high : C and its 5 and 95 % [N/mm]
    friction : force along the cutting speed over that along the edge's normal [-]
    """

    constant: float
    low: float
    high: float
    friction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EngagedEdge:
    """Pieces of edge at rising depths.

    Parameters
    ----------
    depth_mm : (n,) for a plunging tool its width
    width_mm : (n, e) length of each piece
    normal : (n, e, 3) from the work into the tool, machine frame
    thickness_mm : (n,) mean thickness of the chip
    """

    depth_mm: FloatArray
    width_mm: FloatArray
    normal: FloatArray
    thickness_mm: FloatArray


@cache
def load_rubbing() -> Rubbing:
    """Return the constants of process damping."""
    row = tomllib.loads(_TABLE.read_text(encoding="utf-8"))["any_metal"]
    return Rubbing(
        constant=row["constant_n_per_m"] / MM_PER_M,
        low=row["low_n_per_m"] / MM_PER_M,
        high=row["high_n_per_m"] / MM_PER_M,
        friction=row["friction"],
    )


def turning_edge(cut: Cut, depth_mm: FloatArray) -> EngagedEdge:
    """Edge in longitudinal turning toward the headstock. `depth_mm` (n,) above 0."""
    chip = chip_elements(cut, depth_mm)
    cosine, sine = np.cos(chip.normal_angle), np.sin(chip.normal_angle)
    return EngagedEdge(
        depth_mm=depth_mm,
        width_mm=chip.width_mm,
        normal=np.stack([cosine, sine, np.zeros_like(cosine)], axis=-1),
        thickness_mm=mean_thickness_mm(cut, depth_mm),
    )


def facing_edge(cut: Cut, depth_mm: FloatArray) -> EngagedEdge:
    """Edge in facing: fed toward the axis, the depth along it. See `turning_edge`."""
    turned = turning_edge(cut, depth_mm)
    return EngagedEdge(
        depth_mm=depth_mm,
        width_mm=turned.width_mm,
        normal=turned.normal[..., FACING_AXES],
        thickness_mm=turned.thickness_mm,
    )


def plunging_edge(cut: Cut, width_mm: FloatArray) -> EngagedEdge:
    """Edge of a grooving or parting tool, fed straight at the axis.

    The edge lies along the axis, and its whole width (n,) [mm] cuts a chip as thick as
    the feed; corners and flanks of the tool are left out.
    """
    widths = width_mm[:, None]
    return EngagedEdge(
        depth_mm=width_mm,
        width_mm=widths,
        normal=np.broadcast_to(OUTWARD, (*widths.shape, 3)),
        thickness_mm=np.full(len(width_mm), cut.feed_mm),
    )


def force_slopes(material: WorkMaterial, cut: Cut, edge: EngagedEdge) -> Slopes:
    """Slopes of the force laws at the mean thickness of the chip.

    Notes
    -----
    Of kc1.1 h^(1 - mc) and of kc1.1 ratio (h/0.2 mm)^-q h^(1 - mc), see
    `cutting_force`. At the local thickness they would grow without bound where the nose
    grazes the work.
    """
    law, h = material.thrust, edge.thickness_mm
    power = 1.0 - material.mc
    tangential = power * material.kc11_mpa * h ** (power - 1.0)
    ratio = law.ratio * THRUST_REFERENCE_THICKNESS_MM**law.thin_chip_exponent
    power -= law.thin_chip_exponent
    thrust = power * material.kc11_mpa * ratio * h ** (power - 1.0)
    return Slopes(
        tangential=tangential
        * rake_factor(material, cut, material.rake_percent_per_degree),
        thrust=thrust * rake_factor(material, cut, law.rake_percent_per_degree),
    )


def cutting_matrix(edge: EngagedEdge, slopes: Slopes) -> FloatArray:
    """Change of the force on the tool with its motion against the work.

    Returns
    -------
    (n, 3, 3) [N/mm]
        dF = -K (u(t) - u(t - tau)) for a motion u now and one revolution before; its
        last column is 0, because motion along the cutting speed leaves the chip.

    Notes
    -----
    On a piece of edge of length w with the normal n from the work into the tool, u
    thins the chip by n.u, so dF = -(k_t (-z) + k_n n) (n.u) w. The change of width with
    a motion along the depth is left out: it follows the motion without delay, so it
    feeds no waves back.
    """
    pull = (
        slopes.thrust[:, None, None] * edge.normal
        - slopes.tangential[:, None, None] * UP
    )
    return np.asarray(np.einsum("ne,nei,nej->nij", edge.width_mm, pull, edge.normal))


def rubbing_matrix(edge: EngagedEdge, constant: float, friction: float) -> FloatArray:
    """Process damping times the cutting speed. (n, 3, 3) [N].

    dF = -D du/dt / v with D = C w (n - mu z) n' summed over the edge; `constant` C
    [N/mm], `friction` mu.
    """
    pull = edge.normal - friction * UP
    drag = np.einsum("ne,nei,nej->nij", edge.width_mm, pull, edge.normal)
    return np.asarray(constant * drag)

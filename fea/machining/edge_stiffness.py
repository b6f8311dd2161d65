"""How the cutting force answers to small motions of the tool: the dynamic cut."""

import tomllib
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np

from fea.machining.chip import chip_elements
from fea.machining.cut import Cut
from fea.machining.edge_law import edge_laws
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
    """Growth of the force on each millimetre of edge with the chip's thickness there.

    Parameters
    ----------
    tangential, thrust : (n, e) of each depth and piece of edge [N/mm²]
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
    """Pieces of edge at some depths, each with its own chip.

    Parameters
    ----------
    depth_mm : (n,) for a plunging tool its width
    width_mm : (n, e) length of each piece
    thickness_mm : (n, e) of the chip in a steady cut
    area_mm2 : (n, e) cross-section that the piece removes
    normal : (n, e, 3) from the work into the tool, machine frame
    """

    depth_mm: FloatArray
    width_mm: FloatArray
    thickness_mm: FloatArray
    area_mm2: FloatArray
    normal: FloatArray

    @property
    def chip_width_mm(self) -> FloatArray:
        """Width that makes width times thickness the chip's true area. (n, e).

        On the nose it is less than the edge is long: normals draw together, and the
        surface that the chip comes off is shorter by twice the difference.
        """
        h = self.thickness_mm
        return np.divide(self.area_mm2, h, out=np.zeros_like(h), where=h > 0.0)


EdgeAt = Callable[[Cut, FloatArray], EngagedEdge]
"""Cut and depths (n,) [mm] to the edge."""


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
    used = (chip.width_mm > 0.0).any(axis=0)
    angle = chip.normal_angle[:, used]
    flat = np.zeros_like(angle)
    return EngagedEdge(
        depth_mm=depth_mm,
        width_mm=chip.width_mm[:, used],
        thickness_mm=chip.thickness_mm[:, used],
        area_mm2=chip.area_mm2[:, used],
        normal=np.stack([np.cos(angle), np.sin(angle), flat], axis=-1),
    )


def facing_edge(cut: Cut, depth_mm: FloatArray) -> EngagedEdge:
    """Edge in facing: fed toward the axis, the depth along it. See `turning_edge`."""
    turned = turning_edge(cut, depth_mm)
    return replace(turned, normal=turned.normal[..., FACING_AXES])


def plunging_edge(cut: Cut, width_mm: FloatArray) -> EngagedEdge:
    """Edge of a grooving or parting tool, fed straight at the axis.

    The edge lies along the axis, and its whole width (n,) [mm] cuts a chip as thick as
    the feed; corners and flanks of the tool are left out.
    """
    widths = width_mm[:, None]
    return EngagedEdge(
        depth_mm=width_mm,
        width_mm=widths,
        thickness_mm=np.full_like(widths, cut.feed_mm),
        area_mm2=widths * cut.feed_mm,
        normal=np.broadcast_to(OUTWARD, (*widths.shape, 3)),
    )


def force_slopes(material: WorkMaterial, cut: Cut, edge: EngagedEdge) -> Slopes:
    """Slopes of the force laws at each piece's own thickness; see `EdgeLaw.slope`."""
    laws, h = edge_laws(material, cut), edge.thickness_mm
    return Slopes(tangential=laws.tangential.slope(h), thrust=laws.thrust.slope(h))


def cutting_matrix(edge: EngagedEdge, slopes: Slopes) -> FloatArray:
    """Change of the force on the tool with its motion against the work.

    Returns
    -------
    (n, 3, 3) [N/mm]
        dF = -K (u(t) - u(t - tau)) for a motion u now and one revolution before; its
        last column is 0, because motion along the cutting speed leaves the chip.

    Notes
    -----
    On a piece of edge whose chip is w wide, with the normal n from the work into the
    tool, u thins the chip by n.u, so dF = -(k_t (-z) + k_n n) (n.u) w. The change of
    width with a motion along the depth is left out: it follows the motion without
    delay, so it feeds no waves back.
    """
    pull = slopes.thrust[..., None] * edge.normal - slopes.tangential[..., None] * UP
    weighed = edge.chip_width_mm[..., None] * pull
    return np.asarray(weighed.swapaxes(1, 2) @ edge.normal)


def rubbing_matrix(edge: EngagedEdge, constant: float, friction: float) -> FloatArray:
    """Process damping times the cutting speed. (n, 3, 3) [N].

    dF = -D du/dt / v with D = C w (n - mu z) n' summed over the edge; `constant` C
    [N/mm], `friction` mu.
    """
    pull = edge.width_mm[..., None] * (edge.normal - friction * UP)
    return np.asarray(constant * (pull.swapaxes(1, 2) @ edge.normal))

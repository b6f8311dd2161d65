"""The engaged edge in pieces that each know their own chip, force and damping."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from fea.machining.chip import chip_elements
from fea.machining.cut import Cut
from fea.machining.edge_stiffness import FACING_AXES, OUTWARD, UP
from fea.machining.force import THRUST_REFERENCE_THICKNESS_MM, rake_factor
from fea.machining.work_material import WorkMaterial
from geometry.pad import FloatArray

LEAST_POWER = 1e-9
"""In place of 0, so that a piece without a chip has no force (0 to the 0 is 1)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarchingEdge:
    """Engaged edge in pieces, for several depths that are marched side by side.

    Parameters
    ----------
    normal : (n_depth, 2, n_piece) x and y of the normals, from work into tool
    steady_mm : (n_depth, 1, n_piece) thickness of the chip in a steady cut
    power : of the chip's thickness, in the thrust and in the tangential force
    weight : (n_depth, 2 n_piece, 3) force on the tool for each power of the thickness,
        thrust first
    damping : (n_depth, n_piece, 3) force for a piece's velocity along its normal while
        it is in contact [N s/mm]
    """

    normal: FloatArray
    steady_mm: FloatArray
    power: tuple[float, float]
    weight: FloatArray
    damping: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgePieces:
    """Engaged edge in short pieces, each with its own chip.

    Parameters
    ----------
    width_mm : (n_depth, n_piece) length of edge
    thickness_mm : (n_depth, n_piece) of the chip in a steady cut
    area_mm2 : (n_depth, n_piece) cross-section that the piece removes
    normal : (n_depth, n_piece, 3) from the work into the tool, machine frame
    """

    width_mm: FloatArray
    thickness_mm: FloatArray
    area_mm2: FloatArray
    normal: FloatArray


PiecesAt = Callable[[Cut, FloatArray], EdgePieces]
"""Cut and depths (n_depth,) [mm] to the pieces of the edge."""


def turning_pieces(cut: Cut, depth_mm: FloatArray) -> EdgePieces:
    """Edge in longitudinal turning toward the headstock."""
    chip = chip_elements(cut, depth_mm)
    used = (chip.area_mm2 > 0.0).any(axis=0)
    angle = chip.normal_angle[:, used]
    flat = np.zeros_like(angle)
    return EdgePieces(
        width_mm=chip.width_mm[:, used],
        thickness_mm=chip.thickness_mm[:, used],
        area_mm2=chip.area_mm2[:, used],
        normal=np.stack([np.cos(angle), np.sin(angle), flat], axis=-1),
    )


def facing_pieces(cut: Cut, depth_mm: FloatArray) -> EdgePieces:
    """Edge in facing: fed toward the axis, the depth along it."""
    turned = turning_pieces(cut, depth_mm)
    return replace(turned, normal=turned.normal[..., FACING_AXES])


def plunging_pieces(cut: Cut, width_mm: FloatArray) -> EdgePieces:
    """Whole width of a grooving or parting tool, fed straight at the axis."""
    width = width_mm[:, None]
    return EdgePieces(
        width_mm=width,
        thickness_mm=np.full_like(width, cut.feed_mm),
        area_mm2=width * cut.feed_mm,
        normal=np.broadcast_to(OUTWARD, (*width.shape, 3)),
    )


def marching_edge(
    material: WorkMaterial,
    cut: Cut,
    pieces: EdgePieces,
    damping_n_s_mm2: float,
    friction: float,
) -> MarchingEdge:
    """Edge that follows the laws of `cutting_force`, piece by piece.

    Parameters
    ----------
    material : constants of the work material
    cut : feed and shape of the edge
    pieces : of the engaged edge
    damping_n_s_mm2 : process damping, force along the normal for each length of edge
        and velocity [N s/mm²]
    friction : force downward over that along the normal, in process damping

    Returns
    -------
    MarchingEdge
    """
    h, law, normal = pieces.thickness_mm, material.thrust, pieces.normal
    width = np.divide(pieces.area_mm2, h, out=np.zeros_like(h), where=h > 0.0)
    sharp = 1.0 - material.mc
    keen = material.kc11_mpa * rake_factor(
        material, cut, material.rake_percent_per_degree
    )
    ratio = law.ratio * THRUST_REFERENCE_THICKNESS_MM**law.thin_chip_exponent
    blunt = material.kc11_mpa * ratio
    blunt *= rake_factor(material, cut, law.rake_percent_per_degree)
    pushed = blunt * width[..., None] * normal
    turned = -keen * width[..., None] * UP
    return MarchingEdge(
        normal=np.ascontiguousarray(normal[..., :2].swapaxes(1, 2)),
        steady_mm=h[:, None, :],
        power=(max(sharp - law.thin_chip_exponent, LEAST_POWER), sharp),
        weight=np.concatenate([pushed, turned], axis=1),
        damping=damping_n_s_mm2 * pieces.width_mm[..., None] * (normal - friction * UP),
    )


def mean_thickness(edge: MarchingEdge) -> FloatArray:
    """Mean of the chip's steady thickness over the edge. (n_depth,) [mm]."""
    h = edge.steady_mm[:, 0]
    width = edge.weight[:, h.shape[1] :, 2]
    return np.asarray((h * width).sum(axis=1) / width.sum(axis=1))


def steady_force(edge: MarchingEdge) -> FloatArray:
    """Force on the tool in a steady cut. (n_depth, 1, 3) [N]."""
    powers = [edge.steady_mm**power for power in edge.power]
    return np.asarray(np.concatenate(powers, axis=-1) @ edge.weight)


def force_slopes(edge: MarchingEdge) -> tuple[FloatArray, FloatArray]:
    """Change of a steady cut's force with the tool's motion x, y and its velocity.

    Returns
    -------
    two of (n_depth, 2, 3) [N/mm], [N s/mm]
        Rows are the motion, columns the force; the surface stays as it is.
    """
    h = edge.steady_mm
    # A column that another depth needs has neither chip nor weight here.
    thick = np.where(h > 0.0, h, 1.0)
    slopes = [power * thick ** (power - 1.0) for power in edge.power]
    pieces = np.concatenate(slopes, axis=-1).swapaxes(1, 2) * edge.weight
    n_piece = h.shape[-1]
    by_piece = pieces[:, :n_piece] + pieces[:, n_piece:]
    return -edge.normal @ by_piece, -edge.normal @ edge.damping

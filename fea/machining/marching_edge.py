"""The engaged edge made ready for a march through time."""

from dataclasses import dataclass

import numpy as np

from fea.machining.cut import Cut
from fea.machining.edge_law import edge_laws, thickness_range
from fea.machining.edge_stiffness import UP, EngagedEdge
from fea.machining.work_material import WorkMaterial
from geometry.pad import FloatArray

TERMS = 4
"""Of which the force on a piece of edge is the sum; see `MarchingEdge.terms`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarchingEdge:
    """Engaged edge in pieces, for several depths that are marched side by side.

    Parameters
    ----------
    normal : (n_depth, 2, n_piece) x and y of the normals, from work into tool
    steady_mm : (n_depth, 1, n_piece) thickness of the chip in a steady cut
    least_mm : thickness below which the force runs along a parabola
    power : of the chip's thickness, in the thrust and in the tangential force
    weight : (n_depth, 4 n_piece, 3) force on the tool for each row of `terms`
    damping : (n_depth, n_piece, 3) force for a piece's velocity along its normal while
        it is in contact [N s/mm]
    """

    normal: FloatArray
    steady_mm: FloatArray
    least_mm: float
    power: tuple[float, float]
    weight: FloatArray
    damping: FloatArray

    def terms(self, chip_mm: FloatArray, out: FloatArray) -> FloatArray:
        """Split the force into terms, for a chip (.., n_piece) on each piece.

        Returns
        -------
        (.., 4 n_piece), which is `out`
            Powers of the thickness in thrust and tangential force, what the chip lacks
            of the least thickness, as a share of it (below 0), and its square; all 0
            without a chip.
        """
        parts = out.reshape(*chip_mm.shape[:-1], TERMS, chip_mm.shape[-1])
        thrust, tangential, lack, square = (parts[..., row, :] for row in range(TERMS))
        thick = np.maximum(chip_mm, self.least_mm)
        np.power(thick, self.power[0], out=thrust)
        np.power(thick, self.power[1], out=tangential)
        np.minimum(chip_mm / self.least_mm - 1.0, 0.0, out=lack)
        np.square(lack, out=square)
        parts *= (chip_mm > 0.0)[..., None, :]
        return out


def marching_edge(
    material: WorkMaterial,
    cut: Cut,
    edge: EngagedEdge,
    damping_n_s_mm2: float,
    friction: float,
) -> MarchingEdge:
    """Edge whose force follows `edge_laws` piece by piece; see `EdgeLaw.slope`.

    Parameters
    ----------
    material : constants of the work material
    cut : feed and shape of the edge
    edge : engaged
    damping_n_s_mm2 : process damping, force along the normal for each length of edge
        and velocity [N s/mm²]
    friction : force downward over that along the normal, in process damping

    Returns
    -------
    MarchingEdge
    """
    laws, normal = edge_laws(material, cut), edge.normal
    least = thickness_range().least_mm
    width = edge.chip_width_mm[..., None]
    pulls = (laws.thrust, width * normal), (laws.tangential, -width * UP)
    powers = [law.scale * pull for law, pull in pulls]
    lack = sum(law.power * law.scale * least**law.power * pull for law, pull in pulls)
    square = sum(
        (law.power - 1.0) * law.scale * least**law.power * pull for law, pull in pulls
    )
    return MarchingEdge(
        normal=np.ascontiguousarray(normal[..., :2].swapaxes(1, 2)),
        steady_mm=edge.thickness_mm[:, None, :],
        least_mm=least,
        power=(laws.thrust.power, laws.tangential.power),
        weight=np.concatenate([*powers, lack, square], axis=1),
        damping=damping_n_s_mm2 * edge.width_mm[..., None] * (normal - friction * UP),
    )


def mean_thickness(edge: MarchingEdge) -> FloatArray:
    """Mean of the chip's steady thickness over the edge. (n_depth,) [mm]."""
    h = edge.steady_mm[:, 0]
    width = edge.weight[:, h.shape[1] : 2 * h.shape[1], 2]
    return np.asarray((h * width).sum(axis=1) / width.sum(axis=1))


def steady_force(edge: MarchingEdge) -> FloatArray:
    """Force on the tool in a steady cut. (n_depth, 1, 3) [N].

    Where chips are thin it is a little less than that of `cutting_force`, whose power
    law goes on to no thickness at all.
    """
    depths, _, pieces = edge.steady_mm.shape
    room = np.empty((depths, 1, TERMS * pieces))
    return np.asarray(edge.terms(edge.steady_mm, room) @ edge.weight)


def motion_slopes(edge: MarchingEdge) -> tuple[FloatArray, FloatArray]:
    """Change of a steady cut's force with the tool's motion x, y and its velocity.

    Returns
    -------
    two of (n_depth, 2, 3) [N/mm], [N s/mm]
        Rows are the motion, columns the force; the surface stays as it is.
    """
    h, least = edge.steady_mm, edge.least_mm
    thin, thick = h < least, np.maximum(h, least)
    # Of the terms, in their order: powers change only with chips that are not thin.
    slopes = [~thin * power * thick ** (power - 1.0) for power in edge.power]
    slopes += [thin / least, 2.0 * thin * (h / least - 1.0) / least]
    weight = edge.weight.reshape(len(h), TERMS, h.shape[-1], 3)
    by_piece = sum(
        slope.swapaxes(1, 2) * weight[:, row] for row, slope in enumerate(slopes)
    )
    return -edge.normal @ by_piece, -edge.normal @ edge.damping

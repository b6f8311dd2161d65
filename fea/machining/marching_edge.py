"""The engaged edge made ready for a march through time."""

from dataclasses import dataclass

import numpy as np

from fea.machining.cut import Cut
from fea.machining.edge_law import edge_laws, thickness_range
from fea.machining.edge_stiffness import UP, EngagedEdge
from fea.machining.work_material import WorkMaterial
from geometry.pad import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class MarchingEdge:
    """Engaged edge in pieces, for several depths that are marched side by side.

    Parameters
    ----------
    normal : (n_depth, 2, n_piece) x and y of the normals, from work into tool
    steady_mm : (n_depth, 1, n_piece) thickness of the chip in a steady cut
    least_mm : thickness below which the force runs along its tangent there
    power : of the chip's thickness, in the thrust and in the tangential force
    weight : (n_depth, 3 n_piece, 3) force on the tool for each row of `terms`
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
        (.., 3 n_piece), which is `out`
            Powers of the thickness in thrust and tangential force, and what the chip
            lacks of the least thickness (below 0); all 0 without a chip.
        """
        parts = out.reshape(*chip_mm.shape[:-1], 3, chip_mm.shape[-1])
        thrust, tangential, lack = (parts[..., row, :] for row in range(3))
        np.minimum(chip_mm - self.least_mm, 0.0, out=lack)
        thick = chip_mm - lack
        np.power(thick, self.power[0], out=thrust)
        np.power(thick, self.power[1], out=tangential)
        parts *= (chip_mm > 0.0)[..., None, :]
        return out


def marching_edge(
    material: WorkMaterial,
    cut: Cut,
    edge: EngagedEdge,
    damping_n_s_mm2: float,
    friction: float,
) -> MarchingEdge:
    """Edge whose force follows `edge_laws` piece by piece, thin chips along a tangent.

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
    least = np.array(thickness_range().least_mm)
    width = edge.chip_width_mm[..., None]
    along, down = width * normal, -width * UP
    lacking = laws.thrust.slope(least) * along + laws.tangential.slope(least) * down
    return MarchingEdge(
        normal=np.ascontiguousarray(normal[..., :2].swapaxes(1, 2)),
        steady_mm=edge.thickness_mm[:, None, :],
        least_mm=float(least),
        power=(laws.thrust.power, laws.tangential.power),
        weight=np.concatenate(
            [laws.thrust.scale * along, laws.tangential.scale * down, lacking], axis=1
        ),
        damping=damping_n_s_mm2 * edge.width_mm[..., None] * (normal - friction * UP),
    )


def mean_thickness(edge: MarchingEdge) -> FloatArray:
    """Mean of the chip's steady thickness over the edge. (n_depth,) [mm]."""
    h = edge.steady_mm[:, 0]
    width = edge.weight[:, h.shape[1] : 2 * h.shape[1], 2]
    return np.asarray((h * width).sum(axis=1) / width.sum(axis=1))


def steady_force(edge: MarchingEdge) -> FloatArray:
    """Force on the tool in a steady cut. (n_depth, 1, 3) [N].

    Where chips are thin it is a little more than that of `cutting_force`, whose power
    law lies below its tangent.
    """
    depths, _, pieces = edge.steady_mm.shape
    room = np.empty((depths, 1, 3 * pieces))
    return np.asarray(edge.terms(edge.steady_mm, room) @ edge.weight)


def motion_slopes(edge: MarchingEdge) -> tuple[FloatArray, FloatArray]:
    """Change of a steady cut's force with the tool's motion x, y and its velocity.

    Returns
    -------
    two of (n_depth, 2, 3) [N/mm], [N s/mm]
        Rows are the motion, columns the force; the surface stays as it is.
    """
    felt = np.maximum(edge.steady_mm, edge.least_mm)
    slopes = [power * felt ** (power - 1.0) for power in edge.power]
    pieces = np.concatenate(slopes, axis=-1).swapaxes(1, 2)
    n_piece = felt.shape[-1]
    pieces = pieces * edge.weight[:, : 2 * n_piece]
    by_piece = pieces[:, :n_piece] + pieces[:, n_piece:]
    return -edge.normal @ by_piece, -edge.normal @ edge.damping

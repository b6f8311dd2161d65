"""A cantilever whose root is held as beam theory holds it."""

from dataclasses import dataclass

import numpy as np
from block_mesh import Counts, Sizes, block_mesh, end_pad, placed

from fea.core.joint import Joint, PadRef
from fea.core.material import Material
from fea.core.pad_functions import ALONG_FIRST, ALONG_SECOND
from fea.core.reduction import Settings, reduce_part
from fea.core.stack import Stack
from geometry.pad import FloatArray

FIRST, NORMAL = 0, 2  # axes of a pad

BEAM = Settings(degree=1, modes=8)

# Stiffer than a bar of steel by six orders: its own motion is below every tolerance.
RIGID = 1e12


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldSection:
    """Joint law that holds a section's mean shift and mean rotations, and no more.

    The section is free to warp and to contract, as in Cowper's derivation of the
    shear coefficient. For a pad of degree 1.

    Parameters
    ----------
    stiffness : [N/mm³]
    """

    stiffness: float

    def coefficient_stiffness(self, count: int) -> FloatArray:
        held = np.zeros((count, 3))
        held[0] = self.stiffness
        if count > ALONG_FIRST:
            held[[ALONG_FIRST, ALONG_SECOND], NORMAL] = self.stiffness
            held[ALONG_SECOND, FIRST] = self.stiffness
        return held.ravel()


def held_bar(sizes: Sizes, counts: Counts, made_of: Material) -> Stack:
    """Bar along x, its root held as beam theory holds it, its whole end as its tip."""
    root, tip = end_pad("root", sizes, 0.0), end_pad("tip", sizes, sizes[0])
    mesh = block_mesh(sizes, counts, (root, tip))
    reduced = reduce_part(mesh, (root,), (tip,), made_of.poissons_ratio, BEAM)
    joint = Joint(
        name="wall",
        lower=None,
        upper=PadRef(part="bar", pad="root"),
        law=HeldSection(stiffness=RIGID),
    )
    part = placed("bar", reduced, made_of, (root, tip))
    return Stack([part], [joint], [], PadRef(part="bar", pad="tip"))

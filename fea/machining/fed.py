"""Which way the tool is fed, and what follows from it for force and size."""

from dataclasses import replace
from enum import StrEnum

from fea.machining.cut import Cut
from fea.machining.edge_stiffness import FACING_AXES
from fea.machining.force import cutting_force
from fea.machining.work_material import WorkMaterial
from geometry.pad import FloatArray

RADIAL, AXIAL = 0, 1
DEPTH, WIDTH = "depth of cut", "width of tool"


class Fed(StrEnum):
    """Along the bar in turning, across its face in facing, straight in to plunge."""

    ALONG = "along"
    ACROSS = "across"
    IN = "in"

    @property
    def quantity(self) -> str:
        """What a larger cut is larger in."""
        return WIDTH if self is Fed.IN else DEPTH

    @property
    def leaves(self) -> int | None:
        """Axis along which the tip moves out of the cut; None if the depth stays.

        A plunging tool cuts its whole width whatever gives way, and once it gives way
        no more than before, a chip as thick as the feed.
        """
        return {Fed.ALONG: RADIAL, Fed.ACROSS: AXIAL, Fed.IN: None}[self]


def plunging_cut(cut: Cut) -> Cut:
    """Return the straight edge of a plunging tool, at right angles to its feed."""
    return replace(cut, entering_angle_deg=90.0, nose_radius_mm=0.0)


def fed_force(fed: Fed, material: WorkMaterial, cut: Cut, size_mm: float) -> FloatArray:
    """Force on the tool, fed one way or another. (3,) [N].

    Parameters
    ----------
    fed : how
    material, cut : as `cutting_force` takes them, for a plunging tool `plunging_cut`
    size_mm : depth that is cut, or the width of a plunging tool

    Notes
    -----
    A facing tool is a turning tool with depth and feed along each other's axes: +y,
    away from the face, is passive, and +x is against the feed toward the axis. A
    plunging tool is one whose straight edge lies along the axis: its depth is the
    width, and all of its thrust is against the feed.
    """
    force = cutting_force(material, cut, size_mm)
    return force if fed is Fed.ALONG else force[FACING_AXES]

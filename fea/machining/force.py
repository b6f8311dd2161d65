"""Cutting force on the tool: Kienzle's law along the engaged edge."""

import numpy as np

from fea.machining.chip import chip_elements, require_depths
from fea.machining.cut import Cut
from fea.machining.edge_law import edge_laws, thickness_range
from fea.machining.work_material import WorkMaterial
from geometry.pad import FloatArray

RAKE_RANGE_DEG = (-15.0, 15.0)
"""Where the linear rake factors were measured (from memory)."""

ASSUMPTIONS = (
    "Cutting force by Kienzle's law for a sharp carbide edge at moderate speed: a worn "
    "edge gives 1.3 to 1.5 times as much, a high-speed-steel one about 1.2 times "
    "(German textbooks, from memory).",
    "The thrust is taken to be normal to the edge in the reference plane; chip flow, "
    "edge inclination and chip breakers are left out, and published force laws lean "
    "about 10 degrees from it.",
)


def cutting_force(
    material: WorkMaterial, cut: Cut, depth_mm: float | FloatArray
) -> FloatArray:
    """Force on the tool in longitudinal turning toward the headstock.

    Parameters
    ----------
    material : constants of the work material
    cut : feed and shape of the edge
    depth_mm : () or (n,) depth that is cut; 0 gives no force. [mm]

    Returns
    -------
    (3,) or (n, 3) [N]
        Machine frame: +x away from the work (passive), +y toward the tailstock
        (against the feed), -z along the work's motion (tangential, so negative).

    Raises
    ------
    InputError
        A depth is negative or not a number, or the rake is beyond the law's reach.

    Notes
    -----
    On each piece of edge, of thickness h and chip area h dw, the forces of `edge_laws`
    on dw. Outside of the laws' range of thickness they are extrapolated:
    `validity_notes` says where. A steady force may be, for thin chips carry little of
    it; its slopes may not, so waves are felt along another law there (`EdgeLaw.slope`).
    """
    chip = chip_elements(cut, depth_mm)
    h = chip.thickness_mm
    # Width that makes width times thickness the chip's true area: on the nose the
    # edge itself is longer, because its normals draw together.
    width = np.divide(chip.area_mm2, h, out=np.zeros_like(h), where=h > 0.0)
    laws = edge_laws(material, cut)
    thrust = laws.thrust.force(h) * width
    tangential = laws.tangential.force(h) * width
    force = np.stack(
        [
            (thrust * np.cos(chip.normal_angle)).sum(axis=1),
            (thrust * np.sin(chip.normal_angle)).sum(axis=1),
            0.0 - tangential.sum(axis=1),  # not -0.0 at depth 0
        ],
        axis=-1,
    )
    return np.asarray(force[0] if np.ndim(depth_mm) == 0 else force)


def mean_thickness_mm(cut: Cut, depth_mm: float | FloatArray) -> FloatArray:
    """Chip's area over the engaged edge's length, 0 at depth 0. (n,) [mm].

    Parameters
    ----------
    cut : feed and shape of the edge
    depth_mm : () or (n,) depth of cut. [mm]

    Returns
    -------
    (n,) [mm]
        Woxén's equivalent chip thickness, with the exact chip in place of his sum.
    """
    chip = chip_elements(cut, depth_mm)
    length = chip.width_mm.sum(axis=1)
    engaged = np.where(length > 0.0, length, 1.0)
    return np.asarray(chip.area_mm2.sum(axis=1) / engaged)


def validity_notes(cut: Cut, depth_mm: float | FloatArray) -> tuple[str, ...]:
    """Say what makes the force doubtful for this cut, one sentence each.

    Parameters
    ----------
    cut : feed and shape of the edge
    depth_mm : () or (n,) depths of cut; 0 is passed over. [mm]

    Returns
    -------
    tuple of str
        Empty if every chip and the rake are within the law's range.

    Raises
    ------
    InputError
        A depth is negative or not a number.
    """
    depths = require_depths(depth_mm)
    depths = depths[depths > 0.0]
    notes = _thickness_notes(cut, depths) if depths.size else []
    low, high = RAKE_RANGE_DEG
    if not low <= cut.rake_deg <= high:
        notes.append(
            f"The rake of {cut.rake_deg:g} deg is outside of {low:g} to {high:g} deg, "
            "where the rake factors were measured."
        )
    if cut.feed_mm > cut.nose_radius_mm > 0.0:
        notes.append(
            f"The feed of {cut.feed_mm:g} mm is greater than the nose radius of "
            f"{cut.nose_radius_mm:g} mm: the chip at the nose is only estimated."
        )
    return tuple(notes)


def _thickness_notes(cut: Cut, depths: FloatArray) -> list[str]:
    known = thickness_range()
    low, high = known.least_mm, known.greatest_mm
    mean = mean_thickness_mm(cut, depths)
    notes = []
    if (mean < low).any():
        notes.append(
            f"Up to {depths[mean < low].max():g} mm of depth the chip is on average "
            f"thinner than {low:g} mm: the force law is extrapolated, and an edge that "
            "is not keen rubs and pushes harder than stated."
        )
    if (mean > high).any():
        notes.append(
            f"From {depths[mean > high].min():g} mm of depth the chip is on average "
            f"thicker than {high:g} mm: the force law is extrapolated."
        )
    return notes

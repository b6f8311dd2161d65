"""Features that a part states of itself, against what its solid shows."""

from dataclasses import replace

import gmsh
import numpy as np
import pytest
from stack_parts import BLOCK, BODY, HOLDER, SAMPLES, TOP_SLIDE

from geometry.feature import Notch
from geometry.kernel import gmsh_model
from geometry.mesher import mesh_part
from geometry.reentrant import re_entrant_curves
from geometry.shape import Shape

SHAPES = {name: sample.shape for name, sample in SAMPLES.items()} | {
    "body with a recess": replace(BODY, recess=14.0),
    "offset body": replace(BODY, dovetail_offset=4.0),
    "offset holder": replace(HOLDER, dovetail_offset=-5.0),
    "slide with ways that run through": replace(TOP_SLIDE, end_wall=0.0),
}

CIRCLE = 720
RADIUS_MM = 0.05

Ends = frozenset[tuple[float, ...]]


def ends_of_curve(curve: int) -> Ends:
    points = gmsh.model.getBoundary([(1, curve)], oriented=False)
    return frozenset(rounded(gmsh.model.getValue(0, tag, [])) for _, tag in points)


def rounded(point: object) -> tuple[float, ...]:
    return tuple((np.round(np.asarray(point, dtype=float), 6) + 0.0).tolist())


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES.keys())
def test_stated_notches_are_the_re_entrant_edges_of_the_solid(shape: Shape) -> None:
    stated = {frozenset((rounded(n.start), rounded(n.end))) for n in shape.notches()}
    assert len(stated) == len(shape.notches())
    with gmsh_model("part") as model:
        volume = shape.build()
        model.model.occ.synchronize()
        found = {ends_of_curve(curve) for curve in re_entrant_curves(volume)}
    assert stated == found


def void_deg(volume: int, notch: Notch) -> float:
    """Angle of a small circle around a notch's middle that lies outside. [degrees]."""
    start, end = np.asarray(notch.start), np.asarray(notch.end)
    along = (end - start) / np.linalg.norm(end - start)
    across = np.cross(along, np.eye(3)[np.argmin(np.abs(along))])
    across /= np.linalg.norm(across)
    turns = 2.0 * np.pi * (np.arange(CIRCLE) + 0.5) / CIRCLE
    ring = np.outer(np.cos(turns), across)
    ring += np.outer(np.sin(turns), np.cross(along, across))
    points = (start + end) / 2.0 + RADIUS_MM * ring
    inside = gmsh.model.isInside(3, volume, points.ravel())
    return 360.0 * (1.0 - inside / CIRCLE)


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES.keys())
def test_stated_opening_of_a_notch_is_the_void_of_the_solid(shape: Shape) -> None:
    with gmsh_model("part") as model:
        volume = shape.build()
        model.model.occ.synchronize()
        found = [void_deg(volume, notch) for notch in shape.notches()]
    # Each face may catch one point of the circle too many or too few, half a degree.
    stated = [notch.opening_deg for notch in shape.notches()]
    assert found == pytest.approx(stated, abs=2.0)


def test_distance_from_a_notch_is_to_the_edge_and_not_to_its_line() -> None:
    notch = Notch(
        name="root", start=(0.0, 0.0, 0.0), end=(10.0, 0.0, 0.0), opening_deg=90.0
    )
    points = np.array([[5.0, 3.0, 4.0], [13.0, 0.0, 4.0], [-3.0, 4.0, 0.0]])
    assert notch.distance(points) == pytest.approx([5.0, 5.0, 5.0])


def test_the_bore_of_a_body_is_in_its_zone_and_its_corners_are_not() -> None:
    mesh = mesh_part(BODY, [], 12.0, name="body")
    (bore,) = BODY.zones()
    off = np.hypot(mesh.points[:, 0], mesh.points[:, 1])
    inside = bore.contains(mesh.points)
    assert (off < BODY.bore / 2.0 + 1e-6).sum() > 10
    assert inside[off < BODY.bore / 2.0 + 1e-6].all()
    assert not inside[off > BODY.side / 2.0].any()


def test_lips_of_a_holder_are_the_walls_beside_its_slot_and_dovetail() -> None:
    under, over, near, far = HOLDER.zones()
    middle = HOLDER.length / 2.0
    at = {
        under.name: (middle, -HOLDER.thickness, 0.0),
        over.name: (middle, -HOLDER.thickness, HOLDER.height),
        near.name: (0.0, 0.0, HOLDER.height / 2.0),
        far.name: (HOLDER.length, 0.0, HOLDER.height / 2.0),
    }
    web = (middle, HOLDER.slot_depth - HOLDER.thickness + 1.0, HOLDER.height / 2.0)
    for zone in (under, over, near, far):
        points = np.array([*at.values(), web])
        assert zone.contains(points).tolist() == [
            name == zone.name for name in (*at, "web")
        ]


def test_every_slot_of_a_block_has_its_two_roots() -> None:
    middles = np.array([np.add(n.start, n.end) / 2.0 for n in BLOCK.notches()])
    heights = sorted(set(middles[:, 2].tolist()))
    assert heights == [BLOCK.floor, BLOCK.floor + BLOCK.slot_height]
    assert len(np.unique(middles.round(6), axis=0)) == 8

"""Meshes: they fill the solid, carry the pads exactly, and are the same every time."""

from dataclasses import replace

import numpy as np
import pytest
from stack_parts import BODY, HOLDER, SAMPLES, flat

import geometry.mesher
from geometry.errors import InputError, MeshError
from geometry.facets import boundary_triangles
from geometry.kernel import gmsh_model
from geometry.mesh import PartMesh
from geometry.mesher import DELAUNAY, mesh_part
from geometry.parts.four_way_block import FourWayBlock
from geometry.parts.moving_flank import MovingFlank
from geometry.parts.post_body import PostBody

COARSE = 24.0

# Flat faces are meshed exactly: only rounding is left.
ROUNDING = 1e-9

# Ten straight sides leave 1 - sin(2 pi / 10) / (2 pi / 10) = 0.065 of the bore's area.
BORE_MISSED = 0.065


@pytest.fixture(scope="module")
def meshes() -> dict[str, PartMesh]:
    return {
        name: mesh_part(sample.shape, sample.pads, COARSE, name=name)
        for name, sample in SAMPLES.items()
    }


@pytest.mark.parametrize("name", SAMPLES)
def test_kernel_volume_is_the_closed_form(name: str) -> None:
    shape = SAMPLES[name].shape
    with gmsh_model(name) as gmsh:
        volume = gmsh.model.occ.getMass(3, shape.build())
    assert volume == pytest.approx(shape.volume, rel=ROUNDING)


def test_moving_flank_fills_the_recess_of_the_body() -> None:
    recess, offset = 12.0, 3.0
    body = replace(BODY, recess=recess, dovetail_offset=offset)
    flank = MovingFlank(height=BODY.height, dovetail=BODY.dovetail, recess=recess)
    with gmsh_model("post") as gmsh:
        parts = [(3, body.build()), (3, flank.build())]
        gmsh.model.occ.translate(parts[1:], -offset, -BODY.side / 2.0, 0.0)
        whole, _ = gmsh.model.occ.fuse(parts[:1], parts[1:])
        volumes = [gmsh.model.occ.getMass(*solid) for solid in whole]
    # One solid, as large as both: they touch, and do not overlap.
    assert volumes == pytest.approx([body.volume + flank.volume], rel=ROUNDING)
    assert volumes == pytest.approx([BODY.volume], rel=ROUNDING)


@pytest.mark.parametrize("name", SAMPLES)
def test_mesh_volume_is_the_closed_form(name: str, meshes: dict[str, PartMesh]) -> None:
    shape = SAMPLES[name].shape
    missed = 0.0
    if isinstance(shape, PostBody | FourWayBlock):
        missed = BORE_MISSED * np.pi / 4.0 * shape.bore**2 * shape.height
    surplus = meshes[name].volume - shape.volume
    # A pad's line or a slot across the bore only adds sides to it.
    assert -ROUNDING * shape.volume <= surplus <= missed + ROUNDING * shape.volume


@pytest.mark.parametrize("name", SAMPLES)
def test_every_tetrahedron_is_upright_and_every_point_is_used(
    name: str, meshes: dict[str, PartMesh]
) -> None:
    mesh = meshes[name]
    corners = mesh.points[mesh.tetrahedra]
    assert np.linalg.det(corners[:, 1:] - corners[:, :1]).min() > 0.0
    assert np.array_equal(np.unique(mesh.tetrahedra), np.arange(len(mesh.points)))


@pytest.mark.parametrize("name", SAMPLES)
def test_facets_of_a_pad_lie_in_it_and_fill_it(
    name: str, meshes: dict[str, PartMesh]
) -> None:
    mesh = meshes[name]
    for pad in SAMPLES[name].pads:
        corners = mesh.points[mesh.pads[pad.name]]
        sides = corners[:, 1:] - corners[:, :1]
        normals = np.cross(sides[:, 0], sides[:, 1])
        area = np.linalg.norm(normals, axis=1).sum() / 2.0
        assert area == pytest.approx(pad.area, rel=ROUNDING)
        # Facets look outward, and all to the same side of the pad.
        assert abs(normals.sum(axis=0) @ pad.normal) == pytest.approx(2.0 * area)
        assert np.abs(pad.local(corners)[..., 2]).max() < ROUNDING * COARSE


def test_boundary_is_closed_and_looks_outward(meshes: dict[str, PartMesh]) -> None:
    mesh = meshes["four-way block"]
    corners = mesh.points[boundary_triangles(mesh.tetrahedra)]
    # Gauss: a third of the flux of x through the boundary is the volume.
    flux = np.linalg.det(corners).sum() / 6.0
    assert flux == pytest.approx(mesh.volume, rel=ROUNDING)


@pytest.mark.parametrize("name", ["holder", "post body"])
def test_same_input_gives_the_same_mesh_to_the_bit(
    name: str, meshes: dict[str, PartMesh]
) -> None:
    sample = SAMPLES[name]
    again = mesh_part(sample.shape, sample.pads, COARSE, name=name)
    assert again.points.tobytes() == meshes[name].points.tobytes()
    assert again.tetrahedra.tobytes() == meshes[name].tetrahedra.tobytes()
    for pad in sample.pads:
        facets = meshes[name].pads[pad.name]
        assert again.pads[pad.name].tobytes() == facets.tobytes()


def test_turned_mesh_fills_the_turned_part() -> None:
    sample = SAMPLES["holder"]
    rng = np.random.default_rng(3)
    rotation, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    rotation *= np.sign(np.linalg.det(rotation))
    mesh = mesh_part(
        sample.shape, sample.pads, COARSE, name="holder", rotation=rotation
    )
    assert mesh.volume == pytest.approx(sample.shape.volume, rel=ROUNDING)
    back = mesh.points @ rotation
    low = np.array([0.0, -HOLDER.thickness, 0.0])
    high = np.array([HOLDER.length, 0.0, HOLDER.height])
    # Points come back into the part's own box, to the kernel's tolerance.
    assert back.min(axis=0) == pytest.approx(low, abs=1e-6)
    assert back.max(axis=0) == pytest.approx(high, abs=1e-6)


@pytest.mark.parametrize(
    ("pad", "on_surface"),
    [
        (flat("base", (0.0, 0.0, 0.0), (36.0, 35.0), (9.0, 9.0)), 4576.0),
        (flat("base", (30.0, 0.0, 30.0), (2.0, 2.0)), 0.0),
        (flat("base", (0.0, 0.0, -5.0), (20.0, 20.0)), 0.0),
    ],
    ids=["over the edge", "inside", "beside"],
)
def test_pad_that_is_not_on_the_surface_is_named(pad, on_surface: float) -> None:
    with pytest.raises(MeshError, match=r"post\.body.*base.*only") as refusal:
        mesh_part(BODY, [pad], COARSE, name="post.body")
    assert f"only {on_surface:g} mm²" in str(refusal.value)


def test_pad_over_the_bore_is_refused() -> None:
    pad = flat("base", (0.0, 0.0, 0.0), (35.0, 35.0))
    with pytest.raises(MeshError, match=r"base.*hole"):
        mesh_part(BODY, [pad], COARSE, name="post.body")


def test_pad_that_cuts_the_part_in_two_is_refused() -> None:
    pad = flat("base", (0.0, 0.0, 20.0), (60.0, 60.0))
    with pytest.raises(MeshError, match=r"post\.body.*2 pieces"):
        mesh_part(BODY, [pad], COARSE, name="post.body")


@pytest.mark.parametrize("size", [0.0, 40.0, float("nan")])
def test_impossible_size_is_refused(size: float) -> None:
    with pytest.raises(InputError, match="mesh size"):
        mesh_part(BODY, [], size, name="post.body")


def test_another_algorithm_takes_over_from_one_that_fails(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    no_such_algorithm = 77
    sample = SAMPLES["moving flank"]
    monkeypatch.setattr(
        geometry.mesher, "ATTEMPTS", ((no_such_algorithm, 1.0), (DELAUNAY, 1.0))
    )
    mesh = mesh_part(sample.shape, sample.pads, COARSE, name="flank")
    assert mesh.volume == pytest.approx(sample.shape.volume, rel=ROUNDING)


def test_part_that_no_algorithm_can_fill_is_named(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    class Broken:
        size_factor = 1.0
        volume = 1.0

        def build(self) -> int:
            import gmsh

            return int(gmsh.model.occ.addBox(0.0, 0.0, 0.0, 0.0, 1.0, 1.0))

    with pytest.raises(MeshError, match=r"post\.body: no mesh of size 24 mm"):
        mesh_part(Broken(), [], COARSE, name="post.body")

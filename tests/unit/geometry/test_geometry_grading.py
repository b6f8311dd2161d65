"""Mesh size: fine at inner corners and pads, coarse elsewhere, one knob for all."""

import numpy as np
import pytest
from stack_parts import BLOCK, BODY, HOLDER, SAMPLES, TOP_SLIDE, Y, Z, flat

from geometry.imprint import imprint
from geometry.kernel import gmsh_model
from geometry.mesh import PartMesh
from geometry.mesh_size import PAD_SHARE, ROOT_SHARE, STEP, root_size
from geometry.mesher import mesh_part
from geometry.pad import FloatArray, Pad
from geometry.reentrant import re_entrant_curves
from geometry.shape import Shape

SIZE = 8.0

# Gmsh meets a wanted length within about this factor, on the average of some edges.
LOOSE = 1.5


def edge_lengths(mesh: PartMesh) -> tuple[FloatArray, FloatArray]:
    """Middles (n, 3) and lengths (n,) of all edges. [mm]."""
    pairs = np.triu_indices(4, k=1)
    edges = np.sort(mesh.tetrahedra[:, np.column_stack(pairs)].reshape(-1, 2), axis=1)
    ends = mesh.points[np.unique(edges, axis=0)]
    return ends.mean(axis=1), np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)


def mean_length(mesh: PartMesh, point: tuple[float, ...], radius: float) -> float:
    """Mean length of the edges around a point, over x if it has no x. [mm]."""
    middles, lengths = edge_lengths(mesh)
    off = np.linalg.norm(middles[:, -len(point) :] - point, axis=1)
    return float(lengths[off <= radius].mean())


@pytest.mark.parametrize(
    ("shape", "count"),
    [
        (HOLDER, 4),  # two slot roots, two corners of the female dovetail
        (BODY, 2),  # two roots of the male dovetail
        (BLOCK, 8),  # floor and roof of every slot
        (TOP_SLIDE, 5),  # two corners of the ways and three edges of the end wall
        (SAMPLES["tool bit"].shape, 0),
        (SAMPLES["moving flank"].shape, 0),
    ],
)
def test_re_entrant_edges_are_found(shape: Shape, count: int) -> None:
    with gmsh_model("part") as gmsh:
        volume = shape.build()
        gmsh.model.occ.synchronize()
        assert len(re_entrant_curves(volume)) == count


def test_outline_of_a_pad_is_no_re_entrant_edge() -> None:
    pad = flat("pad", (20.0, 20.0, 62.0), (5.0, 5.0))
    with gmsh_model("part") as gmsh:
        volume, surfaces = imprint("part", BODY.build(), [pad])
        roots = re_entrant_curves(volume)
        outline = gmsh.model.getBoundary([(2, surfaces[0][0])], oriented=False)
    assert len(roots) == 2
    assert not {tag for _, tag in outline} & set(roots)


def test_mesh_is_fine_at_the_slot_root_and_coarse_away_from_it() -> None:
    mesh = mesh_part(HOLDER, [], SIZE, name="holder")
    root = (HOLDER.slot_depth - HOLDER.thickness, HOLDER.floor)
    near = mean_length(mesh, root, radius=ROOT_SHARE * SIZE)
    far = mean_length(mesh, (-HOLDER.thickness / 2.0, 2.0), radius=SIZE)
    assert near < LOOSE * ROOT_SHARE * SIZE
    assert far > SIZE / LOOSE
    # A mesh that is not graded to a third is not worth the name.
    assert near < far / 3.0


def test_a_step_of_refinement_counts_twice_at_the_slot_root() -> None:
    root = (HOLDER.slot_depth - HOLDER.thickness, HOLDER.floor)
    away = (-HOLDER.thickness / 2.0, 2.0)
    coarse, fine = (
        mesh_part(HOLDER, [], SIZE, name="holder", steps=steps) for steps in (0, 3)
    )
    near_root = mean_length(fine, root, radius=root_size(SIZE, 3))
    assert near_root < LOOSE * ROOT_SHARE * SIZE * STEP**6
    far = mean_length(fine, away, SIZE) / mean_length(coarse, away, SIZE)
    # Ten mm of floor take a whole number of elements, so only about.
    assert STEP**3 / LOOSE < far < STEP**3 * LOOSE


def test_mesh_is_finer_at_the_outline_of_a_pad() -> None:
    half = BODY.side / 2.0
    # So large that its own elements across ask for nothing finer.
    pad = Pad(
        name="pad",
        centre=(half, 0.0, BODY.height / 2.0),
        first=Y,
        second=Z,
        half_sizes=(20.0, 20.0),
    )
    corner, radius = (half, 20.0, BODY.height / 2.0 + 20.0), SIZE / 2.0
    with_pad, without = (
        mean_length(mesh_part(BODY, pads, SIZE, name="body"), corner, radius)
        for pads in ([pad], [])
    )
    assert with_pad < LOOSE * PAD_SHARE * SIZE
    assert with_pad < 0.75 * without


def test_tool_bit_is_meshed_half_as_coarse() -> None:
    mesh = mesh_part(SAMPLES["tool bit"].shape, [], SIZE, name="tool")
    _, lengths = edge_lengths(mesh)
    assert lengths.mean() < LOOSE * SIZE / 2.0


def test_half_the_size_halves_the_edges_everywhere() -> None:
    sample = SAMPLES["tool bit"]
    coarse, fine = (
        mesh_part(sample.shape, sample.pads, size, name="tool")
        for size in (2.0 * SIZE, SIZE)
    )
    # At the tip's patch, far smaller than the size, and in the middle of the bar.
    for point, radius in [((0.0, 0.0, 0.0), 2.0), ((20.0, 5.0, -6.0), 8.0)]:
        ratio = mean_length(coarse, point, radius) / mean_length(fine, point, radius)
        # Twelve mm of height take a whole number of elements, so only about half.
        assert 1.4 < ratio < 2.8


def test_parts_of_a_small_lathe_stay_within_the_number_of_unknowns() -> None:
    sample = SAMPLES["holder"]
    mesh = mesh_part(sample.shape, sample.pads, SIZE, name="holder")
    _, lengths = edge_lengths(mesh)
    unknowns = 3 * (len(mesh.points) + len(lengths))
    assert 15_000 < unknowns < 40_000

"""Blocks meshed without Gmsh, their pads, and materials of round numbers."""

import numpy as np
from skfem import MeshTet

from fea.core.elasticity import node_points
from fea.core.material import Material
from fea.core.reduction import ReducedPart
from fea.core.stack import Part
from geometry.facets import boundary_triangles, pad_facets
from geometry.mesh import PartMesh
from geometry.pad import FloatArray, Pad

Sizes = tuple[float, float, float]
Counts = tuple[int, int, int]


def block_mesh(sizes: Sizes, counts: Counts, pads: tuple[Pad, ...] = ()) -> PartMesh:
    """Block 0 .. sizes [mm], cut into counts of cells of six tetrahedra each."""
    ticks = [
        np.linspace(0.0, size, count + 1)
        for size, count in zip(sizes, counts, strict=True)
    ]
    mesh = MeshTet.init_tensor(*ticks)
    return part_mesh(mesh.p.T.copy(), mesh.t.T.astype(np.int64), pads)


def part_mesh(
    points: FloatArray, tetrahedra: np.ndarray, pads: tuple[Pad, ...]
) -> PartMesh:
    """Mesh with tetrahedra of positive volume and the triangles of its pads."""
    corner = points[tetrahedra]
    inverted = np.linalg.det(corner[:, 1:] - corner[:, :1]) < 0.0
    tetrahedra = tetrahedra.copy()
    tetrahedra[inverted] = tetrahedra[inverted][:, [0, 1, 3, 2]]
    triangles = boundary_triangles(tetrahedra)
    return PartMesh(
        points=points,
        tetrahedra=tetrahedra,
        pads=pad_facets("block", points, triangles, pads),
    )


def irregular(mesh: PartMesh, shift: float) -> PartMesh:
    """Move the points that are not on the block's faces by up to `shift` [mm]."""
    points = mesh.points.copy()
    low, high = points.min(axis=0), points.max(axis=0)
    inside = ((points > low + shift) & (points < high - shift)).all(axis=1)
    random = np.random.default_rng(1)
    points[inside] += random.uniform(-shift, shift, (inside.sum(), 3))
    return part_mesh(points, mesh.tetrahedra, ())


def end_pad(name: str, sizes: Sizes, x: float) -> Pad:
    """Pad on a whole end of a block that lies along x; looks along x."""
    return Pad(
        name=name,
        centre=(x, sizes[1] / 2.0, sizes[2] / 2.0),
        first=(0.0, 1.0, 0.0),
        second=(0.0, 0.0, 1.0),
        half_sizes=(sizes[1] / 2.0, sizes[2] / 2.0),
    )


def flat_pad(
    name: str, x: tuple[float, float], y: tuple[float, float], z: float
) -> Pad:
    """Pad between two pairs of coordinates that looks upward."""
    return Pad(
        name=name,
        centre=((x[0] + x[1]) / 2.0, (y[0] + y[1]) / 2.0, z),
        first=(1.0, 0.0, 0.0),
        second=(0.0, 1.0, 0.0),
        half_sizes=((x[1] - x[0]) / 2.0, (y[1] - y[0]) / 2.0),
    )


def material(
    modulus: float = 210_000.0, nu: float = 0.3, density_kg_m3: float = 7850.0
) -> Material:
    return Material(
        key="test steel",
        name="test steel",
        youngs_modulus_mpa=modulus,
        poissons_ratio=nu,
        density_kg_m3=density_kg_m3,
        yield_mpa=400.0,
        loss_factor=0.002,
        loss_factor_band=(0.001, 0.004),
        source="none: for tests",
    )


def placed(
    name: str, reduced: ReducedPart, made_of: Material, pads: tuple[Pad, ...]
) -> Part:
    """Part whose frame is the machine frame."""
    return Part(
        name=name,
        reduced=reduced,
        material=made_of,
        origin=np.zeros(3),
        pads={pad.name: pad for pad in pads},
    )


def on_plane(mesh: MeshTet, axis: int, value: float) -> np.ndarray:
    """Nodes, corners and edge middles, of a plane across an axis."""
    return np.flatnonzero(np.abs(node_points(mesh)[:, axis] - value) < 1e-9)

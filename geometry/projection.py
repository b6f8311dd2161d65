"""Views of a part as on a drawing: its own edges, seen or hidden, on a plane."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np
from numpy.typing import NDArray

from geometry.kernel import gmsh_model
from geometry.pad import FloatArray, Vector
from geometry.shape import Shape

# Straight pieces that a round edge is drawn with: at 100 mm they miss it by 0.03 mm.
ROUND_PIECES = 96

# Of the facets that hide edges; flat faces need only a few. [mm]
FACET_MM = 10.0

# Points closer than this are one. [mm]
SAME_MM = 1e-6

# A point is hidden by what stands at least this far before it. [mm]
BEFORE_MM = 1e-3

# Gmsh's number for a triangle with three points.
TRIANGLE = 2

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where one looks from.

    Parameters
    ----------
    right, up : (3,) unit vectors of the part's frame, along the drawing's axes
    """

    right: Vector
    up: Vector

    @property
    def toward(self) -> FloatArray:
        """From the part to who looks at it. (3,)."""
        return np.cross(self.right, self.up)

    @property
    def plane(self) -> FloatArray:
        """Coordinates in the part to those on the drawing. (3, 2)."""
        return np.column_stack([self.right, self.up])


@dataclass(frozen=True, slots=True, kw_only=True)
class Projection:
    """What is seen of a part, and what lies behind.

    Parameters
    ----------
    seen, hidden : lines, each (n, 2) [mm] in the plane of the view
    """

    seen: tuple[FloatArray, ...]
    hidden: tuple[FloatArray, ...]


def projections(
    name: str, shape: Shape, views: Mapping[str, View]
) -> dict[str, Projection]:
    """Project a part's edges, those of the solid that is meshed.

    Parameters
    ----------
    name : of the part, for messages
    shape : its dimensions
    views : by their names
    """
    with gmsh_model(name) as gmsh:
        shape.build()
        gmsh.model.occ.synchronize()
        gmsh.option.setNumber("Mesh.MeshSizeMax", FACET_MM)
        gmsh.model.mesh.generate(2)
        facets = _facets()
        edges = _edges()
        return {
            key: _project([*edges, *_outlines(view)], facets, view)
            for key, view in views.items()
        }


def _facets() -> FloatArray:
    """Corners of triangles that cover the part. (n, 3, 3) [mm]."""
    import gmsh

    tags, coordinates, _ = gmsh.model.mesh.getNodes()
    points = dict(zip(tags, np.reshape(coordinates, (-1, 3)), strict=True))
    _, corners = gmsh.model.mesh.getElementsByType(TRIANGLE)
    return np.array([points[tag] for tag in corners]).reshape(-1, 3, 3)


def _edges() -> list[FloatArray]:
    """Points along every edge; a seam, which has one face on both sides, is none."""
    import gmsh

    tags = [tag for _, tag in gmsh.model.getEntities(1)]
    return [
        _points(tag) for tag in tags if len(gmsh.model.getAdjacencies(1, tag)[0]) > 1
    ]


def _points(curve: int) -> FloatArray:
    """Points along a curve. (n, 3) [mm]."""
    import gmsh

    low, high = gmsh.model.getParametrizationBounds(1, curve)
    pieces = 1 if gmsh.model.getType(1, curve) == "Line" else ROUND_PIECES
    along = np.linspace(low[0], high[0], pieces + 1)
    return np.reshape(gmsh.model.getValue(1, curve, along), (-1, 3))


def _outlines(view: View) -> Iterator[FloatArray]:
    """Lines along the sides of every bore that is seen from its side."""
    import gmsh

    for _, face in gmsh.model.getEntities(2):
        if gmsh.model.getType(2, face) != "Cylinder":
            continue
        ends = [
            _points(abs(tag))
            for _, tag in gmsh.model.getBoundary([(2, face)], combined=False)
            if gmsh.model.getType(1, abs(tag)) == "Circle"
        ]
        middles = [end[:-1].mean(axis=0) for end in ends]
        across = np.cross(middles[1] - middles[0], view.toward)
        if np.linalg.norm(across) > SAME_MM:
            for side in (-1.0, 1.0):
                yield np.array([end[np.argmax(side * end @ across)] for end in ends])


def _project(edges: list[FloatArray], facets: FloatArray, view: View) -> Projection:
    pieces = [_cut_at_crossings(edge, edges, view) for edge in edges]
    hidden = [_is_hidden(run, facets, view.toward) for run in pieces]
    flat = [run @ view.plane for run in pieces]
    seen_pieces = {
        _key(piece)
        for run, behind in zip(flat, hidden, strict=True)
        for piece in run[~behind]
    }
    seen, back = [], []
    for run, behind in zip(flat, hidden, strict=True):
        covered = [
            bool(b) and _key(piece) in seen_pieces
            for piece, b in zip(run, behind, strict=True)
        ]
        seen += _lines(run, ~behind)
        back += _lines(run, behind & ~np.array(covered, dtype=bool))
    return Projection(seen=tuple(seen), hidden=tuple(back))


def _cut_at_crossings(
    edge: FloatArray, edges: list[FloatArray], view: View
) -> FloatArray:
    """Pieces of an edge between its crossings with all others. (n, 2, 3) [mm]."""
    others = np.vstack([np.stack([e[:-1], e[1:]], axis=1) for e in edges]) @ view.plane
    pieces = []
    for start, end in pairwise(edge):
        if np.linalg.norm((end - start) @ view.plane) < SAME_MM:
            continue
        at = _crossings(np.array([start, end]) @ view.plane, others)
        points = start + at[:, None] * (end - start)
        pieces += list(np.stack([points[:-1], points[1:]], axis=1))
    return np.array(pieces).reshape(-1, 2, 3)


def _crossings(segment: FloatArray, others: FloatArray) -> FloatArray:
    """Where other segments meet one, 0 at its start and 1 at its end, both included.

    `segment` (2, 2), `others` (n, 2, 2) [mm]. Ends of parallel ones count as well.
    """
    along = segment[1] - segment[0]
    length = np.linalg.norm(along)
    span = others[:, 1] - others[:, 0]
    offset = others[:, 0] - segment[0]
    cross = along[0] * span[:, 1] - along[1] * span[:, 0]
    ends = (others - segment[0]).reshape(-1, 2)
    beside = np.abs(along[0] * ends[:, 1] - along[1] * ends[:, 0]) / length < SAME_MM
    touching = ends[beside] @ along / length**2
    with np.errstate(divide="ignore", invalid="ignore"):
        here = (offset[:, 0] * span[:, 1] - offset[:, 1] * span[:, 0]) / cross
        there = (offset[:, 0] * along[1] - offset[:, 1] * along[0]) / cross
    met = here[(np.abs(cross) > SAME_MM**2) & (there >= 0.0) & (there <= 1.0)]
    step = SAME_MM / length
    inner = np.concatenate([met, touching])
    inner = np.sort(inner[(inner > step) & (inner < 1.0 - step)])
    apart = inner[np.diff(inner, prepend=-1.0) > step]
    return np.concatenate([[0.0], apart, [1.0]])


def _is_hidden(pieces: FloatArray, facets: FloatArray, toward: FloatArray) -> BoolArray:
    """Whether the middle of each piece lies behind a facet. (n, 2, 3) to (n,)."""
    middles = pieces.mean(axis=1)
    first = facets[:, 1] - facets[:, 0]
    second = facets[:, 2] - facets[:, 0]
    normal = np.cross(first, second)
    facing = normal @ toward
    # A facet seen edge-on hides nothing.
    solid = np.abs(facing) > SAME_MM * np.linalg.norm(normal, axis=1)
    first, second, normal = first[solid], second[solid], normal[solid]
    offset = facets[solid, 0] - middles[:, None]
    distance = np.einsum("pfi,fi->pf", offset, normal) / facing[solid]
    reached = distance[..., None] * toward - offset
    area = np.einsum("fi,fi->f", normal, normal)
    u = np.einsum("pfi,fi->pf", np.cross(reached, second), normal) / area
    v = np.einsum("pfi,fi->pf", np.cross(first, reached), normal) / area
    # With their borders, or a ray would slip through where two facets meet.
    within = (u > -SAME_MM) & (v > -SAME_MM) & (u + v < 1.0 + SAME_MM)
    return np.asarray((within & (distance > BEFORE_MM)).any(axis=1))


def _key(piece: FloatArray) -> tuple[tuple[float, float], ...]:
    """Both ends of a piece, the same from either end. `piece` (2, 2) [mm]."""
    decimals = round(-np.log10(SAME_MM)) - 1
    ends = [tuple((np.round(end, decimals) + 0.0).tolist()) for end in piece]
    return tuple(sorted(ends))


def _lines(pieces: FloatArray, wanted: BoolArray) -> list[FloatArray]:
    """Join wanted pieces that follow each other. (n, 2, 2) to lines (m, 2)."""
    lines = []
    for is_wanted, group in groupby(range(len(pieces)), key=lambda i: bool(wanted[i])):
        if is_wanted:
            run = pieces[list(group)]
            lines.append(np.vstack([run[:1, 0], run[:, 1]]))
    return lines

"""Pads drawn into the faces of a solid, so that a facet lies in a pad or outside it."""

from collections.abc import Sequence

from geometry.errors import MeshError
from geometry.pad import Pad
from geometry.solid import face


def imprint(name: str, volume: int, pads: Sequence[Pad]) -> tuple[int, list[list[int]]]:
    """Split a volume's faces along the edges of pads and of their windows.

    Parameters
    ----------
    name : of the part, for messages
    volume : its tag in the current Gmsh model
    pads : they may touch edges, share edges with each other, or overlap

    Returns
    -------
    The volume's new tag, and the tags of the surfaces that make up each pad.
    """
    import gmsh

    occ = gmsh.model.occ
    pieces = [(3, volume)]
    if pads:
        outlines = [(2, face(pad.corners())) for pad in pads]
        windows = [(2, face(pad.corners(pad.window))) for pad in pads if pad.window]
        _, origin = occ.fragment(pieces, outlines + windows)
        pieces = [piece for piece in origin[0] if piece[0] == 3]
    occ.synchronize()
    if len(pieces) != 1:
        message = (
            f"{name}: a pad cuts it into {len(pieces)} pieces; pads must lie in faces"
        )
        raise MeshError(message)
    skin = {tag for _, tag in gmsh.model.getBoundary(pieces, oriented=False)}
    loose = [entity for entity in gmsh.model.getEntities(2) if entity[1] not in skin]
    occ.remove(loose, recursive=True)
    occ.synchronize()
    if not pads:
        return pieces[0][1], []
    return pieces[0][1], _surfaces(pads, origin[1:], skin)


def _surfaces(
    pads: Sequence[Pad], origin: list[list[tuple[int, int]]], skin: set[int]
) -> list[list[int]]:
    """Surfaces on the skin that came of each outline and not of its window."""
    tags = [{tag for _, tag in pieces} & skin for pieces in origin]
    windows = iter(tags[len(pads) :])
    return [
        sorted(outline - next(windows) if pad.window else outline)
        for pad, outline in zip(pads, tags[: len(pads)], strict=True)
    ]

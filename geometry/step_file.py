"""Parts as STEP files (ISO 10303-21, AP 214): solids with names, in millimetres."""

import os
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from geometry.errors import MeshError
from geometry.kernel import gmsh_model
from geometry.pad import Vector
from geometry.shape import Shape

# An empty setting would keep the unit of whatever was read or written before.
UNIT = "MM"

# The kernel writes a name of its own for every product: a running number for the file
# and, in an assembly, the part's place in it. Names of entities do not reach it.
KERNEL_NAME = re.compile(
    r"'Open CASCADE STEP translator [\d.]+ \d+(?:\.(?P<part>\d+))?'"
)
NAMES_PER_PRODUCT = 2

STANDARD_OUTPUT = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedShape:
    """A part where it stands.

    Parameters
    ----------
    name : of the solid, unique in its file, plain ASCII
    shape : its dimensions, in its own frame
    origin : (3,) of that frame [mm]; the axes are parallel
    """

    name: str
    shape: Shape
    origin: Vector


def write_step(path: Path, name: str, parts: Sequence[PlacedShape]) -> None:
    """Write solids, as they are built before any pad is imprinted, to one file.

    Parameters
    ----------
    path : of the file, in a folder that can be written
    name : of the assembly; a single part keeps its own

    Raises
    ------
    MeshError
        The kernel cannot build a part, or does not write what was asked for.
    """
    with gmsh_model(name) as gmsh:
        for part in parts:
            volume = part.shape.build()
            gmsh.model.occ.translate([(3, volume)], *part.origin)
        gmsh.model.occ.synchronize()
        gmsh.option.setString("Geometry.OCCTargetUnit", UNIT)
        with _silent_kernel():
            gmsh.write(str(path))
    names = [part.name for part in parts]
    text = path.read_text(encoding="ascii")
    path.write_text(_named(text, name, names), encoding="ascii")


def _named(text: str, assembly: str, parts: Sequence[str]) -> str:
    """Put names of the trade in place of the kernel's. The whole file."""

    def name_of(match: re.Match[str]) -> str:
        number = match["part"]
        if number is not None:
            return f"'{parts[int(number) - 1]}'"
        return f"'{assembly if len(parts) > 1 else parts[0]}'"

    products = len(parts) + 1 if len(parts) > 1 else 1
    named, count = KERNEL_NAME.subn(name_of, text)
    if count != NAMES_PER_PRODUCT * products:
        message = f"{assembly}: the STEP file names {count} solids, not {products}"
        raise MeshError(message)
    return named


@contextmanager
def _silent_kernel() -> Iterator[None]:
    """Keep off standard output what the kernel prints there, past Python and Gmsh."""
    kept = os.dup(STANDARD_OUTPUT)
    nothing = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nothing, STANDARD_OUTPUT)
        yield
    finally:
        os.dup2(kept, STANDARD_OUTPUT)
        os.close(nothing)
        os.close(kept)

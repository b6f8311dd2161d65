"""The deformed stack as a mesh file that a general viewer opens."""

from pathlib import Path

import numpy as np

from fea.analysis.result import PartField

DISPLACEMENT = "displacement_mm"
PART = "part"
FIRST_PART = 1
"""Parts are counted from here, in the pictures, too."""


def write_field(fields: tuple[PartField, ...], path: Path) -> None:
    """Write undeformed points [mm], their displacement [mm] and each cell's part.

    Cell data `part` counts the parts from `FIRST_PART` in the order of `fields`;
    `summary.json` lists them in the same order, each with its `part_number` and name.
    """
    import meshio

    starts = np.cumsum([0, *(len(field.points) for field in fields)])
    cells = [
        field.tetrahedra + start for field, start in zip(fields, starts, strict=False)
    ]
    parts = [
        np.full(len(cell), number, dtype=np.int32)
        for number, cell in enumerate(cells, start=FIRST_PART)
    ]
    mesh = meshio.Mesh(
        np.concatenate([field.points for field in fields]),
        [("tetra", np.concatenate(cells))],
        point_data={DISPLACEMENT: np.concatenate([f.displacement for f in fields])},
        cell_data={PART: [np.concatenate(parts)]},
    )
    mesh.write(path, file_format="vtu")

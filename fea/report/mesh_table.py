"""The table of meshes: how large they are, and what they leave out of the motion."""

from collections.abc import Iterator

from fea.analysis.result import StackResult
from fea.report.field_file import FIRST_PART
from fea.report.number import coarse, counted, rounded
from fea.report.palette import title_of
from fea.report.table import Table


def mesh_error_in_words(stack: StackResult) -> str:
    """Share of the tip's motion that the meshes leave out: an estimate, two digits."""
    return f"{coarse(100.0 * stack.mesh_error)} %"


def mesh_table(stack: StackResult) -> Table:
    """Every part's mesh, and the whole."""
    return Table(
        caption=f"Parts and meshes of the stack with the {title_of(stack)}",
        meaning=(
            "Mesh error is what a part's mesh leaves out of the tip's motion along the "
            "cutting force at the deepest cut, by the jumps of its stress from element "
            "to element: the true motion is larger by half to twice of it. “Finer” "
            "counts the steps by which numerics.accuracy had a mesh made finer. The "
            "number is that in the picture and of the cell data “part” in the .vtu "
            "file of this stack."
        ),
        head=(
            "part",
            "name",
            "tetrahedra",
            "unknowns",
            "finer",
            "mesh error (%)",
            "mass (kg)",
        ),
        rows=(*_parts(stack), _whole(stack)),
        n_words=2,
    )


def _parts(stack: StackResult) -> Iterator[tuple[str, ...]]:
    pairs = zip(stack.fields, stack.mesh_errors, strict=True)
    for number, (field, error) in enumerate(pairs, start=FIRST_PART):
        yield (
            str(number),
            field.name,
            counted(len(field.tetrahedra)),
            counted(field.unknowns),
            str(error.refined),
            coarse(100.0 * error.fraction),
            rounded(field.mass_kg),
        )


def _whole(stack: StackResult) -> tuple[str, ...]:
    return (
        "all",
        "",
        counted(sum(len(field.tetrahedra) for field in stack.fields)),
        counted(sum(field.unknowns for field in stack.fields)),
        "",
        coarse(100.0 * stack.mesh_error),
        rounded(sum(field.mass_kg for field in stack.fields)),
    )

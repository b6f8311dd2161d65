"""A study that takes seconds: the study demo, coarse in every way."""

import re
from pathlib import Path

from fea.case.case_file import CaseReading, read_case

DEMO = Path(__file__).parents[1] / "cases" / "garden_railway_study.toml"
COARSE = """
[numerics]
mesh_size = "25 mm"

[cut]
kind = "turning"
feed = "0.1 mm/rev"
depths = ["0.5 mm", "1 mm"]
"""
WIDTH, OFFSET = "post.dovetail.width", "post.dovetail.offset_across"


def write_small_study(folder: Path, study: str, name: str = "small.toml") -> Path:
    """Write the demo with another [study]; every solve takes a second or two."""
    text = DEMO.read_text(encoding="utf-8").split("[study]")[0]
    text = re.sub(r"\[cut\][^\[]*(\[(?!\w+\]\n)[^\[]*)*", "", text)
    path = folder / name
    path.write_text(text + COARSE + study, encoding="utf-8")
    return path


def small_study(folder: Path, study: str) -> CaseReading:
    """Return the small study, read."""
    return read_case(write_small_study(folder, study))


def grid(widths: list[str], offsets: list[str]) -> str:
    """Return a [study] over dovetail width and offset."""
    return (
        f'\n[study.variables]\n"{WIDTH}" = {widths}\n"{OFFSET}" = {offsets}\n'.replace(
            "'", '"'
        )
    )

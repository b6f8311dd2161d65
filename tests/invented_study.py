"""Studies of invented designs: rows from a formula instead of the solver."""

from collections.abc import Callable, Mapping

import numpy as np

from fea.case.study_section import Study
from fea.study.axis import axis_of
from fea.study.designs import Design, designs_of
from fea.study.journal import Outcome
from fea.study.run import Finished

WIDTH, OFFSET = "post.dovetail.width", "post.dovetail.offset_across"
OVERHANG, WAY = "tool.overhang", "post.clamping.way"
RANGES = {
    WIDTH: {"from": "30 mm", "to": "54 mm"},
    OFFSET: {"from": "-10 mm", "to": "8 mm"},
    OVERHANG: {"from": "12 mm", "to": "30 mm"},
    "post.side": {"from": "60 mm", "to": "80 mm"},
}
WAYS = ["wedge", "piston", "draw"]

Row = Mapping[str, float | None]
Shares = Mapping[str, float]


def study_of(
    variables: Mapping[str, object],
    limits: Mapping[str, object] | None = None,
    aims: Mapping[str, str] | None = None,
    designs: int | None = None,
) -> Study:
    table: dict[str, object] = {"variables": variables, "limits": limits or {}}
    if aims:
        table["aims"] = aims
    if designs:
        table["designs"] = designs
    return Study.model_validate(table)


def varied(*keys: str, count: int = 10) -> dict[str, object]:
    """Ranges of some keys, with so many values each in a grid."""
    return {key: {**RANGES[key], "count": count} for key in keys}


def finished(design: Design, row: Row, reason: str | None = None) -> Finished:
    return Finished(design=design, outcome=Outcome(row=row, reason=reason))  # type: ignore[arg-type]


def solved(study: Study, row: Callable[[Shares], Row]) -> tuple[Finished, ...]:
    """Every design of a study; `row` gets where it lies, 0 to 1, by key."""
    axes = [axis for axis in map(axis_of, study.variables) if axis is not None]
    return tuple(
        finished(each, row({a.key: a.share(each.values[a.key]) for a in axes}))
        for each in designs_of(study)
    )


def listed(
    rows: list[Row], aims: Mapping[str, str] | None = None
) -> tuple[Study, tuple[Finished, ...]]:
    """A study of one variable with these rows, the first for its least value."""
    study = study_of({WIDTH: {**RANGES[WIDTH], "count": max(len(rows), 2)}}, None, aims)
    designs = designs_of(study)[: len(rows)]
    pairs = zip(designs, rows, strict=True)
    return study, tuple(finished(each, row) for each, row in pairs)


def smooth(at: Shares) -> Row:
    """A bench post of sorts: wider is stiffer, heavier and thinner walled."""
    width, offset = at.get(WIDTH, 0.5), at.get(OFFSET, 0.5)
    ratio = 0.55 + 0.2 * width - 0.15 * (width - 0.6) ** 2
    ratio -= 0.3 * (offset - 0.45) ** 2 + 0.1 * at.get(OVERHANG, 0.3)
    ratio += 0.05 if at.get(WAY, 0.1) < 1.0 / len(WAYS) else 0.0
    mass = 2.4 + 0.8 * width + 0.2 * offset
    return {
        "stiffness_ratio": ratio,
        "mass_kg": mass,
        "removed_kg": 3.3 - mass / 2.0,
        "wall_mm": 14.0 - 8.0 * width - 6.0 * abs(offset - 0.5),
        "diameter_error_um": 20.0 / ratio,
        "frequency_hz": 200.0 * float(np.sqrt(ratio)),
        "limit_depth_mm": 2.0 * ratio**1.5,
        "held_depth_mm": 2.0,
    }

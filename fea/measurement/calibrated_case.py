"""The calibrated case and the posterior's sets, as files that anything can read."""

import csv
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from fea.case.schema import Case
from fea.measurement.fitted_values import Meaning
from fea.measurement.posterior import Gaussian, Posterior
from fea.measurement.unknowns import EYE
from geometry.pad import FloatArray

SMALL = 2e-3
"""Scores that moved by less, and have a smaller part in all directions, are left as
they were expected."""
DIGITS = 5
BAND = (-1.6448536269514722, 0.0, 1.6448536269514722)
"""Scores of 5, 50 and 95 %."""
SECTION = "calibration"
HEAD = """\

# What stoutpost fit found; every command takes these constants in place of the expected
# ones. The first number of a row is how far the fitted middle is from the expected one
# (5 and 95 % of what was expected are -1.645 and 1.645); the others are the constant's
# part in each direction that the records tell of, and spread is what they left of the
# scatter along it.
"""


def calibrated_text(
    text: str,
    case: Case,
    shape: Gaussian,
    meanings: Sequence[Meaning],
    damping: float | None,
) -> str:
    """Return a case file's text with what was fitted at its end.

    Parameters
    ----------
    text, case : of the file that was fitted, which is not calibrated
    shape : normal distribution nearest to the posterior
    meanings : of its scores
    damping : ratio of the lowest mode if it was tapped; left out where the file says it
    """
    measured = damping if case.damping.ratio is None else None
    spread = ", ".join(_number(each) for each in shape.spread)
    lines = [_with_damping(text, measured).rstrip("\n"), ""]
    lines += [
        f"{HEAD}[{SECTION}]",
        f"spread = [{spread}]",
        "",
        f"[{SECTION}.constants]",
    ]
    lines += _rows(shape, meanings)
    return "\n".join(lines) + "\n"


def _with_damping(text: str, ratio: float | None) -> str:
    """Return the text with a damping ratio, and without an empty calibration."""
    import tomlkit

    document = tomlkit.parse(text)
    # A table may stand only once, and the case may have either of them empty.
    document.pop(SECTION, None)
    if ratio is not None:
        document.setdefault("damping", tomlkit.table())["ratio"] = round(ratio, 4)
    return tomlkit.dumps(document)


def write_sets(path: Path, found: Posterior, meanings: Sequence[Meaning]) -> None:
    """Write the posterior's sets as CSV: a row a set, a column a constant, in units."""
    names = [
        f"{each.name} [{each.unit}]" if each.unit else each.name for each in meanings
    ]
    columns = [
        each.at(scores) for each, scores in zip(meanings, found.scores.T, strict=True)
    ]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(names)
        writer.writerows(
            [f"{value:.6g}" for value in row] for row in zip(*columns, strict=True)
        )


def _rows(shape: Gaussian, meanings: Sequence[Meaning]) -> Iterator[str]:
    for number, each in enumerate(meanings):
        row = np.append(shape.middle[number], shape.directions[number])
        if each.name == EYE or np.abs(row).max() < SMALL:
            continue
        yield f"# {_said(each, row, shape)}"
        yield f'"{each.name}" = [{", ".join(_number(value) for value in row)}]'


def _said(meaning: Meaning, row: FloatArray, shape: Gaussian) -> str:
    """Value and band before and after, in words."""
    left = np.sqrt(1.0 - (row[1:] ** 2 * (1.0 - shape.spread**2)).sum())
    low, middle, high = meaning.at(row[0] + left * np.array(BAND))
    before = meaning.at(np.array(BAND))
    unit = f" {meaning.unit}" if meaning.unit else ""
    ends = sorted([low, high]), sorted([before[0], before[2]])
    return (
        f"{middle:.3g}{unit} ({ends[0][0]:.3g} to {ends[0][1]:.3g}), expected "
        f"{before[1]:.3g} ({ends[1][0]:.3g} to {ends[1][1]:.3g})"
    )


def _number(value: float) -> str:
    return f"{float(value):.{DIGITS}f}"

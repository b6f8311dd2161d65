"""How far off a value may be: as its table says, less where the case states it."""

from math import isclose
from operator import attrgetter

from fea.case.default_rule import load_default_table
from fea.case.defaults import look
from fea.case.field_kind import read_quantity
from fea.case.schema import Case
from fea.case.unit_registry import LENGTH

SAME = 1e-9
"""Rounding between a table's value and the same one read from a case."""
GROUND_TABLE = "ground_stiffness"
GROUND = ("machine.ground.radial", "machine.ground.axial", "machine.ground.vertical")


def table_spread(case: Case, key: str, table: str, column: str) -> float:
    """Return how many times more or less than said a key's value may be, 5 to 95 %.

    Parameters
    ----------
    table : by the machine's centre height
    column : with the spread of the table's own values; `stated_` before it has that of
        what a case states
    """
    rows = load_default_table(table)
    height = case.machine.centre_height
    sizes = [read_quantity(row["centre_height"], LENGTH) for row in rows]
    off = [abs(size - height) for size in sizes]
    row = rows[off.index(min(off))]
    return float(row[f"stated_{column}" if _is_stated(case, key) else column])


def ground_spread(case: Case) -> float:
    """Return the spread of the ground's stiffness, one for all directions.

    The widest of the three: the ground is drawn as a whole.
    """
    return max(
        table_spread(case, key, GROUND_TABLE, "stiffness_factor") for key in GROUND
    )


def _is_stated(case: Case, key: str) -> bool:
    """Whether a key's value is another one than the case would have by default."""
    height = f"{case.machine.centre_height!r} {LENGTH.unit}"
    usual = float(look({"machine.centre_height": height}, key))
    return not isclose(attrgetter(key)(case), usual, rel_tol=SAME)

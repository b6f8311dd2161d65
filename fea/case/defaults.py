"""Fill in what a case file leaves out."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Any

from fea.case.default_rule import (
    Column,
    Condition,
    DefaultRule,
    WeightedSum,
    load_default_rules,
    load_default_table,
)
from fea.case.default_speed import SPEED, default_speed
from fea.case.field_kind import Quantity, read_quantity
from fea.case.key_tree import kind_of, leaf_fields
from fea.case.tightening import (
    TIGHTENINGS,
    Tightening,
    drive_of,
    force_from_torque,
)
from fea.case.unit_registry import ANGLE, FORCE, LENGTH
from fea.case.wording import shown_quantity

# Less than this is no room for a shim, only rounding. [mm]
NOTHING_MM = 0.02

FASTENING_SOURCE = (
    "T = F (p / 2 pi + mu_t d2 / (2 cos 30 deg) + mu_b D_km / 2), Motosh, VDI 2230-1"
)
DRIVING_SOURCE = (
    "Power screw with collar: Shigley, Mechanical Engineering Design, equations 8-1 to "
    "8-6; wedge: P = Q (tan(alpha + phi) + tan phi)"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DefaultTaken:
    """A value that the case file did not say.

    Parameters
    ----------
    key : dotted name
    value : as the case file would have said it
    rule : how it follows from other keys; empty if it does not
    why, source : in words, and who says so
    """

    key: str
    value: object
    rule: str
    why: str
    source: str


def take_defaults(given: Mapping[str, object]) -> tuple[DefaultTaken, ...]:
    """Return a value for every key that is not given and has a rule.

    Parameters
    ----------
    given : dotted key to value, as the file says them; readable, and with every key
        that has no rule

    Returns
    -------
    in the order of the schema
    """
    rules = load_default_rules()
    tightened = {row.force: row for row in TIGHTENINGS if row.torque in given}
    missing = [key for key in leaf_fields() if key in rules and key not in given]
    return tuple(
        _from_torque(tightened[key], given)
        if key in tightened
        else _by_rule(rules[key], given)
        for key in missing
        if _applies(rules[key], given)
    )


def look(given: Mapping[str, object], key: str) -> Any:
    """Return a key's value, given or by default: a number in its unit, else as said.

    Parameters
    ----------
    given : as for `take_defaults`
    key : that has a rule or is given
    """
    if isinstance(kind_of(key), Quantity):
        return _read(key, given)
    return _raw(key, given)


def _by_rule(rule: DefaultRule, given: Mapping[str, object]) -> DefaultTaken:
    return DefaultTaken(
        key=rule.key,
        value=_value(rule, given),
        rule=str(rule),
        why=rule.why,
        source=rule.source,
    )


def _from_torque(tightening: Tightening, given: Mapping[str, object]) -> DefaultTaken:
    """Return the force that comes of a torque, as the case file would say it."""
    drive = drive_of(tightening, partial(look, given))
    torque = look(given, tightening.torque)
    force = force_from_torque(drive, torque, drive.lubrication.friction)
    rule = (
        f"{given[tightening.torque]} on a screw of "
        f"{shown_quantity(drive.screw.diameter, LENGTH)}, {drive.lubrication.key}"
    )
    if drive.taper_deg is not None:
        rule += f", behind a wedge of {shown_quantity(drive.taper_deg, ANGLE)}"
    return DefaultTaken(
        key=tightening.force,
        value=f"{force!r} {FORCE.unit}",
        rule=rule,
        why=f"it follows from {tightening.torque}",
        source=DRIVING_SOURCE if drive.drives else FASTENING_SOURCE,
    )


def _applies(rule: DefaultRule, given: Mapping[str, object]) -> bool:
    return rule.only_if is None or _is_met(rule.only_if, given)


def _is_met(condition: Condition, given: Mapping[str, object]) -> bool:
    return _raw(condition.key, given) in condition.values


def _raw(key: str, given: Mapping[str, object]) -> object:
    """Return a key's value as the case file says it, or would."""
    return given[key] if key in given else _value(load_default_rules()[key], given)


def _value(rule: DefaultRule, given: Mapping[str, object]) -> object:
    """Return the value as the case file would say it."""
    if rule.zero_if_none and abs(_total(rule.zero_if_none, given)) < NOTHING_MM:
        return 0
    if rule.value is not None:
        return rule.value
    if rule.key == SPEED:
        return default_speed(partial(look, given))
    kind = kind_of(rule.key)
    if rule.column is not None and not isinstance(kind, Quantity):
        return _row_of(rule.column, given)[rule.column.name]
    if not isinstance(kind, Quantity):
        raise TypeError(rule.key)
    return f"{_number(rule, given)!r} {kind.kind.unit}"


def _number(rule: DefaultRule, given: Mapping[str, object]) -> float:
    if rule.column is not None:
        return _interpolated(rule.key, rule.column, given)
    number = float(_total(rule.sum or WeightedSum(), given) ** rule.power)
    number = max([number, *(_total(bound, given) for bound in rule.at_least)])
    number = min([number, *(_total(bound, given) for bound in rule.at_most)])
    return number / 2.0 if rule.halved_if and _is_met(rule.halved_if, given) else number


def _total(terms: WeightedSum, given: Mapping[str, object]) -> float:
    shares = (factor * _read(key, given) for key, factor in terms.sum.items())
    return sum(shares, start=read_quantity(terms.plus, LENGTH))


def _read(key: str, given: Mapping[str, object]) -> float:
    """Return a key's number, given or by its own rule, in the schema's unit."""
    return _quantity(key, _raw(key, given))


def _quantity(key: str, raw: object) -> float:
    """Return a number with its unit as a key reads it, without the key's limits."""
    kind = kind_of(key)
    if not isinstance(kind, Quantity):
        raise TypeError(key)
    return read_quantity(raw, kind.kind)


def _row_of(column: Column, given: Mapping[str, object]) -> Mapping[str, object]:
    """Return the row whose first cell is the value of the column's key."""
    rows = load_default_table(column.table)
    wanted = _raw(column.of, given)
    return next(row for row in rows if next(iter(row.values())) == wanted)


def _interpolated(key: str, column: Column, given: Mapping[str, object]) -> float:
    """Return a number from a table by size, held at its ends, in the key's unit."""
    size = _read(column.of, given)
    rows = [
        (
            _quantity(column.of, next(iter(row.values()))),
            _quantity(key, row[column.name]),
        )
        for row in load_default_table(column.table)
    ]
    for (low, at_low), (high, at_high) in pairwise(rows):
        if size <= high:
            part = max(0.0, (size - low) / (high - low))
            return at_low + part * (at_high - at_low)
    return rows[-1][1]

"""Fill in what a case file leaves out."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Any

from fea.case.default_rule import (
    DefaultRule,
    WeightedSum,
    load_default_rules,
    load_ground_stiffness,
)
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
    """Return a key's value, given or by default: a number in its unit, or text.

    Parameters
    ----------
    given : as for `take_defaults`
    key : that has a rule or is given
    """
    if isinstance(kind_of(key), Quantity):
        return _read(key, given)
    return given.get(key, load_default_rules()[key].value)


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
    if rule.only_if is None:
        return True
    key, wanted = rule.only_if
    return given.get(key, load_default_rules()[key].value) in wanted


def _value(rule: DefaultRule, given: Mapping[str, object]) -> object:
    """Return the value as the case file would say it."""
    if rule.zero_if_none and abs(_total(rule.zero_if_none, given)) < NOTHING_MM:
        return 0
    if rule.value is not None:
        return rule.value
    kind = kind_of(rule.key)
    if not isinstance(kind, Quantity):
        raise TypeError(rule.key)
    return f"{_number(rule, given)!r} {kind.kind.unit}"


def _number(rule: DefaultRule, given: Mapping[str, object]) -> float:
    if rule.column is not None:
        key, column = rule.column
        return _interpolated(_read(key, given), column)
    number = float(_total(rule.sum or WeightedSum(), given) ** rule.power)
    number = max([number, *(_total(bound, given) for bound in rule.at_least)])
    return min([number, *(_total(bound, given) for bound in rule.at_most)])


def _total(terms: WeightedSum, given: Mapping[str, object]) -> float:
    shares = (factor * _read(key, given) for key, factor in terms.sum.items())
    return sum(shares, start=read_quantity(terms.plus, LENGTH))


def _read(key: str, given: Mapping[str, object]) -> float:
    """Return a key's number, given or by its own rule, in the schema's unit."""
    raw = given[key] if key in given else _value(load_default_rules()[key], given)
    kind = kind_of(key)
    if not isinstance(kind, Quantity):
        raise TypeError(key)
    return read_quantity(raw, kind.kind)


def _interpolated(centre_height: float, column: str) -> float:
    """Return a stiffness of the ground, held at the ends of the table. [N/um]."""
    rows = load_ground_stiffness()
    for low, high in pairwise(rows):
        if centre_height <= high["centre_height"]:
            span = high["centre_height"] - low["centre_height"]
            part = max(0.0, (centre_height - low["centre_height"]) / span)
            return low[column] + part * (high[column] - low[column])
    return rows[-1][column]

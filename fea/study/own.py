"""The case's own design among those of its study: what it would be compared with."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from math import isclose

import numpy as np

from fea.case.field_kind import FieldKind
from fea.case.key_tree import kind_of
from fea.case.schema import Case
from fea.case.study_measure import MEASURES
from fea.case.study_problem import DECIMALS, said
from fea.study.answer import value_of
from fea.study.making import making
from fea.study.run import Finished
from fea.study.surrogate import Surrogate


@dataclass(frozen=True, slots=True, kw_only=True)
class Own:
    """The case as it stands.

    Parameters
    ----------
    values : of the studied keys, as the case file would say them
    design : the computed one that is the same, or None
    measures : what is known of it, by the names of limits and aims
    estimated : names of those that a smooth surface says, and not the solver
    """

    values: Mapping[str, object]
    design: Finished | None
    measures: Mapping[str, float]
    estimated: frozenset[str]


def own_design(
    case: Case, finished: Sequence[Finished], surrogates: Mapping[str, Surrogate]
) -> Own | None:
    """Return the case's own design; None if it has no value for a studied key.

    Parameters
    ----------
    surrogates : by the name of the measure
    """
    held = {v.key: _held(case, v.key) for v in case.study.variables}
    if any(value is None for value in held.values()):
        return None
    values = {key: _said(kind_of(key), value) for key, value in held.items()}
    same = (each for each in finished if _is_same(each, held))
    design = next(same, None)
    if design is not None and design.outcome.reason is None:
        known = {name: value_of(design, name) for name in MEASURES}
        estimates: dict[str, float] = {}
    else:
        made = making(case)
        known = {n: made[m.column] for n, m in MEASURES.items() if m.column in made}
        estimates = _estimates(values, surrogates)
    return Own(
        values=values,
        design=design,
        measures=estimates | known,
        estimated=frozenset(set(estimates) - set(known)),
    )


def _held(case: Case, key: str) -> object:
    """Return what a case holds under a dotted name."""
    return reduce(getattr, key.split("."), case)


def _said(kind: FieldKind, value: object) -> object:
    return said(kind, value) if isinstance(value, int | float) else value


def _is_same(one: Finished, held: Mapping[str, object]) -> bool:
    """Whether a design has the case's own values, to the decimals of a study."""
    return all(
        _agree(kind_of(key).read(one.design.values[key]), value)
        for key, value in held.items()
    )


def _agree(one: object, other: object) -> bool:
    if isinstance(one, int | float) and isinstance(other, int | float):
        return isclose(one, other, rel_tol=0.0, abs_tol=10.0**-DECIMALS)
    return one == other


def _estimates(
    values: Mapping[str, object], surrogates: Mapping[str, Surrogate]
) -> dict[str, float]:
    """Read smooth surfaces at a design, unless it lies outside of what was tried."""
    found = {}
    for name, surrogate in surrogates.items():
        shares = surrogate.shares(values)
        if shares is not None and shares.min() >= 0.0 and shares.max() <= 1.0:
            found[name] = float(surrogate.at(np.array([shares]))[0])
    return found

"""What the records tell of, and what they cannot tell apart.

Each member gives so much of the tip's motion in the deepest cut. How well that is known
before and after, and whether two members' parts rise and fall against each other, says
what the records know.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fea.analysis.member import kind_name
from fea.measurement.case_sets import StackSets
from geometry.pad import FloatArray

TOLD, UNTOLD = 0.5, 0.9
"""Spread after over spread before: below the first a member is told of, above the
second it is as unknown as ever."""
AGAINST = -0.6
"""Correlation below which two members are not told apart, if their sum is known better
than either."""
BETTER = 0.8
"""Spread of a sum over that of the better known of its members, likewise."""
SMALLEST = 0.03
"""Members with a smaller share than this are not spoken of."""
SPREAD_ENDS = (0.05, 0.95)


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberKnowledge:
    """How well one member's part in the motion is known.

    Parameters
    ----------
    name : of members of one kind together
    before_um, after_um : (3,) 5, 50 and 95 % of its part of the motion along the force
    spread : after over before, in ratio
    """

    name: str
    before_um: FloatArray
    after_um: FloatArray
    spread: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Confused:
    """Two members that the records do not tell apart.

    Parameters
    ----------
    first, second : their names
    correlation : of their parts in the motion
    """

    first: str
    second: str
    correlation: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Identifiability:
    """What the records know.

    Parameters
    ----------
    members : the large ones, best known first
    confused : pairs
    """

    members: tuple[MemberKnowledge, ...]
    confused: tuple[Confused, ...]

    @property
    def sentences(self) -> tuple[str, ...]:
        """Say it in words."""
        told = [each.name for each in self.members if each.spread < TOLD]
        untold = [each.name for each in self.members if each.spread > UNTOLD]
        found = []
        if told:
            found.append(f"These records tell how much gives: {_listed(told)}.")
        if untold:
            found.append(f"They say next to nothing about: {_listed(untold)}.")
        found += [
            f"They cannot tell {_the(pair.first)} from {_the(pair.second)}: what one "
            "gives more, the other gives less."
            for pair in self.confused
        ]
        return tuple(found)


def identifiability(before: StackSets, after: StackSets) -> Identifiability:
    """Compare what is known of a stack's members before and after the fit."""
    old, new = _parts(before), _parts(after)
    names = [
        name
        for name in new
        if max(np.median(_share(old, name)), np.median(_share(new, name))) > SMALLEST
    ]
    members = [
        MemberKnowledge(
            name=name,
            before_um=_three(old[name]),
            after_um=_three(new[name]),
            spread=_spread(new[name]) / _spread(old[name]),
        )
        for name in names
    ]
    return Identifiability(
        members=tuple(sorted(members, key=lambda each: each.spread)),
        confused=tuple(_confused(new, names)),
    )


def _parts(sets: StackSets) -> dict[str, FloatArray]:
    """Part of every kind of member in the motion along the force. (held,) [um each N].

    As compliance, so that the material's force has no say in it.
    """
    held = ~np.isnan(sets.stiffness_n_per_um)
    found: dict[str, FloatArray] = {}
    for name, share in sets.shares.items():
        part = share[held] / sets.stiffness_n_per_um[held]
        kind = kind_name(name)
        found[kind] = found.get(kind, 0.0) + part
    return found


def _share(parts: Mapping[str, FloatArray], name: str) -> FloatArray:
    return np.asarray(parts[name] / np.sum(list(parts.values()), axis=0))


def _three(values: FloatArray) -> FloatArray:
    return np.quantile(values, (SPREAD_ENDS[0], 0.5, SPREAD_ENDS[1]))


def _spread(values: FloatArray) -> float:
    """Width of the band, in ratio."""
    low, high = np.quantile(values, SPREAD_ENDS)
    return float(np.log(high / low))


def _confused(parts: Mapping[str, FloatArray], names: list[str]) -> list[Confused]:
    found = []
    for first, second in combinations(names, 2):
        one, other = parts[first], parts[second]
        correlation = float(np.corrcoef(one, other)[0, 1])
        both = np.std(one + other)
        if correlation < AGAINST and both < BETTER * min(np.std(one), np.std(other)):
            pair = Confused(first=first, second=second, correlation=correlation)
            found.append(pair)
    return sorted(found, key=lambda pair: pair.correlation)


def _the(name: str) -> str:
    return f"the {name}"


def _listed(names: list[str]) -> str:
    return ", ".join(_the(name) for name in names)

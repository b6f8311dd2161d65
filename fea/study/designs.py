"""The designs of a study: a grid of one or two variables, well-spread beyond that."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product

from fea.case.key_tree import kind_of
from fea.case.study_problem import GRID_VARIABLES, ends, levels, said
from fea.case.study_section import Study, Variable
from geometry.errors import InputError

# Ten designs a variable are the usual first choice for a smooth answer: Loeppky, Sacks
# and Welch, Technometrics 51 (2009) 366 (from memory).
DESIGNS_A_VARIABLE = 10
SEED = 20
"""Of the spread designs, so that a study is the same whenever it is run."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """One design.

    Parameters
    ----------
    number : from 1, in the order of the table
    values : by key, as the case file would say them
    """

    number: int
    values: Mapping[str, object]


def designs_of(study: Study) -> tuple[Design, ...]:
    """Return every design of a study, each once.

    Raises
    ------
    InputError
        The study varies nothing.
    """
    if not study.variables:
        raise InputError(
            "study.variables: the case varies nothing; add [study.variables] with a "
            'line such as "post.dovetail.width" = { from = "30 mm", to = "50 mm" }'
        )
    keys = [variable.key for variable in study.variables]
    rows = _grid(study) if is_grid(study) else _spread(study)
    return tuple(
        Design(number=number, values=dict(zip(keys, row, strict=True)))
        for number, row in enumerate(dict.fromkeys(rows), start=1)
    )


def is_grid(study: Study) -> bool:
    """Whether every combination of values is computed."""
    return len(study.variables) <= GRID_VARIABLES


def _grid(study: Study) -> list[tuple[object, ...]]:
    return list(product(*(levels(variable) for variable in study.variables)))


def _spread(study: Study) -> list[tuple[object, ...]]:
    """Latin hypercube, spread for low discrepancy."""
    from scipy.stats import qmc

    size = len(study.variables)
    sampler = qmc.LatinHypercube(size, optimization="random-cd", rng=SEED)
    points = sampler.random(study.designs or DESIGNS_A_VARIABLE * size)
    return [
        tuple(
            at_share(variable, share)
            for variable, share in zip(study.variables, point, strict=True)
        )
        for point in points.tolist()
    ]


def at_share(variable: Variable, share: float) -> object:
    """Return the value at a share, 0 to 1, of a variable's range or list."""
    if variable.values:
        return variable.values[
            min(int(share * len(variable.values)), len(variable.values) - 1)
        ]
    first, last = ends(variable)
    return said(kind_of(variable.key), first + share * (last - first))

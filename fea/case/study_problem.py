"""What is wrong with a study's variables, and the values that each of them takes."""

from collections.abc import Iterator
from math import prod

from pydantic_core import PydanticCustomError

from fea.case.field_kind import Choice, FieldKind, Number, Quantity, Whole, refuse
from fea.case.key_tree import kind_of, leaf_fields, nearest_key
from fea.case.problem import Problem
from fea.case.study_section import MOST_DESIGNS, Study, Variable

GRID_VARIABLES = 2
"""Up to so many variables, every combination is computed."""
GRID_COUNT = 10
"""Values of a range where the file does not say how many."""
MOST_COUNT = 200
OWN = "study."
VARIED = (Quantity, Whole, Number, Choice)


def study_problems(study: Study) -> list[Problem]:
    """Return what keeps a study's variables from being varied."""
    problems = [problem for each in study.variables for problem in _of(each)]
    if problems:
        return problems
    if len(study.variables) <= GRID_VARIABLES:
        count = prod(len(levels(variable)) for variable in study.variables)
        if count > MOST_DESIGNS:
            text = (
                f"study.variables: {count} designs; must be at most {MOST_DESIGNS}; "
                "give the variables fewer values"
            )
            problems.append(Problem(keys=("study.variables",), text=text))
    return problems


def levels(variable: Variable) -> tuple[object, ...]:
    """Return the values of a variable, in a grid, as the case file would say them."""
    kind = kind_of(variable.key)
    if variable.values:
        for value in variable.values:
            kind.read(value)
        return variable.values
    first, last = ends(variable)
    count = Whole(2, MOST_COUNT).read(
        GRID_COUNT if variable.count is None else variable.count
    )
    step = (last - first) / (count - 1)
    found = (*(first + step * i for i in range(count - 1)), last)
    return tuple(dict.fromkeys(said(kind, number) for number in found))


def ends(variable: Variable) -> tuple[float, float]:
    """Return both ends of a range, in the unit of the variable's key."""
    kind = kind_of(variable.key)
    if not isinstance(kind, Quantity | Whole | Number):
        refuse("is a choice; give a list of its names instead of from and to")
    first, last = kind.read(variable.first), kind.read(variable.last)
    if first >= last:
        refuse("must have a greater 'to' than 'from'; correct one of them")
    return float(first), float(last)


def said(kind: FieldKind, number: float) -> object:
    """Return a number as the case file would say it for a key of that kind."""
    if isinstance(kind, Quantity):
        return f"{round(number, DECIMALS):.10g} {kind.kind.unit}"
    return round(number) if isinstance(kind, Whole) else round(number, DECIMALS)


DECIMALS = 4
"""Of a varied number, in its unit: finer than anything is made."""


def _of(variable: Variable) -> Iterator[Problem]:
    key = variable.key
    place = f"study.variables.{key}"
    if key not in leaf_fields() or key.startswith(OWN):
        near = nearest_key(key)
        advice = "remove it" if near is None else f"did you mean {near}?"
        text = f"study.variables: there is no key {key} to vary; {advice}"
        yield Problem(keys=(place, "study.variables"), text=text)
        return
    try:
        if not isinstance(kind_of(key), VARIED):
            refuse("cannot be varied; vary a quantity, a number or a choice")
        levels(variable)
    except PydanticCustomError as error:
        text = f"study.variables: {key} {error.message()}"
        yield Problem(keys=(place, "study.variables"), text=text)

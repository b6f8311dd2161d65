"""Where a design lies at the end of what was tried: a better one may lie beyond."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fea.case.field_kind import Number, Quantity, Whole
from fea.case.key_tree import kind_of
from fea.case.study_section import Study
from fea.study.axis import axis_of
from fea.study.run import Finished


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeEnd:
    """A variable that cannot be followed any further.

    Parameters
    ----------
    key : of the variable
    value : of the design, as the case file would say it
    is_upper : whether no greater value was tried, or no smaller one
    """

    key: str
    value: object
    is_upper: bool


def range_ends(
    study: Study, finished: Sequence[Finished], one: Finished
) -> Iterator[RangeEnd]:
    """Give every number for which no design lies farther out than this one.

    What the case file itself does not allow to pass is no end that could be moved.
    """
    for variable in study.variables:
        axis, kind = axis_of(variable), kind_of(variable.key)
        if axis is None or not isinstance(kind, Quantity | Whole | Number):
            continue
        value = one.design.values[axis.key]
        number = axis.number(value)
        tried = [axis.number(each.design.values[axis.key]) for each in finished]
        if kind.low < number == min(tried):
            yield RangeEnd(key=axis.key, value=value, is_upper=False)
        elif kind.high > number == max(tried):
            yield RangeEnd(key=axis.key, value=value, is_upper=True)

"""From the best of many designs to a better one, on the true model.

The surface through the designs says where a better one should lie; that is solved, and
the surface learns from it. From the best of them a trust-region method without
derivatives, COBYQA (Ragonneau, thesis, Hong Kong Polytechnic University, 2022; from
memory), looks closer. Every step is a design that is meshed, solved and kept like any
other.

Designs that are known beforehand are solved together, so that no core is idle: what the
surface promises at several places, and all that COBYQA's first model wants. Which they
are does not depend on how many work on them.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fea.case.study_section import Study, Variable
from fea.study.answer import answer_of, value_of
from fea.study.axis import Axis, axis_of
from fea.study.designs import Design, at_share, is_grid
from fea.study.promise import is_listed, promising, sides
from fea.study.run import Finished, OnDone, Run
from fea.study.surrogate import shares_of
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from scipy.optimize import NonlinearConstraint

# True solves for each variable that is polished: one in every round where the surface
# promises most, then COBYQA's, whose first model takes two a variable and one.
SURFACE_ROUNDS, OWN_SOLVES = 2, 4
# Of a range: how far it looks at first, and from where on it is content.
FIRST_STEP, LAST_STEP = 0.1, 0.01


def polish(run: Run, finished: Sequence[Finished], on_done: OnDone) -> list[Finished]:
    """Return the designs that were tried beyond those finished, in order.

    None are for a grid, whose values the case names one by one; none where no design
    keeps to the limits; and only ranges are polished, about the best design's choices.

    Raises
    ------
    SetupError, StorageError
    """
    study = run.reading.case.study
    ranges = polished(study)
    best = answer_of(study, finished).recommended
    if is_grid(study) or not ranges or best is None:
        return []
    search = _Search(
        run=run, ranges=ranges, best=best, finished=list(finished), on_done=on_done
    )
    search.go()
    return search.finished[len(finished) :]


def solves_of(study: Study) -> int:
    """Return how many true solves polishing a study takes at most."""
    each = SURFACE_ROUNDS + OWN_SOLVES
    return 0 if is_grid(study) else each * len(polished(study))


def polished(study: Study) -> list[tuple[Variable, Axis]]:
    """Return the variables whose ranges hold every value between their ends."""
    found = []
    for variable in study.variables:
        axis = axis_of(variable)
        if axis is not None and not is_listed(variable):
            found.append((variable, axis))
    return found


@dataclass(slots=True, kw_only=True)
class _Search:
    """Looks for a better design about the best; what it tries joins `finished`."""

    run: Run
    ranges: list[tuple[Variable, Axis]]
    best: Finished
    finished: list[Finished]
    on_done: OnDone

    @property
    def study(self) -> Study:
        return self.run.reading.case.study

    def go(self) -> None:
        """Try what the surface promises while it promises more; then look about."""
        for _ in range(SURFACE_ROUNDS):
            before = len(self.finished)
            count = len(self.ranges)
            self._solve(promising(self.study, self.finished, self.best, count))
            if len(self.finished) == before:
                break
            self.best = answer_of(self.study, self.finished).recommended or self.best
        self._look_about()

    def _look_about(self) -> None:
        from scipy.optimize import NonlinearConstraint

        start = shares_of([axis for _, axis in self.ranges], self.best)
        self._solve([self._values(each) for each in _first_points(start)])
        margins = NonlinearConstraint(self._margins, 0.0, np.inf)
        constraints = [margins] if self.study.limits else []
        most = OWN_SOLVES * len(self.ranges)
        _minimise(self._loss, start, most, constraints)

    def _values(self, shares: FloatArray) -> Mapping[str, object]:
        """Return the best design's, moved to a point of the polished ranges."""
        return dict(self.best.design.values) | {
            variable.key: at_share(variable, float(np.clip(share, 0.0, 1.0)))
            for (variable, _), share in zip(self.ranges, shares, strict=True)
        }

    def _at(self, shares: FloatArray) -> Finished:
        values = self._values(shares)
        self._solve([values])
        return next(each for each in self.finished if each.design.values == values)

    def _solve(self, wanted: Sequence[Mapping[str, object]]) -> None:
        """Solve, together, the designs that were not tried before."""
        known = [each.design.values for each in self.finished]
        designs: list[Design] = []
        for values in wanted:
            if values not in known:
                known.append(values)
                designs.append(Design(number=len(known), values=values))
        if designs:
            self.finished += self.run.finish(designs, self.on_done)

    def _loss(self, shares: FloatArray) -> float:
        """First aim over that of the best design before, so that less is better."""
        return self._loss_of(self._at(shares))

    def _loss_of(self, one: Finished) -> float:
        aim = self.study.aims[0]
        if one.outcome.reason is not None:
            solved = (each for each in self.finished if each.outcome.reason is None)
            return max(self._loss_of(each) for each in solved)
        scale = abs(value_of(self.best, aim.measure)) or 1.0
        value = value_of(one, aim.measure) / scale
        return -value if aim.greatest else value

    def _margins(self, shares: FloatArray) -> FloatArray:
        """Room to every limit over the limit, negative where it is broken."""
        one = self._at(shares)
        if one.outcome.reason is not None:
            return np.full(len(sides(self.study)), -1.0)
        return np.array(
            [
                sign * (value_of(one, measure) - end) / (abs(end) or 1.0)
                for measure, end, sign in sides(self.study)
            ]
        )


def _first_points(start: Sequence[float]) -> list[FloatArray]:
    """Return the points of COBYQA's first model, which no value decides."""
    asked: list[FloatArray] = []

    def ask(shares: FloatArray) -> float:
        asked.append(shares.copy())
        return 0.0

    _minimise(ask, start, 2 * len(start) + 1, [])
    return asked


def _minimise(
    loss: Callable[[FloatArray], float],
    start: Sequence[float],
    most: int,
    constraints: Sequence["NonlinearConstraint"],
) -> None:
    from scipy.optimize import minimize

    minimize(
        loss,
        start,
        method="COBYQA",
        bounds=[(0.0, 1.0)] * len(start),
        constraints=constraints,
        options={
            "initial_tr_radius": FIRST_STEP,
            "final_tr_radius": LAST_STEP,
            "maxfev": most,
        },
    )

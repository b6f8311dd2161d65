"""From the best of many designs to a better one, on the true model.

Well-spread designs and the surface through them say about where the best one lies. From
there a trust-region method without derivatives, COBYQA (Ragonneau, thesis, Hong Kong
Polytechnic University, 2022; from memory), looks closer: every step is a design that is
meshed, solved and kept like any other.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.case.field_kind import Whole
from fea.case.key_tree import kind_of
from fea.case.study_section import Study, Variable
from fea.study.answer import answer_of, value_of
from fea.study.axis import Axis, axis_of
from fea.study.designs import SEED, Design, at_share, is_grid
from fea.study.run import Finished, OnDone, Run
from fea.study.surrogate import fit, shares_of
from geometry.pad import FloatArray

# True solves for each variable that is polished: COBYQA's first model takes two a
# variable and one, and about as many steps bring it to where meshes' noise begins.
SOLVES_A_VARIABLE = 5
# Of a range: how far it looks at first, and from where on it is content.
FIRST_STEP, LAST_STEP = 0.15, 0.01
# Points of the surface that are looked at for a start: a power of two.
SURFACE_POINTS = 4096


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
    return 0 if is_grid(study) else SOLVES_A_VARIABLE * len(polished(study))


def polished(study: Study) -> list[tuple[Variable, Axis]]:
    """Return the variables whose ranges hold every value between their ends."""
    found = []
    for variable in study.variables:
        axis = axis_of(variable)
        listed = variable.values or isinstance(kind_of(variable.key), Whole)
        if axis is not None and not listed:
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
        """Try the surface's best design, then go on from the better one."""
        from scipy.optimize import NonlinearConstraint, minimize

        point = self._of_surface()
        if point is not None:
            self._at(point)
        start = answer_of(self.study, self.finished).recommended or self.best
        margins = NonlinearConstraint(self._margins, 0.0, np.inf)
        minimize(
            self._loss,
            shares_of([axis for _, axis in self.ranges], start),
            method="COBYQA",
            bounds=[(0.0, 1.0)] * len(self.ranges),
            constraints=[margins] if self.study.limits else [],
            options={
                "initial_tr_radius": FIRST_STEP,
                "final_tr_radius": LAST_STEP,
                "maxfev": solves_of(self.study) - 1,
            },
        )

    def _at(self, shares: FloatArray) -> Finished:
        """Return the design at a point of the polished ranges, solved once."""
        values = dict(self.best.design.values) | {
            variable.key: at_share(variable, float(np.clip(share, 0.0, 1.0)))
            for (variable, _), share in zip(self.ranges, shares, strict=True)
        }
        for each in self.finished:
            if each.design.values == values:
                return each
        design = Design(number=len(self.finished) + 1, values=values)
        self.finished += self.run.finish([design], self.on_done)
        return self.finished[-1]

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
            return np.full(len(_sides(self.study)), -1.0)
        return np.array(
            [
                sign * (value_of(one, measure) - end) / (abs(end) or 1.0)
                for measure, end, sign in _sides(self.study)
            ]
        )

    def _of_surface(self) -> FloatArray | None:
        """Point where the surfaces through the designs promise most, in the limits.

        None where the designs are too few for a surface.
        """
        from scipy.stats import qmc

        aim = self.study.aims[0]
        needed = {aim.measure, *(measure for measure, _, _ in _sides(self.study))}
        fits = {name: fit(self.study, self.finished, name) for name in needed}
        surfaces = {name: each for name, each in fits.items() if each is not None}
        if len(surfaces) < len(needed):
            return None
        axes = surfaces[aim.measure].axes
        points = np.tile(shares_of(axes, self.best), (SURFACE_POINTS, 1))
        ours = [axes.index(axis) for _, axis in self.ranges]
        points[:, ours] = qmc.Sobol(len(ours), rng=SEED).random(SURFACE_POINTS)
        worth = surfaces[aim.measure].at(points) * (1.0 if aim.greatest else -1.0)
        for measure, end, sign in _sides(self.study):
            worth[sign * (surfaces[measure].at(points) - end) < 0.0] = -np.inf
        at = int(worth.argmax())
        return points[at, ours] if np.isfinite(worth[at]) else None


def _sides(study: Study) -> list[tuple[str, float, float]]:
    """Return the ends of all limits: measure, end, 1 for a least and -1 for a most."""
    return [
        (limit.measure, end, sign)
        for limit in study.limits
        for end, sign in ((limit.low, 1.0), (limit.high, -1.0))
        if end is not None
    ]

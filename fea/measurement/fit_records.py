"""The whole fit of a case: from records to answers."""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from fea.analysis.build import PLANS, plan_stack
from fea.analysis.member import Group
from fea.analysis.regeneration import TRIED, asked_mm
from fea.analysis.stack_answer import REFINING, prepare_answers
from fea.analysis.workforce import OnStage
from fea.case.schema import Case
from fea.core.threads import on_one_blas_thread
from fea.measurement.answer import FitAnswer, RecordAnswer, change, stack_calibration
from fea.measurement.case_sets import StackSets
from fea.measurement.fitted_values import Meaning, meanings
from fea.measurement.forward_model import ForwardModel, forward_model
from fea.measurement.identifiability import identifiability
from fea.measurement.keepers import Keepers
from fea.measurement.likelihood import Measured, arguments, losses
from fea.measurement.map_fit import MapFit, map_fit
from fea.measurement.next_measurement import gains
from fea.measurement.observation import Observation
from fea.measurement.overhang import other_overhangs
from fea.measurement.pareto import TRUSTED
from fea.measurement.posterior import Posterior, posterior
from fea.measurement.record import Records, StackName
from fea.measurement.refutation import Refutation, refutation
from geometry.errors import InputError
from geometry.pad import FloatArray

PRIOR_SETS = 128
SEED = 47  # any: fixes the sets of what was expected
BAND = (0.05, 0.5, 0.95)
FEW_EFFECTIVE = 30.0
"""Effective sets below which the ends of a band are not to be taken by the digit."""
BLAMED = "share of the motion in the slides and the machine"
RATIO = "stiffness of the quick-change post over the four-way block"
LIMIT = "depth at which the quick-change post begins to chatter"
STAGES = (
    "predicting what was measured",
    "fitting",
    "taking both stacks through their cuts again, looking for what to measure next",
)
"""Told after those of `prepare_answers` and of refining."""


@dataclass(frozen=True, kw_only=True)
class RecordFit:
    """A fit and its answer.

    Parameters
    ----------
    fit : most probable scores
    posterior : sets of scores
    meanings : of the scores
    answer : what follows
    """

    fit: MapFit
    posterior: Posterior
    meanings: tuple[Meaning, ...]
    answer: FitAnswer


@on_one_blas_thread
def fit_records(
    records: Records, who: Keepers, on_stage: OnStage = lambda _: None
) -> RecordFit:
    """Fit a case to what was measured.

    Parameters
    ----------
    records : what was measured
    who : keepers of a case that is not calibrated yet
    on_stage : as `fea.analysis.run.compare_stacks`

    Raises
    ------
    InputError
        The case is calibrated already, there are no records, or a spot is not on its
        part.
    MeshError, SolveError
        As `fea.analysis.run.compare_stacks`.
    """
    case = who.case
    _require_uncalibrated(case)
    prepare_answers(case, who.folder, who.workers, on_stage)
    if case.numerics.accuracy is not None:
        on_stage(REFINING)
    who.of_both(lambda keeper, name: keeper.answer(name))
    on_stage(STAGES[0])
    model = forward_model(case, records, who.rig)
    _require_readings(model)
    known = model.unknowns
    done = _computed(model, who, on_stage)
    fit, found, old, new = done.fit, done.posterior, done.old, done.new
    doubt = refutation(fit.of, found.values, known.eye_factor(found.scores))
    answer = FitAnswer(
        records=_record_answers(model, fit.of, done.before, found),
        quick_change=stack_calibration(old[0], new[0]),
        four_way=stack_calibration(old[1], new[1]),
        stiffness_ratio=change(_ratio(old), _ratio(new)),
        known=identifiability(old[0], new[0]),
        refutation=doubt,
        next=gains(_questions(case, new), done.later, done.later_values),
        damping_ratio=_damping(records, new[0]),
        warnings=tuple(_warnings(found, doubt)),
    )
    meant = meanings(case, [plan_stack(case, name) for name in PLANS], known)
    return RecordFit(fit=fit, posterior=found, meanings=meant, answer=answer)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Computed:
    """What keepers were asked for.

    Parameters
    ----------
    fit, posterior : of the records
    before : (s, n) the records as they were expected
    old, new : both stacks in their cuts, as expected and as fitted
    later, later_values : what could be measured next; (s, n) what is expected of it
    """

    fit: MapFit
    posterior: Posterior
    before: FloatArray
    old: Sequence[StackSets]
    new: Sequence[StackSets]
    later: Sequence[Observation]
    later_values: FloatArray


def _computed(model: ForwardModel, who: Keepers, on_stage: OnStage) -> _Computed:
    """Do all that takes time.

    What nothing waits for goes on beside what comes next, where a core is free: one of
    the stacks always takes longer than the other.
    """
    known = model.unknowns
    expected = _expected(known.count)
    slip = model.slip(np.zeros(known.count))
    with ThreadPoolExecutor(1) as aside:
        before = aside.submit(model.predicted, expected, slip)
        on_stage(STAGES[1])
        fit = map_fit(model, slip)
        found = posterior(fit)
        on_stage(STAGES[2])
        sets = found.scores
        old = who.of_both(lambda by, name: by.expected_sets(name, known, expected))
        new = aside.submit(who.of_both, lambda by, name: by.sets(name, known, sets))
        later = _later(who.case, who)
        return _Computed(
            fit=fit,
            posterior=found,
            # Slip adds a few percent to a push, and little to what a push tells.
            later_values=later.predicted(sets, later.no_slip()),
            later=later.seen,
            before=before.result(),
            old=old,
            new=new.result(),
        )


def _require_readings(model: ForwardModel) -> None:
    if not model.seen:
        message = "the records hold no reading; name at least one file with records"
        raise InputError(message)


def _expected(count: int) -> FloatArray:
    """Scores as they scatter before anything is measured. (s, count)."""
    return np.random.default_rng(SEED).standard_normal((PRIOR_SETS, count))


def _damping(records: Records, sets: StackSets) -> float | None:
    """Damping ratio of the lowest mode, if this stack was tapped."""
    if not any(tap.stack == sets.name for tap in records.taps):
        return None
    return float(np.nanmedian(sets.damping_ratio))


def _require_uncalibrated(case: Case) -> None:
    if case.calibration.constants:
        message = (
            "the case is calibrated already; fit the case as it was before, with all "
            "records together"
        )
        raise InputError(message)


def _ratio(sets: Sequence[StackSets]) -> FloatArray:
    """Stiffness of the first stack over that of the second. (s,)."""
    return np.asarray(sets[0].stiffness_n_per_um / sets[1].stiffness_n_per_um)


def _questions(case: Case, sets: Sequence[StackSets]) -> dict[str, FloatArray]:
    deepest = TRIED * asked_mm(case)
    return {
        BLAMED: sets[0].group(Group.SLIDES),
        RATIO: _ratio(sets),
        LIMIT: np.minimum(sets[0].limit_mm, deepest),
    }


def _later(case: Case, who: Keepers) -> ForwardModel:
    """Model of what could be measured next on the quick-change stack."""
    name: StackName = "quick-change"
    found = who.of((name, None)).candidates(name)
    pushes = list(found.pushes)
    for overhang in other_overhangs(case):
        pushes += who.of((name, overhang)).pushes_at(name, overhang)
    return forward_model(case, replace(found, pushes=tuple(pushes)), who.rig)


def _record_answers(
    model: ForwardModel, of: Measured, before: FloatArray, found: Posterior
) -> tuple[RecordAnswer, ...]:
    own = arguments(of, found.values, model.unknowns.eye_factor(found.scores))
    chances = np.exp(-losses(of, own)).mean(axis=0)
    residuals = -np.median(own, axis=0)
    return tuple(
        RecordAnswer(
            seen=each,
            measured=float(of.value[i]) if of.is_number[i] else None,
            predicted=np.nanquantile(before[:, i], BAND),
            calibrated=np.nanquantile(found.values[:, i], BAND),
            residual=float(residuals[i]) if of.is_number[i] else None,
            chance=None if of.is_number[i] else float(chances[i]),
        )
        for i, each in enumerate(of.seen)
    )


def _warnings(found: Posterior, doubt: Refutation) -> list[str]:
    said = []
    if not found.trusted:
        said.append(
            "The sets that the bands are made of come out of a rough search: their "
            f"check gives {found.weights.shape:.2f}, and up to {TRUSTED:g} it can be "
            "trusted. Take the bands as rough ones."
        )
    elif found.weights.effective < FEW_EFFECTIVE:
        said.append(
            f"The bands are worth no more than {found.weights.effective:.0f} "
            "independent sets; their ends may be off by a fifth of their width."
        )
    if doubt.refuted:
        said.append(
            "The records do not fit the model, whatever its constants: by chance they "
            f"would scatter so in {100.0 * doubt.chance_without:.1f} % of all cases. "
            "Something gives that the model does not have, or the uncertainties "
            "written down are too small."
        )
    return said

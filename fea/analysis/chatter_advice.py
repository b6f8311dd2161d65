"""What would raise the depth at which a case's post chatters: tried, not guessed."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields, replace
from functools import partial
from pathlib import Path
from typing import TypeVar, cast

import numpy as np

from fea.analysis.build import build_planned, fineness, plan_stack
from fea.analysis.chatter_cache import cutting_content
from fea.analysis.chatter_result import Advice, StackChatter
from fea.analysis.cut import fed_of, force_at
from fea.analysis.cutting_path import follow
from fea.analysis.held_work import held_work
from fea.analysis.mesh_error import as_fine_as
from fea.analysis.regeneration import (
    cut_limits,
    regeneration,
    working_depth,
)
from fea.analysis.stack_answer import StackAnswer
from fea.analysis.stack_modes import working_modes
from fea.analysis.stack_names import QUICK_CHANGE
from fea.analysis.workforce import reduce_ahead
from fea.case.post_section import SOLID
from fea.case.schema import Case
from fea.case.section import Section
from fea.case.wording import shown, value_of
from fea.case.work_section import CENTRE, NO_CENTRE
from fea.core.archive import digest_of, key_of, load_arrays, store_arrays
from fea.core.contact_stack import contact_model
from fea.core.modal_model import ModalModel, joined
from fea.core.plan import StackPlan
from fea.core.threads import threads
from fea.machining.cut import FEED_LIMITS_MM
from geometry.errors import StoutpostError
from geometry.pad import FloatArray

S = TypeVar("S", bound=Section)

FORMAT = 5  # raised whenever the same case would get other advice
SHORTER = 0.75
FASTER = 1.5
HARDER = 1.25
STIFFER = 1.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A change that is tried.

    Parameters
    ----------
    change : in words
    case : with the change
    stiffer : part that is made of a stiffer material, or None
    rebuilt : whether the stack changes; else only work and cut do
    """

    change: str
    case: Case
    stiffer: str | None = None
    rebuilt: bool = True


def advice(
    case: Case, answer: StackAnswer, tip: ModalModel, now: StackChatter, folder: Path
) -> tuple[Advice, ...]:
    """Try some changes, one at a time; the best first.

    Parameters
    ----------
    case : as it is
    answer, tip : the quick-change stack and its modes
    now : its answer without a change
    folder : the cache
    """
    trials = list(_trials(case, answer, now))
    found = _kept(trials, tip, answer.plan, folder)
    tried = [*_other_speed(case, now)]
    for trial, (limit, smallest) in zip(trials, found, strict=True):
        if not np.isnan(limit):
            tried.append(_advice(trial.change, limit, smallest, now))
    return tuple(sorted(tried, key=lambda each: (-each.gain, each.change)))


def _advice(change: str, limit: float, smallest: float, now: StackChatter) -> Advice:
    """Limits that are infinite count as the largest depth tried."""
    before, after = (
        min(each, now.deepest_mm) for each in (float(now.chosen.limit_mm[0]), limit)
    )
    return Advice(
        change=change,
        limit_mm=float(limit),
        smallest_mm=float(smallest),
        gain=float(after / before - 1.0),
    )


def _other_speed(case: Case, now: StackChatter) -> Iterator[Advice]:
    """Yield the best of the lathe's other speeds; all of them are computed already."""
    limits = np.minimum(now.lathe.limit_mm, now.deepest_mm)
    best = int(limits.argmax())
    speed = float(now.lathe.speed_rpm[best])
    if speed == case.spindle.speed:
        return
    change = f"spindle speed {case.spindle.speed:g} to {speed:g} rev/min"
    yield _advice(change, float(now.lathe.limit_mm[best]), now.smallest_mm, now)


def _trials(case: Case, answer: StackAnswer, now: StackChatter) -> Iterator[Trial]:
    yield _trial(case, "tool.overhang", SHORTER, "overhang")
    feed = min(FASTER, FEED_LIMITS_MM[1] / case.cut.feed)
    yield replace(_trial(case, "cut.feed", feed, "feed"), rebuilt=False)
    if case.post.clamping.way != SOLID:
        yield _trial(case, "post.clamping.force", HARDER, "clamping of the holder")
    yield _trial(case, "machine.stud.preload", HARDER, "pull of the stud")
    yield _trial(case, "holder.screws.force", HARDER, "force of each set screw")
    for part in _softest(answer, now):
        change = f"{part} of a material {STIFFER - 1.0:.0%} stiffer"
        yield Trial(change=change, case=case, stiffer=part)
    shorter = changed(case, "work.stick_out", SHORTER * case.work.stick_out)
    shorter = changed(shorter, "work.cut_at", SHORTER * case.work.cut_at)
    yield Trial(
        change=_told(case, shorter, "work.stick_out", "stick-out of the work"),
        case=shorter,
        rebuilt=False,
    )
    if case.work.tailstock == NO_CENTRE:
        held = changed(case, "work.tailstock", CENTRE)
        change = "a centre in the free end of the work"
        yield Trial(change=change, case=held, rebuilt=False)


def _softest(answer: StackAnswer, now: StackChatter) -> list[str]:
    """Two parts that hold most of the energy of the mode that limits."""
    shares = {each.name: each.fraction for each in now.modes[now.limiting_mode].shares}
    parts = [part.name for part in answer.plan.parts]
    return sorted(parts, key=lambda name: -shares[name])[:2]


def _trial(case: Case, key: str, factor: float, noun: str) -> Trial:
    other = changed(case, key, factor * cast("float", value_of(case, key)))
    return Trial(change=_told(case, other, key, noun), case=other)


def _told(before: Case, after: Case, key: str, noun: str) -> str:
    return f"{noun} {shown(before, key)} to {shown(after, key)}"


def changed(section: S, key: str, value: object) -> S:
    """Return a section of a case with one key changed; what depends on it stays."""
    first, _, rest = key.partition(".")
    if rest:
        value = changed(getattr(section, first), rest, value)
    return section.model_copy(update={first: value})


def _kept(
    trials: list[Trial], tip: ModalModel, drawn: StackPlan, folder: Path
) -> FloatArray:
    """Limit at the chosen speed and over all speeds; NaN where there is none. (n, 2).

    From the cache where they are there: every trial costs a second of a core.
    """
    content = {
        "advice_format": FORMAT,
        "trials": [[t.case.model_dump(mode="json"), t.stiffer] for t in trials],
        "cutting": [cutting_content(t.case) for t in trials],
        "tip": digest_of(getattr(tip, field.name) for field in fields(tip)),
    }
    key = key_of(content)
    arrays = load_arrays(folder, key)
    if arrays is None:
        plans = [_plan(each, drawn, folder) for each in trials]
        with ThreadPoolExecutor(threads()) as pool:
            found = list(
                pool.map(partial(_limits, tip=tip, folder=folder), trials, plans)
            )
        arrays = {"limits": np.array(found)}
        store_arrays(folder, key, arrays)
    return arrays["limits"]


def _plan(trial: Trial, drawn: StackPlan, folder: Path) -> StackPlan | None:
    """Plan the changed stack, its parts reduced, on meshes as fine as the drawn one's.

    None where there is no such stack; the drawn one where only work or cut change.
    """
    if not trial.rebuilt:
        return drawn
    try:
        plan = as_fine_as(drawn, plan_stack(trial.case, QUICK_CHANGE))
        if trial.stiffer is not None:
            plan = _stiffened(plan, trial.stiffer)
        # Here, because the mesher works in the main thread alone.
        reduce_ahead(plan.parts, *fineness(trial.case), folder, 1, lambda _: None)
    except StoutpostError:
        return None
    return plan


def _limits(
    trial: Trial, plan: StackPlan | None, tip: ModalModel, folder: Path
) -> tuple[float, float]:
    case = trial.case
    if plan is None:
        return np.nan, np.nan
    try:
        held = _rung(case, plan, folder) if trial.rebuilt else tip
    except StoutpostError:
        return np.nan, np.nan  # it does not hold the cut
    both = joined(held, held_work(case))
    cut = regeneration(case)
    found = cut_limits(both, cut, np.array([case.spindle.speed]))
    pair = found.at_speeds, found.smallest
    at_speed, smallest = (float(each.depth_mm[0]) for each in pair)
    return at_speed, smallest


def _rung(case: Case, plan: StackPlan, folder: Path) -> ModalModel:
    """Modes at the tip of the changed stack."""
    stack = build_planned(plan, *fineness(case), folder)
    model = contact_model(stack)
    depth = np.array([working_depth(case)])
    path = follow(model, lambda each: force_at(case, each), depth, fed_of(case))
    modes = working_modes(stack, model, path.steps[0].state, case.damping.ratio)
    return modes.tip


def _stiffened(plan: StackPlan, name: str) -> StackPlan:
    parts = tuple(
        replace(
            part,
            material=replace(
                part.material,
                youngs_modulus_mpa=STIFFER * part.material.youngs_modulus_mpa,
            ),
        )
        if part.name == name
        else part
        for part in plan.parts
    )
    return replace(plan, parts=parts)

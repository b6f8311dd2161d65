"""A few of a case's cuts marched through time, to stand beside the chart of chatter."""

from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from itertools import islice
from multiprocessing import get_context

import numpy as np

from fea.analysis.chatter import ringing
from fea.analysis.chatter_result import Chatter, StackChatter
from fea.analysis.cut import cut_of
from fea.analysis.regeneration import Regeneration, cut_limits, edge_of, regeneration
from fea.analysis.simulated_cut import CutToFollow, FollowedCut, follow_cut
from fea.analysis.simulation_result import Simulated, SimulatedStack
from fea.analysis.stack_answer import StackAnswer
from fea.analysis.workforce import OnStage, on_threads
from fea.case.schema import Case
from fea.case.work_holding import work_bar, work_holding
from fea.core.modal_model import ModalModel, joined, lowest_modes
from fea.machining.time_domain import Turning
from fea.machining.work_bar import work_model
from fea.machining.work_material import load_work_materials
from geometry.errors import InputError
from geometry.pad import FloatArray

STAGES = 2
ALIKE = 0.01
"""Of a limit: modes that change none of the chart's by more only cost time."""


def simulated(
    case: Case,
    answers: tuple[StackAnswer, StackAnswer],
    found: Chatter,
    workers: int = 1,
    on_stage: OnStage = lambda _: None,
) -> Chatter:
    """Add simulated cuts to what the chart says.

    Parameters
    ----------
    case, answers : with the stacks taken through their cuts
    found : without simulated cuts
    workers : processes to use
    on_stage : hears of each stack
    """
    speeds = telling_speeds(found.quick_change)
    charts = (found.quick_change, found.four_way)
    tasks = [
        _tasks(case, answer, chart, speeds)
        for answer, chart in zip(answers, charts, strict=True)
    ]
    followed = _followed([task for each in tasks for task in each], workers)
    stacks = []
    for chart, each in zip(charts, tasks, strict=True):
        on_stage(f"simulating cuts with the {chart.name} stack")
        stacks.append(_stack(chart, list(islice(followed, len(each)))))
    quick_change, four_way = stacks
    return replace(
        found, simulated=Simulated(quick_change=quick_change, four_way=four_way)
    )


def telling_speeds(stack: StackChatter) -> tuple[float, ...]:
    """Return the case's speed, and the faster one of the lathe that holds most.

    Slower ones take long, since revolutions are what has to be followed, and tell
    little: there the flank's rubbing decides, which is the same in both ways.
    """
    own = float(stack.chosen.speed_rpm[0])
    faster = np.flatnonzero(stack.lathe.speed_rpm > own)
    if not faster.size:
        return (own,)
    best = faster[stack.lathe.limit_mm[faster].argmax()]
    return own, float(stack.lathe.speed_rpm[best])


def slow_modes(
    model: ModalModel, cut: Regeneration, speed_rpm: FloatArray
) -> ModalModel:
    """Keep as few of the lowest modes as give the chart's limits at these speeds."""
    full = cut_limits(model, cut, speed_rpm).at_speeds.depth_mm
    for count in range(len(model.frequency_hz) - 1, 0, -1):
        fewer = cut_limits(lowest_modes(model, count), cut, speed_rpm)
        if not np.allclose(fewer.at_speeds.depth_mm, full, rtol=ALIKE, atol=0.0):
            return lowest_modes(model, count + 1)
    return lowest_modes(model, 1)


def _tasks(
    case: Case, answer: StackAnswer, chart: StackChatter, speeds: Sequence[float]
) -> list[CutToFollow]:
    cut, rpm = regeneration(case), np.array(speeds)
    bar = work_model(work_bar(case), work_holding(case))
    model = joined(ringing(case, answer).tip, bar)
    limits = cut_limits(model, cut, rpm).at_speeds
    slow = slow_modes(model, cut, rpm)
    return [
        CutToFollow(
            turning=_turning(case, slow, cut, speed),
            kind=case.cut.kind,
            speed_rpm=speed,
            chart_mm=float(limit),
            chart_hz=float(hertz),
            deepest_mm=chart.deepest_mm,
            traced=speed == speeds[0],
        )
        for speed, limit, hertz in zip(
            speeds, limits.depth_mm, limits.frequency_hz, strict=True
        )
    ]


def _turning(
    case: Case, model: ModalModel, cut: Regeneration, speed_rpm: float
) -> Turning | None:
    """Return the cut at a speed; None if that is too slow to be followed."""
    try:
        return Turning(
            model=model,
            cut=cut_of(case),
            edge_at=edge_of(case),
            material=load_work_materials()[case.work.material],
            speed_rpm=speed_rpm,
            diameter_mm=cut.diameter_mm,
            process_damping_n_per_mm=cut.rubbing,
            friction=cut.friction,
        )
    except InputError:
        return None


def _followed(tasks: Sequence[CutToFollow], workers: int) -> Iterator[FollowedCut]:
    """Follow the cuts, several at once if there are workers; in their order."""
    if min(workers, len(tasks)) < 2:
        yield from map(follow_cut, tasks)
        return
    with ProcessPoolExecutor(
        workers, get_context("spawn"), initializer=on_threads, initargs=(1,)
    ) as pool:
        yield from pool.map(follow_cut, tasks)


def _stack(chart: StackChatter, followed: Sequence[FollowedCut]) -> SimulatedStack:
    return SimulatedStack(
        name=chart.name,
        speeds=tuple(each.speed for each in followed),
        traces=followed[0].traces,
        deepest_mm=chart.deepest_mm,
    )

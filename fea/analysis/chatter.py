"""The depth of cut at which a case's stacks begin to chatter, and what would help."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fea.analysis.build import default_cache
from fea.analysis.chatter_advice import advice
from fea.analysis.chatter_cache import kept_limits
from fea.analysis.chatter_notes import chatter_notes, chatter_warnings
from fea.analysis.chatter_result import (
    Chatter,
    ChatterMap,
    SpeedLimits,
    StackChatter,
)
from fea.analysis.chatter_samples import SampledLimits
from fea.analysis.cut import fed_of
from fea.analysis.distribution import BAND
from fea.analysis.held_work import held_work
from fea.analysis.regeneration import (
    Regeneration,
    cut_limits,
    least_limit,
    regeneration,
    working_depth,
)
from fea.analysis.response import part_fields
from fea.analysis.result import PartField
from fea.analysis.stack_answer import StackAnswer, answer_stacks
from fea.analysis.stack_modes import StackModes, working_modes
from fea.analysis.workforce import OnStage
from fea.case.schema import Case
from fea.core.modal_model import ModalModel, joined
from fea.core.threads import on_one_blas_thread
from fea.machining.stability import Limits
from geometry.pad import FloatArray

STAGES = 2
CHART_SPEEDS = 240  # of the nominal curve
MAP_SPEEDS = 40  # of the sampled sets; bands run smoothly between them
MAP_DEPTHS = 60
BEYOND = 1.3  # the chart goes this far beyond the slowest and fastest speed


@on_one_blas_thread
def chatter_limits(
    case: Case,
    cache: Path | None = None,
    workers: int = 1,
    on_stage: OnStage = lambda _: None,
) -> Chatter:
    """Build both stacks of a case and find where they chatter.

    Parameters
    ----------
    case, cache, workers, on_stage : as `fea.compare_stacks` takes them

    Raises
    ------
    InputError, MeshError, SolveError
    """
    folder = cache or default_cache()
    answers = answer_stacks(case, folder, workers, on_stage)
    return chatter(case, answers, folder, on_stage)


def chatter(
    case: Case,
    answers: tuple[StackAnswer, StackAnswer],
    folder: Path,
    on_stage: OnStage = lambda _: None,
) -> Chatter:
    """Find where stacks chatter that are taken through their cuts."""
    on_stage("looking for chatter")
    work = held_work(case)
    cut, speeds = regeneration(case), _speeds(case)
    modes = [ringing(case, each) for each in answers]
    sampled = kept_limits(
        case, answers, folder, working_depth(case), cut, speeds.sampled
    )
    quick_change, four_way = (
        _stack(each, ring, work, cut, speeds, many)
        for each, ring, many in zip(answers, modes, sampled, strict=True)
    )
    on_stage("looking for what would help")
    return Chatter(
        quantity=fed_of(case).quantity,
        quick_change=quick_change,
        four_way=four_way,
        advice=advice(case, answers[0], modes[0].tip, quick_change, folder),
        notes=chatter_notes(case),
        warnings=chatter_warnings(),
    )


def ringing(case: Case, answer: StackAnswer) -> StackModes:
    """Return the modes of a stack at the depth nearest to the working depth."""
    state = answer.state_at(working_depth(case))
    return working_modes(answer.stack, answer.model, state, case.damping.ratio)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Speeds:
    """Speeds at which limits are wanted [rev/min]: chart, map, lathe's, chosen."""

    chart: FloatArray
    map: FloatArray
    lathe: FloatArray
    chosen: FloatArray

    @property
    def sampled(self) -> FloatArray:
        """All at which the sets are tried."""
        return np.concatenate([self.map, self.lathe, self.chosen])


def _speeds(case: Case) -> _Speeds:
    lathe = np.array(case.spindle.speeds)
    ends = lathe[0] / BEYOND, lathe[-1] * BEYOND
    return _Speeds(
        chart=np.geomspace(*ends, CHART_SPEEDS),
        map=np.geomspace(*ends, MAP_SPEEDS),
        lathe=lathe,
        chosen=np.array([case.spindle.speed]),
    )


def _stack(
    answer: StackAnswer,
    ring: StackModes,
    work: ModalModel,
    cut: Regeneration,
    speeds: _Speeds,
    sampled: SampledLimits,
) -> StackChatter:
    """One stack's answer."""
    both = joined(ring.tip, work)
    every = np.concatenate([speeds.chart, speeds.lathe, speeds.chosen])
    found = cut_limits(both, cut, every)
    least = found.smallest
    hertz = float(least.frequency_hz[0])
    limiting = _limiting_mode(ring.tip, cut, hertz)
    on_map, on_lathe, chosen = np.split(
        sampled.limit_mm, np.cumsum([len(speeds.map), len(speeds.lathe)]), axis=1
    )
    bands = _between(speeds, _band(on_map)), _band(on_lathe), _band(chosen)
    at_chart, at_lathe, at_chosen = _speed_limits(every, found.at_speeds, bands)
    return StackChatter(
        name=answer.plan.name,
        modes=ring.modes,
        chart=at_chart,
        lathe=at_lathe,
        chosen=at_chosen,
        smallest_mm=float(least.depth_mm[0]),
        smallest_band_mm=_band(sampled.smallest_mm),
        smallest_frequency_hz=hertz,
        rigid_work_mm=float(least_limit(ring.tip, cut).depth_mm[0]),
        rigid_stack_mm=float(least_limit(work, cut).depth_mm[0]),
        map=_map(on_map, speeds.map, cut.edge.depth_mm[-1]),
        samples=len(sampled.smallest_mm),
        deepest_mm=float(cut.edge.depth_mm[-1]),
        fields=_shape(answer, ring.shapes[:, limiting]),
        limiting_mode=limiting,
    )


def _speed_limits(
    speed_rpm: FloatArray, found: Limits, bands: Sequence[FloatArray]
) -> list[SpeedLimits]:
    """Share limits out to axes of speeds that stand one after the other.

    As many to each as its band (2, n) has.
    """
    ends = np.cumsum([band.shape[1] for band in bands])[:-1]
    axes = (
        np.split(each, ends) for each in (speed_rpm, found.depth_mm, found.frequency_hz)
    )
    return [
        SpeedLimits(speed_rpm=speed, limit_mm=limit, frequency_hz=hertz, band_mm=band)
        for speed, limit, hertz, band in zip(*axes, bands, strict=True)
    ]


def _band(limit_mm: FloatArray) -> FloatArray:
    """5 and 95 % over the sets that hold. (s, ...) to (2, ...); may be infinite."""
    held = limit_mm[~np.isnan(limit_mm.reshape(len(limit_mm), -1)[:, 0])]
    # No interpolation: between a number and infinity there is none.
    return np.asarray(np.quantile(held, BAND, axis=0, method="nearest"))


def _between(speeds: _Speeds, band_mm: FloatArray) -> FloatArray:
    """Band of the map's speeds at those of the chart."""
    at = np.log(speeds.chart), np.log(speeds.map)
    return np.array([np.interp(*at, end) for end in band_mm])


def _map(limit_mm: FloatArray, speed_rpm: FloatArray, deepest: float) -> ChatterMap:
    """Fraction of the sets whose limit a depth exceeds."""
    depths = np.linspace(0.0, deepest, MAP_DEPTHS + 1)[1:]
    held = limit_mm[~np.isnan(limit_mm[:, 0])]
    over = depths[:, None, None] > held[None]
    return ChatterMap(
        speed_rpm=speed_rpm, depth_mm=depths, probability=over.mean(axis=1)
    )


def _limiting_mode(tip: ModalModel, cut: Regeneration, hertz: float) -> int:
    """Mode of the stack that feeds most back at a frequency.

    That whose own loop gain, phi' K phi over the mode's dynamic stiffness, has the most
    negative real part.
    """
    if not np.isfinite(hertz):
        return 0
    loop = np.einsum("ni,ij,nj->n", tip.shapes, cut.grid.cutting[-1], tip.shapes)
    ratio = hertz / tip.frequency_hz
    stiffness = (2.0 * np.pi * tip.frequency_hz) ** 2
    gain = 1.0 / (stiffness * (1.0 - ratio**2 + 2j * tip.damping_ratio * ratio))
    return int((loop * gain).real.argmin())


def _shape(answer: StackAnswer, mode: FloatArray) -> tuple[PartField, ...]:
    """Parts as a mode moves them, largest motion 1 mm."""
    fields = part_fields(answer.stack, mode)
    largest = max(np.linalg.norm(each.displacement, axis=1).max() for each in fields)
    return part_fields(answer.stack, mode / largest)

"""One cut at one speed, followed through time: its limit, and what it does above it."""

from dataclasses import dataclass
from math import inf, isfinite, isinf, nan

import numpy as np

from fea.analysis.simulation_result import Chattering, SimulatedSpeed, Traces
from fea.case.work_section import FACING, PLUNGING
from fea.machining.growth import growth_per_revolution, limit_by_simulation
from fea.machining.time_domain import (
    Simulation,
    Turning,
    marching_at,
    simulate,
    steady_cut,
)
from fea.machining.vibration import (
    chip_direction,
    pitch_hz,
    plunged_surface,
    turned_surface,
)
from geometry.errors import InputError, SolveError
from geometry.pad import FloatArray
from geometry.units import UM_PER_MM

REACHES = (1.14, 2.5)
"""Either side of the chart's limit, as ratios, between which that of the simulation is
looked for: first so near that one march tells it, then further."""
SHALLOW = 0.3
"""Of the deepest depth tried, where the chart has no limit but the simulation does."""
ABOVE, BELOW = 1.3, 0.8
"""Of the limit by simulation: depths at which motion is shown."""
REVOLUTIONS = 40
"""From the entry into the full cut: at 1.3 of its limit a swing grows by up to a
quarter at each, so that what the entry started may have settled in some 30."""
MOST_REVOLUTIONS = 120
"""Where it grows more slowly."""
HEARD = 10
"""Revolutions at the end over which pitch and surface are taken."""
OUT = 0.05
"""Of a calm cut's force along the work's motion: a tool that pulls less is out of the
cut, though a corner of it may still touch."""
RADIAL, AXIAL, DOWN = 0, 1, 2


@dataclass(frozen=True, slots=True, kw_only=True)
class CutToFollow:
    """A cut at one speed, and what the chart says of it.

    Parameters
    ----------
    turning : all but the depth; None if the speed is too slow to be followed
    kind : of cut
    speed_rpm : of the spindle
    chart_mm, chart_hz : limit and frequency by the chart
    deepest_mm : largest depth that was tried
    traced : whether the motion itself is wanted
    """

    turning: Turning | None
    kind: str
    speed_rpm: float
    chart_mm: float
    chart_hz: float
    deepest_mm: float
    traced: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FollowedCut:
    """What a cut showed; `traces` None if they are not wanted or there is no limit."""

    speed: SimulatedSpeed
    traces: Traces | None


def follow_cut(task: CutToFollow) -> FollowedCut:
    """Find a cut's limit in time, and what it does above and below it."""
    turning = task.turning
    limit = nan if turning is None else _limit(turning, task)
    above, traces = None, None
    if turning is not None and isfinite(limit):
        try:
            run = simulate(turning, ABOVE * limit, REVOLUTIONS, most=MOST_REVOLUTIONS)
            above = _chattering(turning, task.kind, run, ABOVE * limit)
            traces = _traces(turning, run, limit) if task.traced else None
        except SolveError:
            pass  # too stiff a cut to be followed: there is nothing to show
    speed = SimulatedSpeed(
        speed_rpm=task.speed_rpm,
        chart_mm=task.chart_mm,
        chart_hz=task.chart_hz,
        limit_mm=limit,
        above=above,
    )
    return FollowedCut(speed=speed, traces=traces)


def _limit(turning: Turning, task: CutToFollow) -> float:
    """Limit by simulation; see `SimulatedSpeed`."""
    deepest = task.deepest_mm
    try:
        if isinf(task.chart_mm):
            if growth_per_revolution(turning, np.array([deepest]))[0] <= 0.0:
                return inf
            return _between(turning, SHALLOW * deepest, deepest)
        reaches = ((task.chart_mm / each, task.chart_mm * each) for each in REACHES)
        found = (_between(turning, *each) for each in reaches)
        return next((limit for limit in found if isfinite(limit)), nan)
    except SolveError:
        return nan


def _between(turning: Turning, low_mm: float, high_mm: float) -> float:
    """Limit between two depths; NaN if it is not there."""
    try:
        return limit_by_simulation(turning, low_mm, high_mm)
    except InputError:
        return nan


def _along_chip(turning: Turning, run: Simulation, depth_mm: float) -> FloatArray:
    """Motion along the chip's thickness, a row for each revolution. [um]."""
    edge = turning.edge_at(turning.cut, np.array([depth_mm]))
    along = run.motion_mm @ chip_direction(edge)[0] * UM_PER_MM
    return np.asarray(along.reshape(-1, turning.steps))


def _chattering(
    turning: Turning, kind: str, run: Simulation, depth_mm: float
) -> Chattering:
    along = _along_chip(turning, run, depth_mm)
    surface = _surface(kind, turning, run)
    _, force = steady_cut(turning, marching_at(turning, np.array([depth_mm])))
    cutting, calm = -run.force_n[-turning.steps :, DOWN], -float(force[0, 0, DOWN])
    return Chattering(
        depth_mm=depth_mm,
        swing_um=float(np.ptp(along[-1])),
        waves_um=float(np.ptp(surface[-1])) * UM_PER_MM,
        away=float((cutting < OUT * calm).mean()),
        frequency_hz=pitch_hz(along[-HEARD:].ravel(), run.time_s[0]),
    )


def _surface(kind: str, turning: Turning, run: Simulation) -> FloatArray:
    """Height of what is left on the work, a row for each revolution. [mm]."""
    axis = AXIAL if kind == FACING else RADIAL
    path = run.motion_mm[:, axis].reshape(-1, turning.steps)[-HEARD:]
    cut = turning.cut
    if kind in PLUNGING:
        return plunged_surface(path, cut.feed_mm)
    return turned_surface(path, cut.feed_mm, cut.nose_radius_mm)


def _traces(turning: Turning, above: Simulation, limit_mm: float) -> Traces:
    below = simulate(turning, BELOW * limit_mm, REVOLUTIONS)
    return Traces(
        step_s=float(above.time_s[0]),
        below_um=_from_rest(turning, below, BELOW * limit_mm),
        above_um=_from_rest(turning, above, ABOVE * limit_mm),
        below_mm=BELOW * limit_mm,
        above_mm=ABOVE * limit_mm,
    )


def _from_rest(turning: Turning, run: Simulation, depth_mm: float) -> FloatArray:
    """Motion along the chip from where a calm cut would stand. (n,) [um]."""
    depth = np.array([depth_mm])
    rest, _ = steady_cut(turning, marching_at(turning, depth))
    along = chip_direction(turning.edge_at(turning.cut, depth))[0]
    return np.asarray((run.motion_mm - rest[0, 0]) @ along * UM_PER_MM)

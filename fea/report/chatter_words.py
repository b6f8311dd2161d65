"""What a limit, its band, a mode's motion and what limits a cut are called in words."""

from enum import StrEnum
from math import isfinite, isinf, isnan

import numpy as np

from fea.analysis.chatter_result import ChatterMap, Mode, SpeedLimits, StackChatter
from fea.analysis.member import merged
from fea.report.number import coarse, percent, setting
from fea.report.pressure_maps import DIRECTIONS
from fea.report.table import NOT_THERE
from geometry.pad import FloatArray

EVEN = 0.05
"""Limits closer than 5 % do not tell which side of the cut is to blame."""
FELT = 0.35
"""Part of the tip's unit motion from which a direction is named: 20 degrees off."""
MAIN_SHARES = 3
"""How many members a mode is described by."""
SMALL_SHARE = 0.05
"""A member with less of a mode's energy does not describe it."""


class Limiter(StrEnum):
    """Which side of the cut chatters."""

    BAR = "bar"
    TOOL = "tool"
    BOTH = "both"


def limiter(stack: StackChatter) -> Limiter | None:
    """Compare what making either side rigid would give; None if nothing chatters.

    If a rigid bar raises the limit more than a rigid tool side does, it is the bar.
    """
    bar_rigid, tool_rigid = stack.rigid_work_mm, stack.rigid_stack_mm
    if not isfinite(stack.smallest_mm) or isnan(bar_rigid) or isnan(tool_rigid):
        return None
    if bar_rigid == tool_rigid:
        return Limiter.BOTH
    if bar_rigid > (1.0 + EVEN) * tool_rigid:
        return Limiter.BAR
    if tool_rigid > (1.0 + EVEN) * bar_rigid:
        return Limiter.TOOL
    return Limiter.BOTH


def limit_words(limit_mm: float, deepest_mm: float) -> str:
    """Write a limit without its unit; beyond what was tried it is "more than"."""
    if isnan(limit_mm):
        return NOT_THERE
    if isinf(limit_mm):
        return f"more than {setting(deepest_mm)}"
    return coarse(limit_mm)


def band_words(band_mm: FloatArray, deepest_mm: float) -> str:
    """Write 5 and 95 % in brackets; nothing if there is no band or no end to it."""
    low, high = (float(end) for end in band_mm)
    if isnan(low) or isnan(high) or isinf(low):
        return ""
    return f"({coarse(low)} to {limit_words(high, deepest_mm)})"


def with_band(limit_mm: float, band_mm: FloatArray, deepest_mm: float) -> str:
    """Write a limit and its band for a table."""
    band = band_words(band_mm, deepest_mm)
    return f"{limit_words(limit_mm, deepest_mm)} {band}".rstrip()


def frequency_words(frequency_hz: float) -> str:
    """Write a frequency in whole Hz; a dash where nothing vibrates."""
    return f"{frequency_hz:.0f}" if isfinite(frequency_hz) else NOT_THERE


def speed_words(speed_rpm: float) -> str:
    """Write a spindle speed as a lathe's plate does: whole, or with one decimal."""
    return f"{round(speed_rpm, 1):.15g}"


def motion_words(tip: FloatArray) -> str:
    """Directions of a unit vector (3,), the strongest first and counted as forward."""
    order = np.argsort(-np.abs(tip))
    sense = 1.0 if tip[order[0]] > 0.0 else -1.0
    named = [i for i in order if abs(tip[i]) >= FELT]
    return " and ".join(DIRECTIONS[i][0 if sense * tip[i] > 0.0 else 1] for i in named)


def main_members(mode: Mode) -> str:
    """Members with most of a mode's energy, screws of one kind added up."""
    shares = sorted(merged(mode.shares), key=lambda share: -share.fraction)
    main = [s for s in shares[:MAIN_SHARES] if s.fraction >= SMALL_SHARE]
    return ", ".join(f"{s.name} {percent(s.fraction)}" for s in main or shares[:1])


def chance(stack: StackChatter, depth_mm: float) -> float:
    """How likely a depth chatters at the chosen speed, by the map's nearest speed.

    Nothing does not chatter; beyond the map's largest depth it is as likely as there.
    """
    speed = float(stack.chosen.speed_rpm[0])
    nearest = int(np.abs(np.log(stack.map.speed_rpm / speed)).argmin())
    depths, chances = from_nothing(stack.map)
    return float(np.interp(depth_mm, depths, chances[:, nearest]))


def from_nothing(found: ChatterMap) -> tuple[FloatArray, FloatArray]:
    """Depths and chances of a map, from no depth on, which does not chatter.

    Returns
    -------
    (k,) or (k + 1,) depths [mm]; (k, n) or (k + 1, n) chances
    """
    if found.depth_mm[0] <= 0.0:
        return found.depth_mm, found.probability
    nothing = np.zeros((1, len(found.speed_rpm)))
    return (
        np.append(0.0, found.depth_mm),
        np.vstack([nothing, found.probability]),
    )


def at_speeds(stack: StackChatter) -> SpeedLimits:
    """Limits at the lathe's own speeds, and at the chosen one if it is none of them."""
    lathe, chosen = stack.lathe, stack.chosen
    if np.isin(chosen.speed_rpm, lathe.speed_rpm).all():
        return lathe
    speeds = np.append(lathe.speed_rpm, chosen.speed_rpm)
    order = np.argsort(speeds)
    return SpeedLimits(
        speed_rpm=speeds[order],
        limit_mm=np.append(lathe.limit_mm, chosen.limit_mm)[order],
        frequency_hz=np.append(lathe.frequency_hz, chosen.frequency_hz)[order],
        band_mm=np.hstack([lathe.band_mm, chosen.band_mm])[:, order],
    )

"""Invented answers about chatter: lobes of a made-up shape that look like real ones."""

from dataclasses import replace

import numpy as np
from invented_parts import four_way_fields, quick_change_fields

from fea.analysis.chatter_result import (
    Advice,
    Chatter,
    ChatterMap,
    Mode,
    SpeedLimits,
    StackChatter,
)
from fea.analysis.result import PartField, Share
from geometry.pad import FloatArray

LATHE_RPM = np.array([45.0, 95.0, 140.0, 200.0, 280.0, 450.0, 700.0, 1150.0, 1900.0])
CHART_RPM = np.geomspace(45.0, 2000.0, 240)
CHOSEN_RPM = np.array([450.0])
DEEPEST_MM = 6.0
SAMPLES = 64


def lobes(speed_rpm: FloatArray, smallest_mm: float, frequency_hz: float) -> FloatArray:
    """A limit that dips once for every whole number of waves left per turn."""
    waves = 60.0 * frequency_hz / speed_rpm
    dip = np.abs(waves % 1.0 - 0.3)
    damped = (80.0 / speed_rpm) ** 2
    limit = smallest_mm * (1.0 + damped + 80.0 * dip**3 / waves)
    return np.where(limit > DEEPEST_MM, np.inf, limit)


def drawn(smallest_mm: float, frequency_hz: float) -> list[tuple[float, float]]:
    """Smallest limit and frequency with each set of constants."""
    rng = np.random.default_rng(3)
    spread = np.exp(rng.normal(0.0, [0.2, 0.04], (SAMPLES, 2)))
    return [(smallest_mm * a, frequency_hz * b) for a, b in spread]


def limits(
    speed_rpm: FloatArray, smallest_mm: float, frequency_hz: float
) -> SpeedLimits:
    each = [lobes(speed_rpm, *sample) for sample in drawn(smallest_mm, frequency_hz)]
    nominal = lobes(speed_rpm, smallest_mm, frequency_hz)
    rings = frequency_hz * (1.05 + 0.001 * np.arange(len(speed_rpm)))
    low, high = np.quantile(each, [0.05, 0.95], axis=0, method="nearest")
    return SpeedLimits(
        speed_rpm=speed_rpm,
        limit_mm=nominal,
        frequency_hz=np.where(np.isfinite(nominal), rings, np.nan),
        band_mm=np.array([low, high]),
    )


def chatter_map(smallest_mm: float, frequency_hz: float) -> ChatterMap:
    depth = np.linspace(0.0, DEEPEST_MM, 61)
    each = [lobes(CHART_RPM, *sample) for sample in drawn(smallest_mm, frequency_hz)]
    beyond = depth[None, :, None] > np.array(each)[:, None, :]
    return ChatterMap(
        speed_rpm=CHART_RPM, depth_mm=depth, probability=beyond.mean(axis=0)
    )


def make_modes(frequency_hz: float, shares: tuple[Share, ...]) -> tuple[Mode, ...]:
    tips = np.array([[0.2, 0.97, -0.14], [0.5, -0.1, -0.86], [0.9, 0.3, 0.3]])
    return tuple(
        Mode(
            frequency_hz=ratio * frequency_hz,
            damping_ratio=0.031,
            tip=tip / np.linalg.norm(tip),
            stiffness_n_per_um=stiffness,
            mass_kg=stiffness * 1e6 / (2.0 * np.pi * ratio * frequency_hz) ** 2,
            shares=shares,
        )
        for ratio, stiffness, tip in zip(
            (0.8, 1.0, 2.1), (41.0, 17.0, 88.0), tips, strict=True
        )
    )


def swinging(fields: tuple[PartField, ...]) -> tuple[PartField, ...]:
    """The same parts with the largest motion of any point 1 mm."""
    largest = max(float(np.linalg.norm(f.displacement, axis=1).max()) for f in fields)
    return tuple(replace(f, displacement=f.displacement / largest) for f in fields)


def make_stack_chatter(
    name: str,
    smallest_mm: float,
    frequency_hz: float,
    shares: tuple[Share, ...],
    fields: tuple[PartField, ...],
) -> StackChatter:
    made = (smallest_mm, frequency_hz)
    each = [sample[0] for sample in drawn(*made)]
    return StackChatter(
        name=name,
        modes=make_modes(frequency_hz, shares),
        chart=limits(CHART_RPM, *made),
        lathe=limits(LATHE_RPM, *made),
        chosen=limits(CHOSEN_RPM, *made),
        smallest_mm=smallest_mm,
        smallest_band_mm=np.quantile(each, [0.05, 0.95]),
        smallest_frequency_hz=1.04 * frequency_hz,
        rigid_work_mm=1.3 * smallest_mm,
        rigid_stack_mm=3.0 * smallest_mm,
        map=chatter_map(*made),
        samples=SAMPLES,
        deepest_mm=DEEPEST_MM,
        fields=swinging(fields),
        limiting_mode=1,
    )


ADVICE = (
    Advice(change="overhang 18 mm to 14 mm", limit_mm=2.43, smallest_mm=2.1, gain=0.45),
    Advice(
        change="450 rev/min to 700 rev/min", limit_mm=1.9, smallest_mm=1.4, gain=0.12
    ),
    Advice(change="feed 0.1 mm to 0.05 mm", limit_mm=1.5, smallest_mm=1.3, gain=-0.1),
)


def make_chatter(
    quick_change: tuple[Share, ...], four_way: tuple[Share, ...]
) -> Chatter:
    return Chatter(
        quantity="depth of cut",
        quick_change=make_stack_chatter(
            "quick-change", 1.4, 640.0, quick_change, quick_change_fields(1.0)
        ),
        four_way=make_stack_chatter(
            "four-way", 1.9, 830.0, four_way, four_way_fields(1.0)
        ),
        advice=ADVICE,
        notes=("The bar is an invented one.",),
        warnings=("The damping is <invented>.",),
    )


def at_450(limit: float, low: float, high: float, rings: float = 670.0) -> SpeedLimits:
    return SpeedLimits(
        speed_rpm=np.array([450.0]),
        limit_mm=np.array([limit]),
        frequency_hz=np.array([rings]),
        band_mm=np.array([[low], [high]]),
    )


def with_limits(chatter: Chatter, new: SpeedLimits, old: SpeedLimits) -> Chatter:
    return replace(
        chatter,
        quick_change=replace(chatter.quick_change, chosen=new),
        four_way=replace(chatter.four_way, chosen=old),
    )

"""Limits in the frequency domain against the delay equation solved in time.

Modes in space, a nose radius and an entering angle, Kienzle's law at the very depth:
each point is called stable if no vibration grows from one revolution to the next
(collocation in time, see `delay_equation`). The collocation itself is held against a
semi-discretisation that was done apart from this code (radius 0.9965, 0.99997 and
1.0034 a revolution at 0.97, 1 and 1.03 of the least limit) and against a mode that
swings out freely.

Points nearer than 3 % to a limit are left alone: between the frequencies and the depths
that are tried limits are interpolated, and where two lobes cross they are steep.
"""

from dataclasses import dataclass

import numpy as np
import pytest
from delay_equation import growth_rate

from fea.core.modal_model import ModalModel, receptance
from fea.machining.cut import Cut
from fea.machining.edge_stiffness import (
    cutting_matrix,
    force_slopes,
    rubbing_matrix,
    turning_edge,
)
from fea.machining.stability import (
    EdgeGrid,
    limits_at,
    search_frequencies,
    smallest_limit,
)
from fea.machining.work_material import load_work_materials
from geometry.pad import FloatArray

STEEL = load_work_materials()["low_carbon_steel"]
NEAR = 0.03
SYSTEMS, SPEEDS = 6, 20
MOST_WAVES = 14.0
DIAMETER = 30.0
DEPTHS = np.geomspace(0.03, 30.0, 70)
FRICTION = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Lathe:
    """Tool and work at random, and their cut; `rubbing` is C in N/mm."""

    model: ModalModel
    cut: Cut
    rubbing: float

    def edge(self, depth_mm: FloatArray) -> EdgeGrid:
        edge = turning_edge(self.cut, depth_mm)
        return EdgeGrid(
            depth_mm=depth_mm,
            cutting=cutting_matrix(edge, force_slopes(STEEL, self.cut, edge)),
            damping=rubbing_matrix(edge, self.rubbing, FRICTION),
        )

    def is_stable(self, depth_mm: float, speed_rpm: float) -> bool:
        edge = self.edge(np.array([depth_mm]))
        speed = np.pi * DIAMETER * speed_rpm / 60.0
        drag = edge.damping[0] / speed
        return growth_rate(self.model, edge.cutting[0], drag, 60.0 / speed_rpm) < 0.0


def random_lathe(random: np.random.Generator, rubbing: float) -> Lathe:
    count = int(random.integers(2, 4))
    frequency = np.sort(random.uniform(120.0, 500.0, count))
    way = random.normal(size=(count, 3))
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    stiffness = np.exp(random.uniform(np.log(2e4), np.log(1e5), count))
    model = ModalModel(
        frequency_hz=frequency,
        damping_ratio=random.uniform(0.02, 0.06, count),
        shapes=way * (2.0 * np.pi * frequency / np.sqrt(stiffness))[:, None],
        residual=np.zeros((3, 3)),
    )
    cut = Cut(
        feed_mm=random.uniform(0.05, 0.2),
        entering_angle_deg=random.uniform(45.0, 95.0),
        nose_radius_mm=random.uniform(0.1, 0.8),
        rake_deg=0.0,
    )
    return Lathe(model=model, cut=cut, rubbing=rubbing)


def published(share: float) -> tuple[ModalModel, FloatArray, float]:
    """One mode of 250 Hz at 30 deg, its cut and its revolution; see this file's top."""
    lean = np.radians(30.0)
    way = np.array([[np.sin(lean), np.cos(lean), 0.0]])
    model = ModalModel(
        frequency_hz=np.array([250.0]),
        damping_ratio=np.array([0.012]),
        shapes=way * 2.0 * np.pi * 250.0 / np.sqrt(2.26e5),
        residual=np.zeros((3, 3)),
    )
    return model, np.diag([0.0, 1000.0 * 7.3188 * share, 0.0]), 60.0 / 8664.3


@pytest.mark.parametrize(
    ("share", "radius"), [(0.97, 0.9965), (1.0, 0.99997), (1.03, 1.0034)]
)
def test_collocation_grows_as_the_semi_discretised_equation(
    share: float, radius: float
) -> None:
    model, cutting, period = published(share)
    rate = growth_rate(model, cutting, np.zeros((3, 3)), period)
    # The last digit that is given.
    assert np.exp(rate * period) == pytest.approx(radius, abs=1e-4)


def test_collocation_of_a_free_mode_dies_with_its_damping() -> None:
    model, _, period = published(1.0)
    # Many waves to a revolution are the harder case; rounding only.
    rate = growth_rate(model, np.zeros((3, 3)), np.zeros((3, 3)), 8.0 * period)
    assert rate == pytest.approx(-0.012 * 2.0 * np.pi * 250.0, rel=1e-6)
    # A damper D adds shape' D shape to 2 zeta w.
    damper = np.diag([0.0, 0.2, 0.0])
    rate = growth_rate(model, np.zeros((3, 3)), damper, 8.0 * period)
    more = 0.5 * 0.2 * model.shapes[0, 1] ** 2
    assert rate == pytest.approx(-0.012 * 2.0 * np.pi * 250.0 - more, rel=1e-6)


@pytest.mark.parametrize("rubbing", [0.0, 500.0], ids=["sharp", "rubbing"])
@pytest.mark.parametrize("seed", range(SYSTEMS))
def test_limits_part_stable_from_unstable_cuts(seed: int, rubbing: float) -> None:
    """20 speeds of a lathe: just below, just above, and at a depth at random.

    12 lathes in all, 240 random points. Far above a limit a cut may be stable again;
    the limit is the lowest depth of all, so there a stable cut is no contradiction, as
    long as it does chatter just above the limit. Such pockets are few.
    """
    random = np.random.default_rng(seed)
    lathe = random_lathe(random, rubbing)
    fastest = lathe.model.frequency_hz[-1]
    speeds = (
        60.0 * fastest / np.exp(random.uniform(np.log(0.5), np.log(MOST_WAVES), SPEEDS))
    )
    frequency = search_frequencies(lathe.model)
    gain, edge = receptance(lathe.model, frequency), lathe.edge(DEPTHS)
    limits = limits_at(frequency, gain, edge, speeds, DIAMETER).depth_mm
    least = smallest_limit(frequency, gain, edge).depth_mm[0]
    depths = np.minimum(least * random.uniform(0.5, 3.0, SPEEDS), DEPTHS[-1])
    assert limits.min() > DEPTHS[0]
    pockets = judged = 0
    for rpm, limit, depth in zip(speeds, limits, depths, strict=True):
        deepest = min(limit, DEPTHS[-1])
        assert lathe.is_stable((1.0 - NEAR) * deepest, rpm), (rpm, limit)
        if np.isfinite(limit):
            assert not lathe.is_stable((1.0 + NEAR) * limit, rpm), (rpm, limit)
        if abs(depth / limit - 1.0) > NEAR:
            judged += 1
            stable = lathe.is_stable(depth, rpm)
            assert stable or depth > limit, (rpm, limit, depth)
            pockets += stable and depth > limit
    assert pockets <= SPEEDS // 10
    # Of the points at random, 200 in all.
    assert judged >= 17

"""A stand-in for the forward model that is linear, so that its answers are known."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.measurement.forward_model import ForwardModel
from fea.measurement.map_fit import MapFit, map_fit
from fea.measurement.observation import Kind, Observation, observations
from fea.measurement.record import (
    Heading,
    PushReading,
    Records,
    Source,
    Spot,
    TestCut,
)

TIP = Spot(part="tool bit", x_mm=2.0, y_mm=3.0, z_mm=0.0)
DOWN = Heading(x=0.0, y=0.0, z=-1.0)
HERE = Source(file="invented.csv", line=2)


def push(reading_um: float, uncertainty_um: float = 1.0) -> PushReading:
    return PushReading(
        stack="quick-change",
        force_n=100.0,
        force_at=TIP,
        force_along=DOWN,
        read_at=TIP,
        read_along=DOWN,
        reading_um=reading_um,
        uncertainty_um=uncertainty_um,
        phase="loading",
        overhang_mm=None,
        source=HERE,
    )


def cut(depth_mm: float, **seen: object) -> TestCut:
    plain = {
        "deflection_um": None,
        "uncertainty_um": None,
        "seen": None,
        "threshold_um": None,
        "chatter": None,
    }
    return TestCut(  # type: ignore[arg-type]
        stack="quick-change",
        depth_mm=depth_mm,
        speed_rpm=500.0,
        feed_mm=0.1,
        source=HERE,
        **(plain | seen),
    )


def seen_of(
    pushes: Sequence[PushReading], cuts: Sequence[TestCut] = ()
) -> tuple[Observation, ...]:
    return observations(Records(pushes=tuple(pushes), cuts=tuple(cuts)))


@dataclass(frozen=True)
class SomeUnknowns:
    count: int

    def eye_factor(self, scores: np.ndarray) -> np.ndarray:
        """Every eye sees what its owner thinks."""
        return np.ones(len(scores))


@dataclass(frozen=True)
class LinearModel:
    """Numbers are base + slope z, what is graded or chatters is base exp(slope z)."""

    seen: tuple[Observation, ...]
    base: np.ndarray
    slope: np.ndarray

    @property
    def unknowns(self) -> SomeUnknowns:
        return SomeUnknowns(self.slope.shape[1])

    def slip(self, scores: np.ndarray) -> "NoSlip":
        return NoSlip(scores)

    def predicted(
        self, scores: np.ndarray, slip: object, *, near: bool = False
    ) -> np.ndarray:
        moved = scores @ self.slope.T
        bent = [each.kind in {Kind.GRADE, Kind.CHATTER} for each in self.seen]
        return np.where(bent, self.base * np.exp(moved), self.base + moved)


def fitted(model: "LinearModel | ForwardModel") -> MapFit:
    """Fit a model, this or the real one, as `fit_records` begins."""
    slip = model.slip(np.zeros(model.unknowns.count))
    return map_fit(model, slip)  # type: ignore[arg-type]


@dataclass(frozen=True)
class NoSlip:
    scores: np.ndarray

"""Which feature a stress belongs to, on meshed parts with invented stress fields."""

from dataclasses import replace

import numpy as np
import pytest
from block_mesh import material
from stack_parts import BODY, HOLDER, SAMPLES

from fea.core.hot_spots import (
    CORNER_REACH,
    ELSEWHERE,
    READING_MM,
    HotSpot,
    Limit,
    hot_spots,
    reading_distance,
)
from fea.core.plan import PartPlan
from fea.core.stress import StressField
from geometry.mesher import mesh_part
from geometry.pad import FloatArray

SIZE = 8.0


def plan_of(name: str) -> PartPlan:
    sample = SAMPLES[name]
    return PartPlan(
        name=name,
        shape=sample.shape,
        material=material(),
        origin=(0.0, 0.0, 0.0),
        contacts=tuple(sample.pads[:1]),
        patches=tuple(sample.pads[1:2]),
    )


def flat_field(plan: PartPlan) -> StressField:
    """Mesh of a part with a stress of 1 MPa everywhere."""
    pads = [*plan.contacts, *plan.patches]
    mesh = mesh_part(plan.shape, pads, SIZE, name=plan.name)
    ones = np.ones(len(mesh.points))
    return StressField(
        points=mesh.points,
        tetrahedra=mesh.tetrahedra,
        von_mises=ones,
        spread=0.1 * ones,
    )


HOLDER_PLAN, BODY_PLAN = plan_of("holder"), plan_of("post body")
HOLDER_FIELD, BODY_FIELD = flat_field(HOLDER_PLAN), flat_field(BODY_PLAN)


def with_peak(
    field: StressField, near: tuple[float, float, float], stress: float
) -> tuple[StressField, FloatArray]:
    """Raise the stress at the point of the mesh nearest to a place."""
    at = int(np.argmin(np.linalg.norm(field.points - near, axis=1)))
    raised = field.von_mises.copy()
    raised[at] = stress
    return replace(field, von_mises=raised), field.points[at]


def highest(spots: tuple[HotSpot, ...]) -> HotSpot:
    return max(spots, key=lambda spot: spot.von_mises)


# Places in the holder and the body, far from inner corners unless said.
BACK = -HOLDER.thickness
ROOF = HOLDER.floor + HOLDER.slot_height
WALL = HOLDER.slot_depth - HOLDER.thickness


@pytest.mark.parametrize(
    ("near", "feature", "limit"),
    [
        ((35.0, BACK, 0.0), "lip under the slot", Limit.NONE),
        ((60.0, BACK, HOLDER.height), "lip over the slot", Limit.NONE),
        ((0.0, 0.0, 25.0), "dovetail lip near work", Limit.NONE),
        ((70.0, 0.0, 25.0), "dovetail lip far", Limit.NONE),
        ((15.0, -32.0, ROOF), "at roof", Limit.PATCH),
        ((35.0, WALL, HOLDER.floor), "slot root", Limit.MESH),
        ((0.0, -12.0, 2.0), ELSEWHERE, Limit.NONE),
    ],
)
def test_a_peak_belongs_to_the_feature_where_it_is(
    near: tuple[float, float, float], feature: str, limit: Limit
) -> None:
    field, at = with_peak(HOLDER_FIELD, near, 50.0)
    spot = highest(hot_spots(HOLDER_PLAN, field, SIZE))
    assert (spot.feature, spot.limit, spot.von_mises) == (feature, limit, 50.0)
    assert spot.at == pytest.approx(at)


def test_a_peak_in_the_bore_of_the_body_is_the_bores() -> None:
    field, _ = with_peak(BODY_FIELD, (BODY.bore / 2.0, 0.0, 30.0), 9.0)
    spot = highest(hot_spots(BODY_PLAN, field, SIZE))
    assert (spot.feature, spot.limit) == ("stud bore", Limit.NONE)


def test_no_point_is_left_out_or_belongs_to_two_features() -> None:
    """Each point in turn may be the peak: it is reported once, mesh-limited or not."""
    away = np.min([n.distance(HOLDER_FIELD.points) for n in HOLDER.notches()], axis=0)
    random = np.random.default_rng(0)
    for at in random.choice(len(away), 60, replace=False):
        field, _ = with_peak(HOLDER_FIELD, tuple(HOLDER_FIELD.points[at]), 50.0)
        spots = hot_spots(HOLDER_PLAN, field, SIZE)
        peaks = [spot for spot in spots if spot.von_mises == 50.0]
        assert len(peaks) == 1
        limited = away[at] < reading_distance(HOLDER_PLAN, SIZE)
        assert (peaks[0].limit == Limit.MESH) == limited


def test_a_corners_reading_is_the_stress_at_the_stated_distance() -> None:
    """A field that falls as Williams' does is read exactly, whatever the mesh."""
    exponent = 0.5445  # at 90 degrees, Williams, J. Appl. Mech. 19 (1952) 526
    slot = [notch for notch in HOLDER.notches() if notch.name == "slot root"]
    away = np.min([notch.distance(HOLDER_FIELD.points) for notch in slot], axis=0)
    stress = 100.0 * np.maximum(away, 0.05) ** (exponent - 1.0)
    spots = hot_spots(HOLDER_PLAN, replace(HOLDER_FIELD, von_mises=stress), SIZE)
    edge, reading = [spot for spot in spots if spot.feature == "slot root"]
    wanted = 100.0 * READING_MM ** (exponent - 1.0)
    assert reading_distance(HOLDER_PLAN, SIZE) == READING_MM
    assert reading.distance == READING_MM
    assert reading.limit == Limit.NONE
    assert reading.von_mises == pytest.approx(wanted, rel=1e-9)
    assert edge.limit == Limit.MESH
    assert edge.von_mises == stress.max()
    others = [
        spot.von_mises
        for spot in spots
        if spot.feature not in {"slot root", "dovetail root"}
    ]
    assert max(others) <= 100.0 * (CORNER_REACH * READING_MM) ** (exponent - 1.0)


def test_a_coarse_mesh_is_read_further_from_the_corner() -> None:
    assert reading_distance(HOLDER_PLAN, 20.0) > 2.0 * READING_MM


def test_a_part_without_inner_corners_has_no_mesh_limited_stress() -> None:
    plan = plan_of("tool bit")
    spots = hot_spots(plan, flat_field(plan), SIZE)
    assert {spot.limit for spot in spots} == {Limit.PATCH, Limit.NONE}
    assert all(spot.distance is None for spot in spots)

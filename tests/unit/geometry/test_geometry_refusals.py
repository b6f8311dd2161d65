"""Impossible shapes are refused, and the dimensions that collide are named."""

from dataclasses import fields, replace

import numpy as np
import pytest
from stack_parts import BLOCK, BODY, HOLDER, SAMPLES, TAIL, TOP_SLIDE

from geometry.dovetail import Dovetail
from geometry.errors import ShapeError
from geometry.mesher import mesh_part
from geometry.parts.holder import Holder
from geometry.parts.post_body import PostBody

TOOL_BIT = SAMPLES["tool bit"].shape
MOVING_FLANK = SAMPLES["moving flank"].shape
LOWER_SLIDE = SAMPLES["lower slide"].shape

REFUSED = [
    (TAIL, {"depth": 36.0}, ("width", "depth", "angle_deg")),
    (TAIL, {"angle_deg": 20.0}, ("angle_deg",)),
    (TAIL, {"angle_deg": float("nan")}, ("angle_deg",)),
    (TAIL, {"clearance": -1.0}, ("clearance",)),
    (TAIL, {"clearance": float("nan")}, ("clearance",)),
    (TOOL_BIT, {"tip_patch": 11.5}, ("tip_patch", "width")),
    (TOOL_BIT, {"length": 2.5}, ("tip_patch", "length")),
    (TOOL_BIT, {"length": 3000.0}, ("length",)),
    (HOLDER, {"floor": 0.5}, ("floor",)),
    (HOLDER, {"height": 31.5}, ("height", "floor", "slot_height")),
    (HOLDER, {"slot_depth": 28.0}, ("thickness", "slot_depth", "dovetail.depth")),
    (HOLDER, {"length": 44.0}, ("length", "dovetail.width", "dovetail_offset")),
    (HOLDER, {"dovetail_offset": -14.0}, ("dovetail.width", "dovetail_offset")),
    (HOLDER, {"dovetail_offset": float("inf")}, ("dovetail_offset",)),
    (HOLDER, {"thickness": -38.0}, ("thickness",)),
    (BODY, {"bore": 69.0}, ("side", "bore")),
    (BODY, {"side": 43.0}, ("side", "dovetail.width")),
    (BODY, {"dovetail_offset": 13.5}, ("dovetail.width", "dovetail_offset")),
    (BODY, {"recess": 5.5}, ("recess", "dovetail.depth", "dovetail.angle_deg")),
    (BODY, {"recess": 36.5}, ("recess", "dovetail.width")),
    (BODY, {"recess": 0.0}, ("recess",)),
    (MOVING_FLANK, {"recess": 5.0}, ("recess", "dovetail.depth")),
    (BLOCK, {"floor": 0.1}, ("floor",)),
    (BLOCK, {"slot_height": 42.0}, ("height", "floor", "slot_height")),
    (BLOCK, {"slot_depth": 33.0}, ("side", "slot_depth", "bore")),
    (BLOCK, {"slot_depth": 41.0}, ("side", "slot_depth", "bore")),
    (TOP_SLIDE, {"width": 53.0}, ("width", "ways.width")),
    (TOP_SLIDE, {"height": 10.5}, ("height", "ways.depth", "ways.clearance")),
    (TOP_SLIDE, {"stud_from_front": 160.0}, ("length", "stud_from_front")),
    (TOP_SLIDE, {"end_wall": 0.3}, ("end_wall",)),
    (TOP_SLIDE, {"end_wall": -3.0}, ("end_wall",)),
    (TOP_SLIDE, {"end_wall": 159.5}, ("length", "end_wall")),
    (LOWER_SLIDE, {"width": 53.0}, ("width", "ways.width")),
]


@pytest.mark.parametrize(("shape", "change", "named"), REFUSED)
def test_impossible_shape_names_what_collides(shape, change, named) -> None:
    with pytest.raises(ShapeError) as refusal:
        replace(shape, **change)
    assert set(named) <= set(refusal.value.fields)
    for field in named:
        assert field in str(refusal.value)
    assert ("collide" in str(refusal.value)) == (len(refusal.value.fields) > 1)


@pytest.mark.parametrize("shape", [sample.shape for sample in SAMPLES.values()])
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_first_dimension_must_be_a_length(shape, value: float) -> None:
    field = fields(shape)[0].name
    with pytest.raises(ShapeError, match=f"{field}: .* mm must be above 0"):
        replace(shape, **{field: value})


def test_message_gives_values_and_says_what_to_change() -> None:
    with pytest.raises(ShapeError) as refusal:
        replace(HOLDER, slot_depth=28.0)
    text = str(refusal.value)
    for part in ("slot_depth = 28", "thickness = 38", "0 mm of wall", "thicker"):
        assert part in text


def test_wall_that_is_just_thick_enough_is_accepted() -> None:
    # 0.1 + 0.2 style rounding must not refuse it: 38 - 26.9 - 10.1 is not exactly 1.
    tail = replace(TAIL, clearance=1.1)
    assert replace(HOLDER, slot_depth=26.9, dovetail=tail).slot_depth == 26.9


def random_dovetail(rng: np.random.Generator) -> Dovetail:
    width = rng.uniform(24.0, 50.0)
    return Dovetail(
        width=width,
        depth=width * rng.uniform(0.12, 0.25),
        angle_deg=rng.uniform(50.0, 70.0),
        clearance=rng.uniform(0.0, 1.5),
    )


def random_holder(rng: np.random.Generator) -> Holder:
    tail = random_dovetail(rng)
    slot = rng.uniform(10.0, 22.0)
    return Holder(
        length=tail.female_width + rng.uniform(8.0, 40.0),
        height=2.0 * slot + rng.uniform(5.0, 20.0),
        thickness=slot + tail.female_depth + rng.uniform(1.5, 12.0),
        floor=rng.uniform(1.5, 0.9 * slot),
        slot_height=slot,
        slot_depth=slot,
        dovetail=tail,
        dovetail_offset=rng.uniform(-2.5, 2.5),
    )


def random_body(rng: np.random.Generator) -> PostBody:
    tail = random_dovetail(rng)
    side = tail.width + rng.uniform(8.0, 30.0)
    return PostBody(
        side=side,
        height=rng.uniform(40.0, 70.0),
        bore=rng.uniform(8.0, 0.5 * side),
        dovetail=tail,
        dovetail_offset=rng.uniform(-2.5, 2.5),
        recess=rng.choice([None, tail.overhang + 2.0]),
    )


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("draw", [random_holder, random_body])
def test_random_possible_shape_can_be_meshed(draw, seed: int) -> None:
    shape = draw(np.random.default_rng(seed))
    mesh = mesh_part(shape, [], 25.0, name="part")
    # Straight sides leave something of a bore, never more than this of the part.
    assert mesh.volume == pytest.approx(shape.volume, rel=0.02)

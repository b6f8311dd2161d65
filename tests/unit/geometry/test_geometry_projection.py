"""Views show a part's edges where its dimensions put them, seen or hidden."""

from dataclasses import replace

import numpy as np
import pytest
from stack_parts import BODY, HOLDER, SAMPLES, TAIL

from geometry.pad import FloatArray
from geometry.projection import Projection, View, projections

ABOVE = View(right=(1.0, 0.0, 0.0), up=(0.0, 1.0, 0.0))
FRONT = View(right=(1.0, 0.0, 0.0), up=(0.0, 0.0, 1.0))
END = View(right=(0.0, -1.0, 0.0), up=(0.0, 0.0, 1.0))
VIEWS = {"above": ABOVE, "front": FRONT, "end": END}

# The kernel's own tolerance, through a few sums.
SAME_MM = 1e-5
# Straight pieces of a circle of 14 mm lie this far inside of it.
SAGITTA_MM = 0.005


def seen_of(name: str, view: str) -> Projection:
    return projections(name, SAMPLES[name].shape, VIEWS)[view]


def length(lines: tuple[FloatArray, ...]) -> float:
    steps = (np.linalg.norm(np.diff(line, axis=0), axis=1).sum() for line in lines)
    return float(sum(steps))


def upright(lines: tuple[FloatArray, ...]) -> list[float]:
    """Where lines stand that run straight up. [mm]."""
    found = {
        round(float(line[0, 0]), 3) for line in lines if np.ptp(line[:, 0]) < SAME_MM
    }
    return sorted(found)


def test_a_bar_is_a_rectangle_from_every_side_with_nothing_hidden() -> None:
    tool = SAMPLES["tool bit"].shape
    seen = projections("tool bit", tool, VIEWS)
    for name, sides in (("above", (95.0, 12.0)), ("end", (12.0, 12.0))):
        assert length(seen[name].seen) == pytest.approx(2.0 * sum(sides), abs=SAME_MM)
        assert not seen[name].hidden


def test_a_body_from_above_shows_its_outline_and_its_bore() -> None:
    body = seen_of("post body", "above")
    assert not body.hidden
    around = 4.0 * BODY.side - TAIL.root_width + TAIL.width + 2.0 * TAIL.flank_length
    circle = np.pi * BODY.bore
    expected = around + circle
    assert length(body.seen) == pytest.approx(expected, abs=circle * 1e-3)
    corners = np.vstack(body.seen)
    assert corners.min(axis=0) == pytest.approx([-35.0, -44.0], abs=SAME_MM)
    assert corners.max(axis=0) == pytest.approx([35.0, 35.0], abs=SAME_MM)


def test_root_and_bore_of_a_body_are_hidden_from_the_front() -> None:
    body = seen_of("post body", "front")
    sides = [BODY.side / 2.0, TAIL.width / 2.0]
    assert upright(body.seen) == pytest.approx([-sides[0], -sides[1], *sides[::-1]])
    hidden = [TAIL.root_width / 2.0, BODY.bore / 2.0]
    expected = [-hidden[0], -hidden[1], *hidden[::-1]]
    assert upright(body.hidden) == pytest.approx(expected, abs=SAGITTA_MM)


def test_a_recess_takes_the_place_of_the_corner_on_its_side() -> None:
    body = replace(BODY, recess=12.0)
    front = projections("post body", body, VIEWS)["front"]
    assert TAIL.width / 2.0 - 12.0 in upright(front.seen)
    assert TAIL.width / 2.0 not in upright(front.seen)


def test_the_dovetail_of_a_holder_is_hidden_from_the_tool_and_its_slot_is_seen() -> (
    None
):
    holder = seen_of("holder", "front")
    levels = {
        round(float(line[0, 1]), 3)
        for line in holder.seen
        if np.ptp(line[:, 1]) < SAME_MM
    }
    roof = HOLDER.floor + HOLDER.slot_height
    assert levels == {0.0, HOLDER.floor, roof, HOLDER.height}
    middle = HOLDER.length / 2.0
    halves = TAIL.female_width / 2.0, TAIL.root_width / 2.0
    expected = [middle + s * half for s in (-1, 1) for half in halves]
    assert upright(holder.hidden) == pytest.approx(sorted(expected), abs=1e-3)
    assert upright(holder.seen) == pytest.approx([0.0, HOLDER.length])


def test_what_is_hidden_from_one_side_is_seen_from_the_other() -> None:
    behind = View(right=(-1.0, 0.0, 0.0), up=(0.0, 0.0, 1.0))
    holder = projections("holder", HOLDER, {"front": FRONT, "behind": behind})
    middle, half = HOLDER.length / 2.0, TAIL.root_width / 2.0
    mouths = [-middle - half, -middle + half]
    assert set(np.round(mouths, 3)) <= set(upright(holder["behind"].seen))
    assert not set(np.round(mouths, 3)) & set(upright(holder["behind"].hidden))

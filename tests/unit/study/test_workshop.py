"""What a workshop's cutters and shanks leave of a study."""

from math import radians, tan
from pathlib import Path

import numpy as np
import pytest
from small_study import grid, small_study

from fea.case.study_shop import Cutter
from fea.study.workshop import cuts, missing_in
from geometry.dovetail import Dovetail

TAIL = Dovetail(width=42.0, depth=9.0, angle_deg=60.0, clearance=0.5)


@pytest.mark.parametrize(
    ("cutter", "able"),
    [
        (Cutter(angle=60.0, diameter=25.0, height=10.0), True),
        (Cutter(angle=60.0, diameter=25.0, height=9.5), True),
        (Cutter(angle=60.0, diameter=25.0, height=9.4), False),
        (Cutter(angle=55.0, diameter=25.0, height=10.0), False),
        (Cutter(angle=60.0, diameter=50.0, height=10.0), False),
    ],
)
def test_a_cutter_needs_the_angle_the_depth_and_the_room(
    cutter: Cutter, able: bool
) -> None:
    assert cuts(cutter, TAIL) is able


@pytest.mark.parametrize("diameter", [20.0, 42.5, 42.6, 60.0])
def test_a_cutter_fits_where_its_outline_stays_inside_the_groove(
    diameter: float,
) -> None:
    """Against the outlines themselves, height by height from the bottom."""
    cutter = Cutter(angle=60.0, diameter=diameter, height=12.0)
    up = np.linspace(0.0, TAIL.female_depth, 200)
    groove = 2.0 * np.array([TAIL.half_width(TAIL.female_depth - t) for t in up])
    outline = diameter - 2.0 * up / tan(radians(60.0))
    inside = bool(np.all(outline <= groove + 1e-6))
    assert cuts(cutter, TAIL) is inside


def missing(folder: Path, study: str) -> str | None:
    case = small_study(folder, f"\n[study]\n{study}\n" + grid(["42 mm"], ["0 mm"])).case
    return missing_in(case.study, case)


def test_a_dovetail_that_no_cutter_cuts_is_named_with_its_sizes(tmp_path: Path) -> None:
    cutter = '{ angle = "%s", diameter = "1 in", height = "10 mm" }'
    assert missing(tmp_path, f"cutters = [{cutter % '60 deg'}]") is None
    assert missing(tmp_path, "") is None
    reason = missing(tmp_path, f"cutters = [{cutter % '55 deg'}]")
    assert reason is not None
    assert "none of 1 cuts a dovetail of 60 deg that is 9.5 mm deep" in reason


def test_a_shank_too_high_to_reach_centre_is_named(tmp_path: Path) -> None:
    assert missing(tmp_path, 'shanks = ["10 mm", "12 mm"]') is None
    high = missing(tmp_path, 'shanks = ["12 mm", "16 mm"]')
    assert high is not None
    assert "a shank of 16 mm is too high" in high


def test_a_shank_so_low_that_the_holder_leaves_its_dovetail_is_named(
    tmp_path: Path,
) -> None:
    study = '\n[study]\nshanks = ["4 mm"]\n'
    case = small_study(tmp_path, study + grid(["42 mm"], ["0 mm"])).case
    assert missing_in(case.study, case) is None
    # At centre the holder reaches from 42 - 4 - 10 = 28 mm to 66 mm: of its 38 mm a
    # post of 50 mm holds 22, which is 58 %.
    short = case.post.model_copy(update={"height": 50.0})
    reason = missing_in(case.study, case.model_copy(update={"post": short}))
    assert reason is not None
    assert "with a shank of 4 mm at centre height only 58% of the holder" in reason

"""Clamping forces scatter with the friction of what is tightened, and bands with them.

Expected forces by hand: T = F (p / 2 pi + mu d2 / (2 cos 30) + mu D / 2) (Motosh, VDI
2230-1) for the stud; for the wedge N sin(angle) = P / (tan(alpha + phi) + tan phi).
"""

from collections.abc import Mapping
from dataclasses import replace
from math import atan, cos, pi, radians, tan
from pathlib import Path

import numpy as np
import pytest

from fea.analysis.bands import Sampled, ratio_band, sample_bands
from fea.analysis.build import FOUR_WAY, PLANS, QUICK_CHANGE, plan_stack
from fea.analysis.clamping_scatter import Scatter, clamping_scatter
from fea.analysis.distribution import BAND, split_log_normal
from fea.analysis.draw import CONSTANTS, Constants
from fea.analysis.stack_answer import StackAnswer
from fea.case.case_file import load_case
from fea.case.schema import Case
from fea.core.lubrication import Friction

CASES = Path(__file__).parents[3] / "cases"
ENDS_AND_MIDDLE = np.array([BAND[0], 0.5, BAND[1]])
SETS = 32
# Through pow and log and back.
EXACT = 1e-12

Scatters = Mapping[str, Scatter]


@pytest.fixture(scope="module")
def scatter(coarse_case: Case, answer: StackAnswer) -> Scatters:
    return clamping_scatter(coarse_case, answer.plan)


def only_screws_differ(answer: StackAnswer, scatter: Scatters) -> Constants:
    """Sets in which everything is in the middle but the friction of all screws."""
    middle = np.full(SETS, 0.5)
    rising = (np.arange(SETS) + 0.5) / SETS
    joints = [joint.name for joint in answer.stack.joints]
    return Constants(
        quantiles={(name, each): middle for name in joints for each in CONSTANTS},
        ground=np.ones(SETS),
        screws={each.screw: rising for each in scatter.values()},
    )


def followed(answer: StackAnswer, scatter: Scatters, depth: float = 2.0) -> Sampled:
    constants = only_screws_differ(answer, scatter)
    return sample_bands(answer.stack, answer.path, constants, scatter, depth)


def width(sampled: Sampled) -> float:
    low, high = sampled.bands.stiffness_n_per_um
    return float(high / low - 1.0)


def with_band(scatter: Scatters, least: float, most: float) -> dict[str, Scatter]:
    slippery, sticky = (Friction(thread=f, bearing=f, face=f) for f in (least, most))
    return {
        name: replace(
            each,
            drive=replace(
                each.drive,
                lubrication=replace(
                    each.drive.lubrication, slippery=slippery, sticky=sticky
                ),
            ),
        )
        for name, each in scatter.items()
    }


def test_the_middle_and_ends_of_a_distribution_are_where_they_are_put() -> None:
    found = split_log_normal(ENDS_AND_MIDDLE, 0.08, 0.12, 0.16)
    assert found == pytest.approx([0.08, 0.12, 0.16], rel=EXACT)


def test_half_way_through_its_friction_a_force_is_the_expected_one(
    coarse_case: Case,
) -> None:
    for name in PLANS:
        scatter = clamping_scatter(coarse_case, plan_stack(coarse_case, name))
        for each in scatter.values():
            assert each.factor(np.array([0.5])) == pytest.approx([1.0], rel=EXACT)


def test_a_studs_force_runs_from_that_of_slippery_to_that_of_sticky_threads(
    scatter: Scatters,
) -> None:
    # M14: pitch 2, hexagon 21 over a hole of 15.5; oiled, 0.08 to 0.16.
    pitch_diameter, bearing = 14.0 - 0.64952 * 2.0, (21.0 + 15.5) / 2.0
    arms = [
        2.0 / (2.0 * pi)
        + friction * pitch_diameter / (2.0 * cos(radians(30.0)))
        + friction * bearing / 2.0
        for friction in (0.08, 0.12, 0.16)
    ]
    wanted = [arms[1] / arm for arm in arms]
    # 0.64952 has five figures.
    assert scatter["stud"].factor(ENDS_AND_MIDDLE) == pytest.approx(wanted, rel=1e-5)


def test_a_wedges_friction_makes_the_moving_flank_scatter_more_than_its_screw(
    scatter: Scatters,
) -> None:
    back = scatter["moving flank back"]
    plain = replace(back, drive=replace(back.drive, taper_deg=None))
    gains = [
        1.0 / (tan(radians(7.0) + atan(friction)) + friction)
        for friction in (0.08, 0.12, 0.16)
    ]
    wanted = plain.factor(ENDS_AND_MIDDLE) * np.array(gains) / gains[1]
    assert back.factor(ENDS_AND_MIDDLE) == pytest.approx(wanted, rel=EXACT)


def test_all_that_a_hand_tightens_scatters_and_only_the_stud_is_in_both_stacks(
    coarse_case: Case,
) -> None:
    new, old = (
        clamping_scatter(coarse_case, plan_stack(coarse_case, name))
        for name in (QUICK_CHANGE, FOUR_WAY)
    )
    screws = {f"set screw {number}" for number in (1, 2, 3)}
    assert set(new) == {"stud", "moving flank back"} | screws
    assert set(old) == {"stud"} | screws
    of_new, of_old = ({each.screw for each in s.values()} for s in (new, old))
    assert len(of_new) == len(new)
    assert len(of_old) == len(old)
    assert of_new & of_old == {new["stud"].screw}


def test_a_force_that_is_stated_has_no_scatter_and_one_from_a_torque_has() -> None:
    # States the piston's force, the set screws' torque, and nothing of the stud.
    case = load_case(CASES / "telescope_mounts.toml")
    screws = {f"set screw {number}" for number in (1, 2, 3)}
    stated = clamping_scatter(case, plan_stack(case, QUICK_CHANGE))
    assert set(stated) == screws
    for way, member in (("piston", "piston"), ("draw", "draw bolt")):
        turned = {"way": way, "torque": 8.0}
        clamping = case.post.clamping.model_copy(update=turned)
        post = case.post.model_copy(update={"clamping": clamping})
        other = case.model_copy(update={"post": post})
        found = clamping_scatter(other, plan_stack(other, QUICK_CHANGE))
        assert set(found) == screws | {member}


def test_screws_that_slip_more_easily_clamp_harder_and_make_the_tip_stiffer(
    answer: StackAnswer, scatter: Scatters
) -> None:
    stiffness = followed(answer, scatter).stiffness
    # Sets are in the order of their friction.
    assert np.all(np.diff(stiffness) < 0.0)


def test_a_wider_band_of_friction_widens_the_band_of_stiffness(
    answer: StackAnswer, scatter: Scatters
) -> None:
    widths = [
        width(followed(answer, with_band(scatter, *band)))
        for band in ((0.119, 0.121), (0.10, 0.14), (0.08, 0.16))
    ]
    assert widths[0] < 0.05 * widths[1]
    assert widths[1] < 0.7 * widths[2]


def test_stated_forces_leave_no_band_where_nothing_else_is_uncertain(
    answer: StackAnswer, scatter: Scatters
) -> None:
    nothing: dict[str, Scatter] = {}
    # The same equilibrium in every set, but for round-off in sums of another order.
    assert width(followed(answer, nothing)) < 1e-9
    assert width(followed(answer, scatter)) > 0.01


def test_a_stack_that_is_lost_early_is_compared_where_it_still_holds(
    answer: StackAnswer, scatter: Scatters
) -> None:
    steps = answer.path.steps[: len(answer.path.steps) // 2]
    lost = replace(answer, path=replace(answer.path, steps=steps))
    depth = float(lost.path.curve.depth_mm[-1])
    deep, shallow = (followed(each, scatter, depth) for each in (answer, lost))
    assert depth in deep.bands.depth_mm
    # Both have come to the same cut, by steps of other lengths: slip remembers them.
    assert ratio_band(deep, shallow) == pytest.approx([1.0, 1.0], abs=0.01)
    deepest = followed(answer, scatter)
    assert np.all(np.abs(ratio_band(deepest, shallow) - 1.0) > 0.02)

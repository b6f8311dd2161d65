"""The verdict in every regime, and the groups that it adds up."""

from dataclasses import replace
from pathlib import Path

import pytest

from fea.analysis.build import plan_stack
from fea.analysis.member import Group, group_fractions, group_of, merged
from fea.analysis.result import Comparison, Share, ShareKind
from fea.case.case_file import load_case
from fea.report.mesh_table import mesh_table
from fea.report.motion import motion_along_force
from fea.report.palette import part_colour
from fea.report.verdict import verdict

CASES = Path(__file__).parents[3] / "cases"
JOINT, LINK, PART = ShareKind.JOINT, ShareKind.LINK, ShareKind.PART


def share(kind: ShareKind, name: str, fraction: float) -> Share:
    return Share(kind=kind, name=name, fraction=fraction)


def with_ratio(comparison: Comparison, ratio: float) -> Comparison:
    stiffness = ratio * comparison.four_way.stiffness_n_per_um
    new = replace(comparison.quick_change, stiffness_n_per_um=stiffness)
    return replace(comparison, quick_change=new)


def with_shares(comparison: Comparison, *shares: Share) -> Comparison:
    new = replace(comparison.quick_change, shares=shares)
    return replace(comparison, quick_change=new)


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (0.72, "is 0.720 times as stiff (0.6 to 0.85) as with the"),
        (1.30, "is 1.30 times as stiff (0.6 to 0.85) as with the"),
        (
            1.04,
            "is about as stiff as with the four-way block (1.04 times, 0.6",
        ),
        (
            0.96,
            "is about as stiff as with the four-way block (0.960 times, 0",
        ),
    ],
)
def test_stiffer_equal_and_softer_are_told_apart(
    comparison: Comparison, ratio: float, words: str
) -> None:
    assert words in verdict(with_ratio(comparison, ratio)).stiffness


def test_the_error_of_the_meshes_is_the_sum_over_the_parts(
    comparison: Comparison,
) -> None:
    words = verdict(comparison).stiffness
    for stack in (comparison.quick_change, comparison.four_way):
        parts = len(stack.fields)
        # The invented parts have 0.1, 0.2, ... per cent.
        whole = f"{0.1 * parts * (parts + 1) / 2.0:.2g} %"
        assert whole in words
        *rows, last = mesh_table(stack).rows
        assert [row[-2] for row in rows] == [f"{0.1 * (i + 1):g}" for i in range(parts)]
        assert f"{last[-2]} %" == whole


def test_the_motions_stated_are_force_over_stiffness(comparison: Comparison) -> None:
    new, old = comparison.quick_change, comparison.four_way
    for stack in (new, old):
        force = float((stack.load_n @ stack.load_n) ** 0.5)
        expected = force / stack.stiffness_n_per_um
        # the same numbers in another order: rounding only
        assert motion_along_force(stack) == pytest.approx(expected, rel=1e-12)
    text = verdict(comparison).stiffness
    assert "At 2 mm depth of cut it gives way 46.9 µm" in text
    assert "against 33.6 µm with the block" in text


def test_a_tool_that_is_pulled_into_the_work_makes_it_too_small(
    comparison: Comparison,
) -> None:
    curve = comparison.quick_change.curve
    inward = replace(curve, diameter_error_um=-curve.diameter_error_um)
    new = replace(comparison.quick_change, curve=inward)
    text = verdict(replace(comparison, quick_change=new)).stiffness
    assert "32.4 µm too small in diameter, against 23.2 µm too large." in text


@pytest.mark.parametrize(
    ("tool", "post", "slides", "words"),
    [
        (0.2, 0.5, 0.3, "Blame the post rather than the slides beneath"),
        (0.2, 0.3, 0.5, "Blame the slides beneath rather than the post"),
        (0.6, 0.2, 0.2, "Blame the tool before the post or the slides"),
        (0.1, 0.47, 0.43, "holder and post and the slides and machine beneath about"),
        (0.44, 0.42, 0.14, "tool and its seat and the holder and post about equally"),
    ],
)
def test_the_larger_share_is_blamed_and_close_ones_share_it(
    comparison: Comparison, tool: float, post: float, slides: float, words: str
) -> None:
    changed = with_shares(
        comparison,
        share(PART, "tool bit", tool),
        share(JOINT, "fixed flank", post),
        share(JOINT, "gib", slides),
    )
    blame = verdict(changed).blame
    assert words in blame
    assert f"slides and machine beneath {slides:.0%}".replace("%", " %") in blame


@pytest.mark.parametrize(
    ("fraction", "words"),
    [(0.41, "The largest share of that motion (41 %)"), (0.6, "Most of that motion")],
)
def test_most_is_said_only_of_more_than_half(
    comparison: Comparison, fraction: float, words: str
) -> None:
    rest = (1.0 - fraction) / 2.0
    changed = with_shares(
        comparison,
        share(JOINT, "moving flank", fraction),
        share(PART, "tool bit", rest),
        share(PART, "top slide", rest),
    )
    origin = verdict(changed).origin
    assert origin.startswith(words)
    assert origin.endswith("comes from the joint “moving flank”.")


def test_what_lies_below_the_post_is_grouped_with_the_machine() -> None:
    below = [
        "top slide",
        "lower slide",
        "way near work",
        "way far",
        "way flank near work",
        "gib",
        "ground",
        "lead screw",
    ]
    assert {group_of(name) for name in below} == {Group.SLIDES}
    assert group_of("base") is Group.POST
    assert group_of("set screw 3") is Group.TOOL


@pytest.mark.parametrize("case", sorted(CASES.glob("*.toml")), ids=lambda p: p.stem)
@pytest.mark.parametrize("stack", ["quick-change", "four-way"])
def test_every_member_of_the_demo_stacks_has_a_group(case: Path, stack: str) -> None:
    plan = plan_stack(load_case(case), stack)
    members = [m.name for m in (*plan.parts, *plan.joints, *plan.links)]
    assert {group_of(name) for name in members} == set(Group)
    assert all(part_colour(part.name).startswith("#") for part in plan.parts)


def test_groups_add_up_to_the_whole_motion(comparison: Comparison) -> None:
    for stack in (comparison.quick_change, comparison.four_way):
        fractions = group_fractions(stack.shares)
        # sums of two dozen fractions near 0.1: rounding only
        assert sum(fractions.values()) == pytest.approx(1.0, abs=1e-12)


def test_an_unknown_member_is_refused_with_the_known_names() -> None:
    with pytest.raises(LookupError, match=r"'flux joint'.*known: base"):
        group_fractions([share(JOINT, "flux joint", 0.1)])


def test_numbered_screws_are_added_up_and_kinds_kept_apart() -> None:
    shares = merged(
        [
            share(LINK, "set screw 1", 0.25),
            share(JOINT, "moving flank", 0.25),
            share(LINK, "set screw 12", 0.25),
            share(PART, "moving flank", 0.25),
        ]
    )
    assert {(s.kind, s.name): s.fraction for s in shares} == {
        (LINK, "set screw"): 0.5,
        (JOINT, "moving flank"): 0.25,
        (PART, "moving flank"): 0.25,
    }

from pathlib import Path

import numpy as np
import pytest

from fea.analysis import build
from fea.analysis.build import FOUR_WAY, QUICK_CHANGE, build_stack, plan_stack
from fea.analysis.response import part_fields, tip_compliance
from fea.case.schema import Case
from fea.core import cache
from fea.core.joint import PadRef
from fea.core.stack import Stack

FORCE = np.array([300.0, 100.0, -900.0])


def test_stacks_have_the_parts_that_were_planned(
    coarse_case: Case, coarse_quick_change: Stack, coarse_four_way: Stack
) -> None:
    for name, stack in (
        (QUICK_CHANGE, coarse_quick_change),
        (FOUR_WAY, coarse_four_way),
    ):
        plan = plan_stack(coarse_case, name)
        assert [part.name for part in stack.parts] == [part.name for part in plan.parts]
        assert stack.joints == plan.joints
        assert stack.links == plan.links


def test_both_stacks_stand_on_the_same_machine_with_the_same_tool(
    coarse_case: Case,
) -> None:
    plans = [plan_stack(coarse_case, name) for name in (QUICK_CHANGE, FOUR_WAY)]
    for name in ("tool bit", "top slide", "lower slide"):
        one, other = (
            next(part for part in plan.parts if part.name == name) for plan in plans
        )
        assert one.shape == other.shape
        assert one.material == other.material
    tips = {plan.tip for plan in plans}
    assert tips == {PadRef(part="tool bit", pad="tip")}


@pytest.mark.parametrize("name", [QUICK_CHANGE, FOUR_WAY])
def test_every_pad_of_a_joint_belongs_to_both_its_parts(
    coarse_case: Case, name: str
) -> None:
    plan = plan_stack(coarse_case, name)
    parts = {part.name: part for part in plan.parts}
    for joint in plan.joints:
        ends = [end for end in (joint.lower, joint.upper) if end is not None]
        found = [
            pad
            for end in ends
            for part in [parts[end.part]]
            for pad in (part.patches if joint.strut else part.contacts)
            if pad.name == end.pad
        ]
        assert len(found) == len(ends)
        # A strut bridges a gap, so its pads are two.
        assert len(set(found)) == (2 if joint.strut else 1)


def test_the_tip_gives_way_in_the_direction_of_every_force(
    coarse_quick_change: Stack, coarse_four_way: Stack
) -> None:
    for stack in (coarse_quick_change, coarse_four_way):
        compliance = tip_compliance(stack)
        assert np.linalg.eigvalsh(compliance).min() > 0.0
        # A bench lathe's tool post: between 1 and 200 N/um.
        give = FORCE @ compliance @ FORCE / (FORCE @ FORCE)
        assert 1e3 < 1.0 / give < 2e5


def test_parts_bend_least_where_the_machine_is_held(coarse_quick_change: Stack) -> None:
    loads = coarse_quick_change.tip_rows.T @ FORCE
    state = coarse_quick_change.respond(loads)
    moved = {
        field.name: np.linalg.norm(field.displacement, axis=1).max()
        for field in part_fields(coarse_quick_change, state)
    }
    order = ["tool bit", "holder", "post body", "top slide", "lower slide"]
    assert sorted(order, key=moved.__getitem__, reverse=True) == order


def test_a_second_build_takes_every_part_from_the_cache(
    coarse_case: Case,
    coarse_quick_change: Stack,
    cache_folder: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def no_mesh(*_: object, **__: object) -> None:
        pytest.fail("a part was meshed again")

    monkeypatch.setattr(cache, "mesh_part", no_mesh)
    again = build_stack(coarse_case, QUICK_CHANGE, cache_folder)
    expected = tip_compliance(coarse_quick_change)
    assert np.array_equal(tip_compliance(again), expected)


def test_without_a_folder_the_users_cache_is_taken(
    coarse_case: Case,
    coarse_quick_change: Stack,
    cache_folder: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(build, "default_cache", lambda: cache_folder)
    again = build_stack(coarse_case, QUICK_CHANGE)
    assert again.size == coarse_quick_change.size

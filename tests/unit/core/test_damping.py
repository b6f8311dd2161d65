"""Which loss factor a member has."""

from dataclasses import replace

import pytest

from fea.analysis.build import QUICK_CHANGE, plan_stack
from fea.case.schema import Case
from fea.core.damping import LOSSLESS, loss_factors
from fea.core.joint import LinearLaw
from fea.core.joint_surface import load_joint_surfaces
from fea.core.material import load_materials
from fea.core.stack import Stack
from fea.core.strut import StrutLaw


def test_every_member_loses_what_its_material_or_its_faces_do(
    coarse_quick_change: Stack,
) -> None:
    stack = coarse_quick_change
    found = loss_factors(stack)
    members = [*stack.parts, *stack.joints, *stack.links]
    assert set(found) == {member.name for member in members}
    iron, steel = load_materials()["grey iron"], load_materials()["steel"]
    assert found["top slide"].value == iron.loss_factor > steel.loss_factor
    assert found["stud"].value == steel.loss_factor
    base = next(joint for joint in stack.joints if joint.name == "base")
    assert found["base"].value == base.law.surface.loss_factor
    # Twice the damping ratios of lathes' structural modes.
    assert (found["ground"].low, found["ground"].high) == (0.04, 0.12)
    for name, factor in found.items():
        assert 0.0 < factor.low < factor.value < factor.high < 1.0, name


def test_a_strut_loses_between_its_steel_and_the_faces_at_its_end(
    coarse_quick_change: Stack,
) -> None:
    found = loss_factors(coarse_quick_change)
    struts = [j for j in coarse_quick_change.joints if isinstance(j.law, StrutLaw)]
    assert struts
    for joint in struts:
        faces = joint.law.surface.loss_factor
        steel = load_materials()["steel"].loss_factor
        assert steel < found[joint.name].value < faces


def test_a_joint_that_is_none_loses_nothing(
    coarse_case: Case, coarse_quick_change: Stack
) -> None:
    old = coarse_quick_change
    of_one_piece = LinearLaw(first=1e6, second=1e6, normal=1e6)
    joints = [
        replace(joint, law=of_one_piece) if joint.name == "base" else joint
        for joint in old.joints
    ]
    tip = plan_stack(coarse_case, QUICK_CHANGE).tip
    stack = Stack(old.parts, joints, old.links, tip)
    assert loss_factors(stack)["base"] == LOSSLESS


@pytest.mark.parametrize("key", list(load_materials()))
def test_a_material_loses_less_than_a_joint(key: str) -> None:
    material = load_materials()[key]
    low, high = material.loss_factor_band
    assert 0.0 < low < material.loss_factor < high
    least = min(each.loss_factor for each in load_joint_surfaces().values())
    assert high < least

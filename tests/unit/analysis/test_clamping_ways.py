"""Piston and draw bolt: what pushes the holder off or pulls it on, and how it gives."""

from pathlib import Path

import pytest

from fea.analysis.build import QUICK_CHANGE, build_stack, plan_stack
from fea.analysis.cut import force_at
from fea.analysis.cutting_path import follow
from fea.analysis.joint_result import joint_results
from fea.case.post_section import DRAW, PISTON
from fea.case.schema import Case
from fea.core.contact_stack import contact_model
from fea.core.strut import StrutLaw

PUSH = 6000.0


def clamped_by(case: Case, way: str, rod_length: float) -> Case:
    update = {
        "way": way,
        "force": PUSH,
        "torque": None,
        "taper": None,
        "recess": None,
        "rod_length": rod_length,
    }
    clamping = case.post.clamping.model_copy(update=update)
    post = case.post.model_copy(update={"clamping": clamping})
    return case.model_copy(update={"post": post})


def test_a_longer_draw_bolt_is_softer_and_pulls_as_hard(coarse_case: Case) -> None:
    bolts = []
    for length in (30.0, 60.0):
        plan = plan_stack(clamped_by(coarse_case, DRAW, length), QUICK_CHANGE)
        bolts += [link for link in plan.links if link.name == "draw bolt"]
    short, long = bolts
    assert short.preload == long.preload == PUSH
    # Both ends give as half a diameter of 10 mm each.
    assert short.stiffness / long.stiffness == pytest.approx(70.0 / 40.0)


def test_a_piston_is_a_strut_of_the_body_and_softer_when_longer(
    coarse_case: Case,
) -> None:
    laws = []
    for length in (30.0, 60.0):
        plan = plan_stack(clamped_by(coarse_case, PISTON, length), QUICK_CHANGE)
        (piston,) = (joint for joint in plan.joints if joint.name == "piston")
        assert piston.strut
        assert piston.upper.part == "post body"
        assert isinstance(piston.law, StrutLaw)
        laws.append(piston.law)
    short, long = laws
    assert short.force == long.force == PUSH
    assert short.axial / long.axial == pytest.approx(65.0 / 35.0)


def test_a_clamped_piston_pushes_with_its_force_and_holds_the_holder(
    coarse_case: Case, cache_folder: Path
) -> None:
    case = clamped_by(coarse_case, PISTON, 35.0)
    stack = build_stack(case, QUICK_CHANGE, cache_folder)
    model = contact_model(stack)
    path = follow(model, lambda depth: force_at(case, depth), case.cut.depths[-1:])
    found = {result.name: result for result in joint_results(stack, model, path)}
    piston = found["piston"]
    # To the tolerance of the equilibrium.
    assert piston.clamped_force_n == pytest.approx(PUSH, rel=1e-6)
    # It keeps its place and not its force; its end holds the holder by friction.
    assert piston.loaded_force_n != pytest.approx(PUSH, rel=1e-4)
    assert 0.0 < piston.slip_use < 1.0
    assert piston.clamped is None
    # Both flanks carry it: F = 2 N cos(60 degrees).
    flanks = [found[name].clamped_force_n for name in ("fixed flank", "clamped flank")]
    assert sum(flanks) == pytest.approx(2.0 * PUSH, rel=0.02)

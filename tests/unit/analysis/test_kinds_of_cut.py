"""The way through the cuts of a facing, a grooving and a parting tool."""

import numpy as np
import pytest

from fea.analysis.chatter_notes import chatter_notes
from fea.analysis.cut import cut_of, force_at, sizes_of
from fea.analysis.notes import notes
from fea.analysis.regeneration import asked_mm, working_depth
from fea.analysis.stack_answer import StackAnswer, cut_path
from fea.case.schema import Case
from fea.machining.fed import Fed

WIDTH_MM = 3.0


def of_kind(case: Case, kind: str) -> Case:
    width = WIDTH_MM if kind in ("grooving", "parting") else None
    cut = case.cut.model_copy(update={"kind": kind, "width": width})
    return case.model_copy(update={"cut": cut})


@pytest.mark.parametrize("kind", ["grooving", "parting"])
def test_a_plunging_tool_is_loaded_up_to_its_width(
    coarse_case: Case, answer: StackAnswer, kind: str
) -> None:
    case = of_kind(coarse_case, kind)
    curve = cut_path(case, answer.model).curve
    assert curve.fed is Fed.IN
    assert curve.depth_mm[-1] == WIDTH_MM == asked_mm(case) == working_depth(case)
    assert curve.actual_depth_mm.tolist() == curve.depth_mm.tolist()
    # Each part of the force is proportional to the width; rounding only.
    slope = force_at(case, 1.0)
    assert curve.force_n == pytest.approx(np.outer(curve.depth_mm, slope), rel=1e-9)
    assert curve.diameter_error_um == pytest.approx(
        2.0 * curve.deflection_um[:, 0], rel=1e-12
    )
    assert cut_of(case).nose_radius_mm == 0.0


def test_a_facing_cut_is_as_deep_as_its_axial_motion_leaves_it(
    coarse_case: Case, answer: StackAnswer
) -> None:
    case = of_kind(coarse_case, "facing")
    curve = cut_path(case, answer.model).curve
    assert curve.depth_mm.tolist() == list(case.cut.depths)
    given_way = 1000.0 * (curve.depth_mm - curve.actual_depth_mm)
    # As the path settles: 1e-7 mm.
    assert given_way == pytest.approx(curve.length_error_um, abs=1e-3)
    for depth, force in zip(curve.actual_depth_mm, curve.force_n, strict=True):
        assert force == pytest.approx(force_at(case, depth), rel=1e-9)
    assert working_depth(case) == max(case.cut.depths) / 2.0


def test_turning_is_still_cut_by_the_depths_of_the_case(coarse_case: Case) -> None:
    assert sizes_of(coarse_case).tolist() == list(coarse_case.cut.depths)


def test_what_is_assumed_is_told_of_the_kind_that_is_cut(coarse_case: Case) -> None:
    told = {
        kind: " ".join(notes(of_kind(coarse_case, kind)))
        for kind in ("turning", "facing", "grooving")
    }
    assert "plunging tool" in told["grooving"]
    assert "facing tool" in told["facing"]
    assert "facing tool" not in told["turning"]
    assert "plunging tool" not in told["turning"]
    about = " ".join(chatter_notes(of_kind(coarse_case, "parting")))
    assert "equilibrium at the tool's whole width" in about

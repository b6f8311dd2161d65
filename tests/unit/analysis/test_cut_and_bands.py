"""The way through the cuts, its work, and the bands that samples put around it."""

from dataclasses import replace
from pathlib import Path
from typing import NoReturn

import numpy as np
import pytest

from fea.analysis import band_cache
from fea.analysis.band_cache import kept_bands
from fea.analysis.bands import Sampled, ratio_band, sample_bands
from fea.analysis.clamping_scatter import clamping_scatter
from fea.analysis.cut import force_at
from fea.analysis.cutting_path import CutPath, follow
from fea.analysis.distribution import BAND
from fea.analysis.draw import draw_constants
from fea.analysis.joint_result import joint_results, load_cycle
from fea.analysis.stack_answer import StackAnswer
from fea.analysis.work_shares import elastic_motion, joint_work, work_shares
from fea.case.schema import Case
from fea.case.table_spread import ground_spread
from fea.core.contact_law import ContactLaw
from fea.core.contact_model import ContactModel, ContactState
from fea.core.contact_samples import SampledStack
from fea.core.contact_sets import CONSTANTS
from fea.core.equilibrium import (
    clamp,
    load,
    solve,
    tangent_compliance,
    tip_motion,
)
from fea.core.stack import Stack

SETS = 3


@pytest.fixture(scope="module")
def model(answer: StackAnswer) -> ContactModel:
    return answer.model


@pytest.fixture(scope="module")
def path(answer: StackAnswer) -> CutPath:
    return answer.path


@pytest.fixture(scope="module")
def sampled(coarse_case: Case, answer: StackAnswer) -> Sampled:
    scatter = clamping_scatter(coarse_case, answer.plan)
    joints = [joint.name for joint in answer.stack.joints]
    screws = [one.screw for one in scatter.values()]
    constants = draw_constants(joints, screws, ground_spread(coarse_case))
    depth = float(answer.path.curve.depth_mm[-1])
    return sample_bands(answer.stack, answer.path, constants, scatter, depth)


def test_work_of_the_cut_is_that_done_on_joints_links_and_parts(
    coarse_quick_change: Stack, model: ContactModel, path: CutPath
) -> None:
    end = path.steps[-1].state
    motion = elastic_motion(coarse_quick_change, model, path.clamped, end)
    stored = sum(
        part.material.youngs_modulus_mpa * bent @ bent / 2.0
        for part in coarse_quick_change.parts
        for own in [coarse_quick_change.slices[part.name]]
        for bent in [motion[own.start : own.stop - 6]]
    )
    done = sum(joint_work(model, path).values()) + stored
    states = [path.clamped, *(step.state for step in path.steps)]
    moved = np.array([tip_motion(model, state) for state in states])
    forces = np.array([state.force for state in states])
    given = ((forces[1:] + forces[:-1]) / 2.0 * np.diff(moved, axis=0)).sum()
    # Equilibrium holds to 1e-8 of the clamping forces, which are some hundred times
    # those of the cut.
    assert done == pytest.approx(given, rel=1e-5)
    shares = work_shares(coarse_quick_change, model, path, motion)
    assert sum(share.fraction for share in shares) == pytest.approx(1.0)
    # The recovered motion moves the tip as the joints' equilibrium says.
    tip = coarse_quick_change.tip_rows @ motion
    assert tip == pytest.approx(moved[-1] - moved[0], rel=1e-5)


def test_every_step_is_in_balance_with_its_own_depth(
    coarse_case: Case, path: CutPath
) -> None:
    curve = path.curve
    for depth, force in zip(curve.actual_depth_mm, curve.force_n, strict=True):
        assert force == pytest.approx(force_at(coarse_case, depth), rel=1e-9)
    given_way = curve.depth_mm - curve.actual_depth_mm
    assert 1000.0 * given_way == pytest.approx(curve.deflection_um[:, 0], abs=1e-3)


def test_a_cut_that_nothing_holds_ends_the_path_and_is_named(
    coarse_case: Case, model: ContactModel
) -> None:
    def heavy(depth: float) -> np.ndarray:
        return 40.0 * force_at(coarse_case, depth)

    found = follow(model, heavy, np.array([0.05, 2.0]))
    assert found.curve.depth_mm.tolist() == [0.05]
    assert found.lost_depth_mm == 2.0
    assert "joint" in (found.lost or "")


def test_clamping_gives_every_driven_joint_its_force(
    coarse_quick_change: Stack, model: ContactModel, path: CutPath
) -> None:
    found = {r.name: r for r in joint_results(coarse_quick_change, model, path)}
    screws = {f"set screw {number}" for number in (1, 2, 3)}
    assert {joint.name for joint in model.driven} == {
        "gib",
        "moving flank back",
        *screws,
    }
    for joint in model.driven:
        # To the tolerance of the equilibrium.
        assert found[joint.name].clamped_force_n == pytest.approx(joint.drive, rel=1e-6)
    for result in found.values():
        # Fractions are sums of weights over their sum.
        assert -1e-12 <= result.slipping <= 1.0 + 1e-12
        assert -1e-12 <= result.open_loaded <= 1.0 + 1e-12


def test_unloading_and_loading_again_costs_work(
    model: ContactModel, path: CutPath
) -> None:
    cycle = load_cycle(model, path)
    assert cycle is not None
    assert cycle.loss_n_mm > 0.0


def nominal_sets(model: ContactModel) -> dict[str, ContactLaw]:
    return {
        joint.name: replace(
            joint.law,
            **{c: np.full(SETS, getattr(joint.law, c)) for c in CONSTANTS},
        )
        for joint in model.contacts
    }


def unknowns_of(state: ContactState) -> np.ndarray:
    return np.concatenate([state.coefficients, state.rigid, state.advance])


def test_sets_of_nominal_constants_are_the_nominal_equilibrium(
    model: ContactModel, path: CutPath
) -> None:
    many = SampledStack(model, nominal_sets(model), np.ones(SETS), {})
    one = clamp(model)
    force = path.curve.force_n[-1]
    clamped = many.clamp(unknowns_of(one))
    loaded = many.load(clamped, force)
    assert loaded.held.all()
    found = many.tip_motion(loaded, force) - many.tip_motion(clamped, np.zeros(3))
    under_force = load(model, one, force)
    wanted = tip_motion(model, under_force) - tip_motion(model, one)
    # The sets are solved to 1e-6 of the clamping forces.
    assert found == pytest.approx(np.tile(wanted, (SETS, 1)), rel=1e-5)
    for states, state in ((clamped, one), (loaded, under_force)):
        wanted = tangent_compliance(model, state)
        error = np.abs(many.tip_compliance(states) - wanted).max()
        assert error < 1e-5 * np.abs(wanted).max()


def test_what_slips_under_the_deepest_cut_makes_another_tangent(
    model: ContactModel, path: CutPath
) -> None:
    # Or the test before could not tell a settled state from one that goes on slipping.
    force = path.curve.force_n[-1]
    one = clamp(model)
    sticks = tangent_compliance(model, load(model, one, force))
    slips = tangent_compliance(model, solve(model, one, force))
    assert np.abs(slips - sticks).max() > 1e-2 * np.abs(sticks).max()


def test_sets_with_other_clamping_forces_are_those_of_a_stack_clamped_so(
    model: ContactModel,
) -> None:
    more = 1.3
    members = [each.name for each in (*model.ties, *model.driven)]
    clamping = dict.fromkeys(members, np.full(SETS, more))
    many = SampledStack(model, nominal_sets(model), np.ones(SETS), clamping)
    other = replace(
        model,
        contacts=tuple(
            replace(joint, drive=more * joint.drive, pressure=more * joint.pressure)
            if joint.drive is not None
            else joint
            for joint in model.contacts
        ),
        ties=tuple(replace(tie, preload=more * tie.preload) for tie in model.ties),
    )
    one = clamp(other)
    found = many.clamp(unknowns_of(clamp(model)))
    assert found.held.all()
    wanted = tangent_compliance(other, one)
    error = np.abs(many.tip_compliance(found) - wanted).max()
    # As the test of nominal sets.
    assert error < 1e-5 * np.abs(wanted).max()
    largest = np.abs(one.tractions).max()
    assert np.abs(found.tractions - one.tractions).max() < 1e-5 * largest


def test_bands_hold_the_nominal_answer(sampled: Sampled, path: CutPath) -> None:
    bands, force = sampled.bands, path.curve.force_n[-1]
    nominal = force @ force / (path.curve.deflection_um[-1] @ force)
    low, high = bands.stiffness_n_per_um
    assert low < nominal < high
    assert bands.lost < 0.1
    assert np.all(bands.deflection_um[0] <= bands.deflection_um[1])
    assert all(lower <= upper for lower, upper in bands.shares.values())
    inside = (sampled.stiffness >= low) & (sampled.stiffness <= high)
    held = ~np.isnan(sampled.stiffness)
    assert inside.sum() / held.sum() == pytest.approx(BAND[1] - BAND[0], abs=0.01)


def test_a_stack_beside_itself_has_no_band_of_the_ratio(sampled: Sampled) -> None:
    assert ratio_band(sampled, sampled) == pytest.approx([1.0, 1.0])


def test_bands_are_made_once_and_again_for_another_cut_or_friction(
    coarse_case: Case,
    answer: StackAnswer,
    sampled: Sampled,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def kept(case: Case, answer: StackAnswer) -> Sampled:
        return kept_bands(case, [answer], tmp_path)[0]

    def never(*_: object) -> NoReturn:
        raise LookupError

    monkeypatch.setattr(band_cache, "sample_bands", lambda *_: sampled)
    first = kept(coarse_case, answer)
    monkeypatch.setattr(band_cache, "sample_bands", never)
    second = kept(coarse_case, answer)
    assert second.bands.shares == first.bands.shares
    assert second.bands.samples == first.bands.samples
    for name in ("deflection_um", "compliance_um_per_n", "stiffness_n_per_um"):
        assert np.array_equal(getattr(second.bands, name), getattr(first.bands, name))
    assert np.array_equal(second.stiffness, first.stiffness, equal_nan=True)
    shorter = replace(answer.path, steps=answer.path.steps[:-1])
    with pytest.raises(LookupError):
        kept(coarse_case, replace(answer, path=shorter))
    # The plan stays as it is drawn: only what the forces may be has changed.
    stud = coarse_case.machine.stud.model_copy(update={"lubrication": "paste"})
    machine = coarse_case.machine.model_copy(update={"stud": stud})
    with pytest.raises(LookupError):
        kept(coarse_case.model_copy(update={"machine": machine}), answer)

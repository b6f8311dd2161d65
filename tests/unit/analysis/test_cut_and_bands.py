"""The way through the cuts, its work, and the bands that samples put around it."""

from dataclasses import replace
from pathlib import Path
from typing import NoReturn

import numpy as np
import pytest

from fea.analysis import band_cache
from fea.analysis.band_cache import kept_bands
from fea.analysis.bands import BAND, Sampled, draw_constants, ratio_band, sample_bands
from fea.analysis.build import QUICK_CHANGE, fineness, plan_stack
from fea.analysis.cut import force_at
from fea.analysis.cutting_path import CutPath, follow
from fea.analysis.joint_result import joint_results, load_cycle
from fea.analysis.run import cut_path
from fea.analysis.work_shares import elastic_motion, joint_work, work_shares
from fea.case.schema import Case
from fea.core.contact_model import ContactModel
from fea.core.contact_samples import SampledStack
from fea.core.contact_sets import CONSTANTS
from fea.core.contact_stack import contact_model
from fea.core.equilibrium import clamp, load, tip_motion
from fea.core.stack import Stack

SETS = 3


@pytest.fixture(scope="module")
def model(coarse_quick_change: Stack) -> ContactModel:
    return contact_model(coarse_quick_change)


@pytest.fixture(scope="module")
def path(coarse_case: Case, model: ContactModel) -> CutPath:
    return cut_path(coarse_case, model)


@pytest.fixture(scope="module")
def drawn(coarse_quick_change: Stack) -> list[str]:
    return [joint.name for joint in coarse_quick_change.joints]


@pytest.fixture(scope="module")
def sampled(coarse_quick_change: Stack, path: CutPath, drawn: list[str]) -> Sampled:
    return sample_bands(coarse_quick_change, path, draw_constants(drawn))


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


def test_sets_of_nominal_constants_are_the_nominal_equilibrium(
    model: ContactModel, path: CutPath
) -> None:
    laws = {
        joint.name: replace(
            joint.law,
            **{c: np.full(SETS, getattr(joint.law, c)) for c in CONSTANTS},
        )
        for joint in model.contacts
    }
    many = SampledStack(model, laws, np.ones(SETS))
    one = clamp(model)
    start = np.concatenate([one.coefficients, one.rigid, one.advance])
    force = path.curve.force_n[-1]
    clamped = many.clamp(start)
    loaded = many.load(clamped, force)
    assert loaded.held.all()
    found = many.tip_motion(loaded, force) - many.tip_motion(clamped, np.zeros(3))
    wanted = tip_motion(model, load(model, one, force)) - tip_motion(model, one)
    # The sets are solved to 1e-6 of the clamping forces.
    assert found == pytest.approx(np.tile(wanted, (SETS, 1)), rel=1e-3)


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


def test_bands_are_made_once_and_again_for_another_cut(
    coarse_case: Case,
    coarse_quick_change: Stack,
    path: CutPath,
    sampled: Sampled,
    drawn: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    plan = plan_stack(coarse_case, QUICK_CHANGE)

    def kept(cut: CutPath) -> Sampled:
        fine = fineness(coarse_case)
        return kept_bands(plan, coarse_quick_change, cut, drawn, fine, tmp_path)

    def never(*_: object) -> NoReturn:
        raise LookupError

    monkeypatch.setattr(band_cache, "sample_bands", lambda *_: sampled)
    first = kept(path)
    monkeypatch.setattr(band_cache, "sample_bands", never)
    second = kept(path)
    assert second.bands.shares == first.bands.shares
    assert second.bands.samples == first.bands.samples
    for name in ("deflection_um", "compliance_um_per_n", "stiffness_n_per_um"):
        assert np.array_equal(getattr(second.bands, name), getattr(first.bands, name))
    assert np.array_equal(second.stiffness, first.stiffness, equal_nan=True)
    with pytest.raises(LookupError):
        kept(replace(path, steps=path.steps[:-1]))

"""Modes of many sets of constants against the same stack built with one of them."""

from dataclasses import replace
from pathlib import Path
from typing import NoReturn

import numpy as np
import pytest

from fea.analysis import mode_cache
from fea.analysis.distribution import BAND, log_normal
from fea.analysis.draw import CONSTANTS, SAMPLES, Constants, draw_constants
from fea.analysis.mode_cache import kept_modes
from fea.analysis.mode_samples import (
    SampledModes,
    draw_losses,
    known_losses,
    sample_modes,
)
from fea.analysis.set_blocks import FINER, SAMPLE_DEGREE
from fea.analysis.stack_answer import StackAnswer
from fea.analysis.stack_modes import StackModes, working_modes
from fea.case.schema import Case
from fea.core.contact_stack import contact_model
from fea.core.damping import loss_factors
from fea.core.equilibrium import clamp, load
from fea.core.joint import FootLaw, Joint, LinearLaw
from fea.core.modal_model import receptance
from fea.core.stack import Stack
from geometry.errors import SolveError

SETS = 32
SOME = (0, 7, 13, 30)


@pytest.fixture(scope="module")
def constants(answer: StackAnswer) -> Constants:
    """The first sets of those that are drawn."""
    drawn = draw_constants([joint.name for joint in answer.stack.joints], [], 3.0)
    quantiles = {key: each[:SETS] for key, each in drawn.quantiles.items()}
    return replace(drawn, quantiles=quantiles, ground=drawn.ground[:SETS])


@pytest.fixture(scope="module")
def sampled(answer: StackAnswer, constants: Constants) -> SampledModes:
    losses = {
        name: np.full(SETS, factor.value)
        for name, factor in loss_factors(answer.stack).items()
    }
    force = answer.path.curve.force_n[-1]
    return sample_modes(answer.stack, force, constants, {}, losses)


def joint_of_set(joint: Joint, constants: Constants, number: int) -> Joint:
    """Joint as if its table gave the constants of a set."""
    if isinstance(joint.law, FootLaw):
        factor, springs = constants.ground[number], joint.law.springs
        springs = LinearLaw(
            first=factor * springs.first,
            second=factor * springs.second,
            normal=factor * springs.normal,
        )
        return replace(joint, law=replace(joint.law, springs=springs))
    surface = joint.law.surface
    drawn = {
        constant: float(
            log_normal(
                constants.quantiles[joint.name, constant][number],
                *getattr(surface.spread, constant),
            )
        )
        for constant in CONSTANTS
    }
    return replace(joint, law=replace(joint.law, surface=replace(surface, **drawn)))


def built(answer: StackAnswer, constants: Constants, number: int) -> StackModes:
    """Modes of the stack of one set, without any basis."""
    old = answer.stack
    joints = [joint_of_set(joint, constants, number) for joint in old.joints]
    stack = Stack(old.parts, joints, old.links, answer.plan.tip)
    degrees = {joint.name: FINER.get(joint.name, SAMPLE_DEGREE) for joint in joints}
    model = contact_model(stack, degrees)
    state = load(model, clamp(model), answer.path.curve.force_n[-1])
    return working_modes(stack, model, state)


@pytest.mark.parametrize("number", SOME)
def test_a_sets_modes_are_those_of_a_stack_with_its_constants(
    number: int, answer: StackAnswer, constants: Constants, sampled: SampledModes
) -> None:
    wanted = built(answer, constants, number).tip
    found = sampled.model(number)
    assert sampled.held[number]
    low = wanted.frequency_hz < 2000.0
    assert low.sum() >= 5
    # The basis: 0.04 % in frequency and 0.1 % in peaks on the demos.
    assert found.frequency_hz[low] == pytest.approx(wanted.frequency_hz[low], rel=2e-3)
    assert found.damping_ratio[low] == pytest.approx(
        wanted.damping_ratio[low], rel=5e-3
    )
    axis = np.linspace(20.0, 2000.0, 1000)
    peaks = [np.abs(receptance(each, axis)).max(axis=0) for each in (found, wanted)]
    assert np.abs(peaks[0] - peaks[1]).max() < 5e-3 * peaks[1].max()
    error = np.abs(found.static_compliance - wanted.static_compliance).max()
    assert error < 5e-3 * np.abs(wanted.static_compliance).max()


def test_sets_differ_by_more_than_the_basis_errs(sampled: SampledModes) -> None:
    lowest = sampled.frequency_hz[sampled.held, 0]
    assert lowest.max() > 1.5 * lowest.min()
    assert np.all(np.diff(sampled.frequency_hz[sampled.held], axis=1) >= 0.0)


def test_losses_fill_their_bands_each_on_its_own(answer: StackAnswer) -> None:
    known = known_losses([answer.stack])
    drawn = draw_losses(known)
    for name, factor in known.items():
        low, high = np.quantile(drawn[name], BAND)
        # Between two of 256 evenly spread values.
        assert low == pytest.approx(factor.low, rel=0.02), name
        assert high == pytest.approx(factor.high, rel=0.02), name
        assert np.median(drawn[name]) == pytest.approx(factor.value, rel=0.02), name
    ranks = np.log([drawn[name] for name in sorted(drawn)])
    related = np.corrcoef(ranks) - np.eye(len(ranks))
    # By chance 1 / sqrt(256) and four times that in the worst of all pairs.
    assert np.abs(related).max() < 4.0 / np.sqrt(SAMPLES)


def test_modes_are_made_once_and_again_for_another_cut_or_friction(
    coarse_case: Case,
    answer: StackAnswer,
    sampled: SampledModes,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def kept(case: Case, depth: float, ratio: float | None = None) -> SampledModes:
        return kept_modes(case, [answer], tmp_path, depth, ratio)[0]

    def never(*_: object) -> NoReturn:
        raise LookupError

    monkeypatch.setattr(mode_cache, "sample_modes", lambda *_: sampled)
    first = kept(coarse_case, 1.0)
    monkeypatch.setattr(mode_cache, "sample_modes", never)
    second = kept(coarse_case, 1.0)
    for name in ("frequency_hz", "damping_ratio", "shapes", "residual", "held"):
        assert np.array_equal(getattr(second, name), getattr(first, name))
    # A measured ratio needs no new modes.
    measured = kept(coarse_case, 1.0, 0.05)
    held = measured.held
    assert measured.damping_ratio[held, 0] == pytest.approx(0.05)
    between = measured.damping_ratio[held] / first.damping_ratio[held]
    assert between == pytest.approx(np.repeat(between[:, :1], between.shape[1], axis=1))
    with pytest.raises(LookupError):
        kept(coarse_case, 2.0)
    stud = coarse_case.machine.stud.model_copy(update={"lubrication": "paste"})
    machine = coarse_case.machine.model_copy(update={"stud": stud})
    with pytest.raises(LookupError):
        kept(coarse_case.model_copy(update={"machine": machine}), 1.0)


def test_a_cut_that_no_set_holds_is_refused(
    answer: StackAnswer, constants: Constants
) -> None:
    losses = dict.fromkeys(loss_factors(answer.stack), np.full(SETS, 0.05))
    force = 100.0 * answer.path.curve.force_n[-1]
    with pytest.raises(SolveError, match="none of 32 sets"):
        sample_modes(answer.stack, force, constants, {}, losses)


def test_sets_out_of_balance_have_no_modes(
    answer: StackAnswer, constants: Constants
) -> None:
    losses = dict.fromkeys(loss_factors(answer.stack), np.full(SETS, 0.05))
    force = 6.0 * answer.path.curve.force_n[-1]
    found = sample_modes(answer.stack, force, constants, {}, losses)
    lost = ~found.held
    assert 0 < lost.sum() < SETS
    assert np.isnan(found.frequency_hz[lost]).all()
    assert np.isfinite(found.frequency_hz[found.held]).all()
    # One loss factor for all members is every mode's, whatever the energies.
    assert found.damping_ratio[found.held] == pytest.approx(
        np.full((found.held.sum(), found.damping_ratio.shape[1]), 0.025)
    )

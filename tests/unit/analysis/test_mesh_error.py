from dataclasses import replace

import pytest

from fea.analysis.mesh_error import (
    MOST_UNKNOWNS,
    accuracy_warnings,
    as_fine_as,
    finer_plan,
    total_error,
)
from fea.analysis.result import PartError
from fea.analysis.stack_answer import StackAnswer
from fea.core.cache import part_key
from fea.core.reduction import Settings
from fea.core.stress_cache import stress_key

SIZE = 8.0


def errors(answer: StackAnswer, **fractions: float) -> tuple[PartError, ...]:
    """Errors of small meshes: 0.1 % each, but for those that are given."""
    return tuple(
        PartError(
            name=part.name,
            unknowns=10_000,
            refined=0,
            fraction=fractions.get(part.name.replace(" ", "_"), 0.001),
        )
        for part in answer.plan.parts
    )


def test_the_estimate_is_a_small_part_of_the_motion(answer: StackAnswer) -> None:
    assert [error.name for error in answer.errors] == [
        part.name for part in answer.plan.parts
    ]
    assert all(error.fraction >= 0.0 for error in answer.errors)
    # Joints give most of the motion, and the coarse meshes of it are known to be a few
    # per cent off where parts do.
    assert 0.002 < total_error(answer.errors) < 0.02


def test_meshes_within_the_accuracy_stay(answer: StackAnswer) -> None:
    found = errors(answer)
    assert finer_plan(answer.plan, found, 0.0061, SIZE) is None
    assert list(accuracy_warnings("post", found, 0.0061, SIZE)) == []
    assert list(accuracy_warnings("post", found, None, SIZE)) == []


def test_what_contributes_most_is_made_finer(answer: StackAnswer) -> None:
    found = errors(answer, holder=0.02)
    plan = finer_plan(answer.plan, found, 0.018, SIZE)
    assert plan is not None
    steps = {part.name: part.refined for part in plan.parts}
    # 25 thousandths become 5 + 20 x 0.72² = 15.4 after two steps, 19.4 after one.
    assert steps.pop("holder") == 2
    assert set(steps.values()) == {0}


def test_a_mesh_that_is_too_large_stays_and_is_named(answer: StackAnswer) -> None:
    found = tuple(
        replace(error, unknowns=MOST_UNKNOWNS) for error in errors(answer, holder=0.02)
    )
    assert finer_plan(answer.plan, found, 0.018, SIZE) is None
    (said,) = accuracy_warnings("quick-change", found, 0.018, SIZE)
    for words in ("numerics.accuracy = 1.8 %", "2.5 %", "the holder", "150,000"):
        assert words in said


def test_a_mesh_that_is_too_fine_stays_and_is_named(answer: StackAnswer) -> None:
    found = errors(answer, holder=0.02)
    assert finer_plan(answer.plan, found, 0.018, 0.6) is None
    (said,) = accuracy_warnings("quick-change", found, 0.018, 0.6)
    assert "finer than 0.5 mm" in said


def test_a_refined_part_has_a_file_of_its_own(answer: StackAnswer) -> None:
    part = answer.plan.parts[0]
    finer = replace(part, refined=1)
    assert part_key(part, SIZE, Settings()) != part_key(finer, SIZE, Settings())
    assert stress_key(part, SIZE, {}) != stress_key(finer, SIZE, {})


def test_what_contributes_next_to_nothing_is_left_alone(answer: StackAnswer) -> None:
    """Also where the accuracy is out of reach."""
    found = errors(answer, moving_flank=1e-6)
    plan = finer_plan(answer.plan, found, 1e-4, SIZE)
    assert plan is not None
    steps = {part.name: part.refined for part in plan.parts}
    assert steps.pop("moving flank") == 0
    assert min(steps.values()) > 3


def test_a_changed_stack_keeps_its_refinement(answer: StackAnswer) -> None:
    drawn = finer_plan(answer.plan, errors(answer, holder=0.02), 0.018, SIZE)
    assert drawn is not None
    assert as_fine_as(drawn, answer.plan) == drawn


@pytest.mark.parametrize("accuracy", [1e-4, 1e-3])
def test_refinement_ends_in_few_rounds(answer: StackAnswer, accuracy: float) -> None:
    """Where no accuracy can be reached, unknowns grow until no part may be finer."""
    plan, found = answer.plan, errors(answer)
    for _ in range(3):
        finer = finer_plan(plan, found, accuracy, SIZE)
        if finer is None:
            break
        plan = finer
        found = tuple(
            replace(error, refined=part.refined, unknowns=MOST_UNKNOWNS)
            for part, error in zip(plan.parts, found, strict=True)
        )
    assert finer_plan(plan, found, accuracy, SIZE) is None

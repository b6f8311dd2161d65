from dataclasses import replace
from pathlib import Path
from typing import NoReturn

import numpy as np
import pytest
from block_mesh import flat_pad, material

from fea.core import stress_cache
from fea.core.plan import PartPlan
from fea.core.stress import Loads, StressField
from fea.core.stress_cache import part_stresses, stress_key
from geometry.parts.shim_pack import ShimPack

SIZE = 12.0
BELOW = flat_pad("below", (100.0, 140.0), (-7.0, 13.0), 0.0)
ABOVE = flat_pad("above", (115.0, 125.0), (-2.0, 8.0), 10.0)
PLAN = PartPlan(
    name="plate",
    shape=ShimPack(length=40.0, width=20.0, height=10.0),
    material=material(),
    origin=(100.0, -7.0, 0.0),
    contacts=(BELOW,),
    patches=(ABOVE,),
)


def squeeze(force: float) -> Loads:
    """A force on the patch and an even pressure under the plate that bears it."""
    down = np.array([0.0, 0.0, -force])
    below = np.zeros((3, 3))
    below[0] = -down / np.sqrt(BELOW.area)
    return {"above": down / np.sqrt(ABOVE.area), "below": below.ravel()}


def no_mesh(*_: object, **__: object) -> NoReturn:
    pytest.fail("the part was meshed again")


def assert_same(one: StressField, other: StressField) -> None:
    for name in StressField.__slots__:
        assert np.array_equal(getattr(one, name), getattr(other, name))


@pytest.fixture
def made(tmp_path: Path) -> StressField:
    (field,) = part_stresses(PLAN, SIZE, [squeeze(900.0)], tmp_path)
    return field


def test_the_same_question_is_answered_from_the_disk(
    made: StressField, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert made.von_mises.max() > 1.0
    monkeypatch.setattr(stress_cache, "mesh_part", no_mesh)
    stiffer = replace(PLAN, name="other", material=material(modulus=70_000.0))
    again = part_stresses(stiffer, SIZE, [squeeze(900.0 * (1.0 + 1e-9))], tmp_path)
    assert_same(again[0], made)


def test_only_the_case_that_is_missing_is_solved(
    made: StressField, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []

    def count(*arguments: object, **named: object) -> object:
        asked.append(len(arguments[3]))  # type: ignore[arg-type]
        return recover(*arguments, **named)  # type: ignore[arg-type]

    recover = stress_cache.recover_stresses
    monkeypatch.setattr(stress_cache, "recover_stresses", count)
    cases = [squeeze(450.0), squeeze(900.0), squeeze(450.0)]
    half, whole, again = part_stresses(PLAN, SIZE, cases, tmp_path)
    assert asked == [1]
    assert_same(whole, made)
    assert_same(half, again)
    assert half.von_mises == pytest.approx(made.von_mises / 2.0, rel=1e-6)


def test_a_damaged_file_is_made_anew(made: StressField, tmp_path: Path) -> None:
    (path,) = tmp_path.iterdir()
    sound = path.read_bytes()
    content = bytearray(sound)
    content[len(content) // 2] ^= 1
    path.write_bytes(content)
    (field,) = part_stresses(PLAN, SIZE, [squeeze(900.0)], tmp_path)
    assert_same(field, made)
    assert path.stat().st_size == len(sound)
    assert path.read_bytes() != bytes(content)


@pytest.mark.parametrize(
    ("plan", "size", "loads"),
    [
        (PLAN, SIZE, squeeze(900.01)),
        (PLAN, SIZE, squeeze(-900.0)),
        (PLAN, SIZE, {}),
        (PLAN, SIZE + 1.0, squeeze(900.0)),
        (replace(PLAN, material=material(nu=0.2)), SIZE, squeeze(900.0)),
    ],
    ids=["force", "direction", "none", "size", "nu"],
)
def test_what_changes_the_stress_changes_the_key(
    plan: PartPlan, size: float, loads: Loads
) -> None:
    assert stress_key(plan, size, loads) != stress_key(PLAN, SIZE, squeeze(900.0))

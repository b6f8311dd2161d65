from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import NoReturn

import numpy as np
import pytest
from block_mesh import flat_pad, material

from fea.core import cache
from fea.core.cache import is_cached, part_key, reduced_part
from fea.core.plan import PartPlan
from fea.core.reduction import ReducedPart, Settings
from geometry.errors import InputError
from geometry.parts.shim_pack import ShimPack

SETTINGS = Settings(degree=1, modes=2)
SIZE = 12.0
PLAN = PartPlan(
    name="plate",
    shape=ShimPack(length=40.0, width=20.0, height=10.0),
    material=material(),
    origin=(100.0, -7.3, 0.1),
    contacts=(flat_pad("below", (100.0, 140.0), (-7.3, 12.7), 0.1),),
    patches=(flat_pad("above", (110.0, 120.0), (-2.3, 7.7), 10.1),),
)


@pytest.fixture
def made(tmp_path: Path) -> ReducedPart:
    return reduced_part(PLAN, SIZE, SETTINGS, tmp_path)


def the_file(folder: Path) -> Path:
    (path,) = folder.iterdir()
    return path


def no_mesh(*_: object, **__: object) -> NoReturn:
    pytest.fail("the part was meshed again")


def assert_same(one: ReducedPart, other: ReducedPart) -> None:
    assert np.array_equal(one.mass, other.mass)
    assert one.pads.keys() == other.pads.keys()
    for name, rows in one.pads.items():
        assert np.array_equal(rows, other.pads[name])
    assert np.array_equal(one.shapes, other.shapes)
    assert (one.volume, one.unknowns) == (other.volume, other.unknowns)


def test_a_part_is_meshed_once(
    made: ReducedPart, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert is_cached(PLAN, SIZE, SETTINGS, tmp_path)
    monkeypatch.setattr(cache, "mesh_part", no_mesh)
    assert_same(reduced_part(PLAN, SIZE, SETTINGS, tmp_path), made)


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-2000])


def turn_a_bit(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)


def turn_a_shape(path: Path) -> None:
    """Numbers stay as they are, but are read in another order."""
    content = path.read_bytes()
    assert b"'fortran_order': False" in content
    path.write_bytes(
        content.replace(b"'fortran_order': False", b"'fortran_order': True ")
    )


def empty(path: Path) -> None:
    path.write_bytes(b"")


def scribble(path: Path) -> None:
    path.write_text("not an archive", encoding="utf-8")


def foreign_archive(path: Path) -> None:
    with path.open("wb") as file:
        np.savez(file, mass=np.eye(3))


def another_part(path: Path) -> None:
    """A sound file of another part under this part's name."""
    other = replace(PLAN, shape=ShimPack(length=40.0, width=20.0, height=10.0))
    other = replace(other, material=material(nu=0.2))
    aside = path.parent.with_name("aside")
    reduced_part(other, SIZE, SETTINGS, aside)
    path.write_bytes(the_file(aside).read_bytes())


def plain_array(path: Path) -> None:
    with path.open("wb") as file:
        np.save(file, np.eye(3))


def pickled(path: Path) -> None:
    with path.open("wb") as file:
        np.savez(file, key=np.array([object()], dtype=object))


@pytest.mark.parametrize(
    "damage",
    [
        cut_short,
        turn_a_bit,
        turn_a_shape,
        empty,
        scribble,
        foreign_archive,
        another_part,
        plain_array,
        pickled,
    ],
)
def test_a_file_that_is_not_sound_is_made_anew(
    damage: Callable[[Path], None], made: ReducedPart, tmp_path: Path
) -> None:
    folder = tmp_path / "cache"
    assert_same(reduced_part(PLAN, SIZE, SETTINGS, folder), made)
    path = the_file(folder)
    sound = path.stat().st_size
    damage(path)
    assert_same(reduced_part(PLAN, SIZE, SETTINGS, folder), made)
    assert the_file(folder).stat().st_size == sound
    assert_same(reduced_part(PLAN, SIZE, SETTINGS, folder), made)


def test_a_crash_while_writing_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object) -> NoReturn:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", stop)
        with pytest.raises(KeyboardInterrupt):
            reduced_part(PLAN, SIZE, SETTINGS, tmp_path)
    assert list(tmp_path.iterdir()) == []
    assert not is_cached(PLAN, SIZE, SETTINGS, tmp_path)


def moved(plan: PartPlan) -> PartPlan:
    """The same part elsewhere, with the round-off that moving pads leaves."""
    shift = np.array([-33.3, 0.7, 1e3])
    return replace(
        plan,
        origin=tuple(float(c) for c in np.add(plan.origin, shift)),
        contacts=tuple(pad.moved(shift) for pad in plan.contacts),
        patches=tuple(pad.moved(shift) for pad in plan.patches),
    )


@pytest.mark.parametrize(
    "same",
    [
        replace(PLAN, name="another"),
        replace(PLAN, material=material(modulus=70_000.0)),
        replace(PLAN, material=material(density_kg_m3=2700.0)),
        moved(PLAN),
    ],
    ids=["name", "modulus", "density", "place"],
)
def test_what_only_moves_or_scales_a_part_keeps_its_key(same: PartPlan) -> None:
    assert part_key(same, SIZE, SETTINGS) == part_key(PLAN, SIZE, SETTINGS)


@pytest.mark.parametrize(
    "other",
    [
        replace(PLAN, shape=replace(PLAN.shape, height=10.001)),
        replace(PLAN, material=material(nu=0.29)),
        replace(PLAN, patches=()),
        replace(PLAN, contacts=PLAN.patches, patches=PLAN.contacts),
        replace(PLAN, patches=(PLAN.patches[0].moved((0.01, 0.0, 0.0)),)),
        replace(PLAN, patches=(replace(PLAN.patches[0], window=(1.0, 1.0)),)),
    ],
    ids=["dimension", "nu", "fewer pads", "roles", "pad moved", "window"],
)
def test_what_changes_the_reduction_changes_the_key(other: PartPlan) -> None:
    assert part_key(other, SIZE, SETTINGS) != part_key(PLAN, SIZE, SETTINGS)


def test_fineness_changes_the_key() -> None:
    keys = {
        part_key(PLAN, SIZE, SETTINGS),
        part_key(PLAN, SIZE + 0.5, SETTINGS),
        part_key(PLAN, SIZE, replace(SETTINGS, degree=2)),
        part_key(PLAN, SIZE, replace(SETTINGS, modes=3)),
    }
    assert len(keys) == 4


def test_a_cache_that_cannot_be_written_is_said_in_one_message(tmp_path: Path) -> None:
    blocked = tmp_path / "not a folder"
    blocked.write_text("")
    with pytest.raises(InputError, match=r"not a folder/cache: .* cannot be written"):
        reduced_part(PLAN, SIZE, SETTINGS, blocked / "cache")

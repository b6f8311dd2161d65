"""STEP files hold the solids that were built: names, millimetres, nothing moved."""

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from stack_parts import SAMPLES

from geometry.errors import MeshError
from geometry.kernel import gmsh_model
from geometry.step_file import PlacedShape, write_step

# What a file must keep of a size or a volume; it has fifteen digits.
KEPT = 1e-6
ORIGIN = (12.0, -34.0, 56.0)


def placed(name: str, origin: tuple[float, float, float] = ORIGIN) -> PlacedShape:
    return PlacedShape(name=name, shape=SAMPLES[name].shape, origin=origin)


def bounds(gmsh: Any) -> list[np.ndarray]:
    """Corners of each solid's box. The kernel widens them by its tolerance."""
    gmsh.model.occ.synchronize()
    solids = gmsh.model.getEntities(3)
    return [np.array(gmsh.model.occ.getBoundingBox(*solid)) for solid in solids]


def built(part: PlacedShape) -> np.ndarray:
    with gmsh_model("built") as gmsh:
        volume = part.shape.build()
        gmsh.model.occ.translate([(3, volume)], *part.origin)
        return bounds(gmsh)[0]


@pytest.mark.parametrize("name", SAMPLES)
def test_a_part_read_back_has_its_volume_its_place_and_its_name(
    tmp_path: Path, name: str
) -> None:
    part = placed(name)
    path = tmp_path / "part.step"
    write_step(path, "alone", [part])
    with gmsh_model("read") as gmsh:
        gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
        solids = gmsh.model.occ.importShapes(str(path))
        assert [dim for dim, _ in solids] == [3]
        volume = gmsh.model.occ.getMass(*solids[0])
        box = bounds(gmsh)[0]
        assert gmsh.model.getEntityName(*solids[0]).endswith(name)
    assert volume == pytest.approx(part.shape.volume, rel=KEPT)
    size = np.ptp(box.reshape(2, 3), axis=0)
    assert np.abs(box - built(part)).max() < KEPT * size.min()


def test_an_assembly_names_itself_and_every_solid(tmp_path: Path) -> None:
    path = tmp_path / "stack.step"
    names = ("top slide", "post body", "tool bit")
    write_step(path, "the stack", [placed(name) for name in names])
    with gmsh_model("read") as gmsh:
        gmsh.model.occ.importShapes(str(path))
        gmsh.model.occ.synchronize()
        solids = gmsh.model.getEntities(3)
        read = [gmsh.model.getEntityName(*solid) for solid in solids]
    assert [name.rsplit("/", 1)[-1] for name in read] == list(names)
    assert all("the stack" in name for name in read)


def test_a_file_says_that_it_is_in_millimetres_whatever_was_written_before(
    tmp_path: Path,
) -> None:
    with gmsh_model("metres") as gmsh:
        gmsh.option.setString("Geometry.OCCTargetUnit", "M")
        gmsh.model.occ.addBox(0.0, 0.0, 0.0, 1.0, 1.0, 1.0)
        gmsh.model.occ.synchronize()
        gmsh.write(str(tmp_path / "metres.step"))
    path = tmp_path / "part.step"
    write_step(path, "alone", [placed("moving flank")])
    units = re.findall(r"LENGTH_UNIT\(\).*?SI_UNIT\((.*?)\)", path.read_text())
    assert units
    assert set(units) == {".MILLI.,.METRE."}


def test_writing_leaves_standard_output_to_its_owner(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    write_step(tmp_path / "part.step", "alone", [placed("tool bit")])
    print("mine")
    assert capfd.readouterr().out == "mine\n"


def test_a_file_without_the_kernels_names_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("geometry.step_file.KERNEL_NAME", re.compile("no such name"))
    with pytest.raises(MeshError, match=r"alone: the STEP file names 0 solids, not 1"):
        write_step(tmp_path / "part.step", "alone", [placed("tool bit")])

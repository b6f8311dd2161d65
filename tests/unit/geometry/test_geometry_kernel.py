"""The Gmsh session: says what to install, and always closes behind itself."""

import ctypes
import subprocess
import sys
from threading import Thread

import pytest
from stack_parts import SAMPLES

from geometry.errors import SetupError
from geometry.kernel import GmshError, gmsh_model
from geometry.libraries import (
    DEBIAN_PACKAGES,
    PICTURE_LIBRARIES,
    require_libraries,
)
from geometry.mesher import mesh_part

REAL_LOADER = ctypes.CDLL


def loader_without(missing: str):
    def load(name: str) -> ctypes.CDLL:
        if name == missing:
            message = f"{name}: cannot open shared object file"
            raise OSError(message)
        return REAL_LOADER(None)

    return load


def test_missing_library_is_named_with_the_packages_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(ctypes, "CDLL", loader_without("libGLU.so.1"))
    with pytest.raises(SetupError) as refusal:
        mesh_part(SAMPLES["tool bit"].shape, [], 8.0, name="tool")
    text = str(refusal.value)
    assert "missing system libraries: libGLU.so.1." in text
    for package in DEBIAN_PACKAGES:
        assert package in text
    assert "\n" not in text


def test_picture_libraries_are_asked_for_separately(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(ctypes, "CDLL", loader_without("libEGL.so.1"))
    require_libraries()
    with pytest.raises(SetupError, match=r"libEGL\.so\.1"):
        require_libraries(PICTURE_LIBRARIES)


def test_importing_geometry_does_not_import_gmsh() -> None:
    code = "import sys, geometry.mesher; sys.exit('gmsh' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_session_closes_after_a_failure() -> None:
    with pytest.raises(ZeroDivisionError), gmsh_model("first"):
        _ = 1 / 0
    with gmsh_model("second") as gmsh:
        assert gmsh.model.list()[-1] == "second"
        assert not gmsh.model.getEntities()
    assert not gmsh.isInitialized()


def test_failure_of_gmsh_names_the_part() -> None:
    with pytest.raises(GmshError, match=r"post\.body: "), gmsh_model("post.body") as g:
        g.model.occ.getMass(3, 99)


def test_session_works_off_the_main_thread() -> None:
    volumes = []

    def mesh() -> None:
        shape = SAMPLES["moving flank"].shape
        volumes.append(mesh_part(shape, [], 16.0, name="flank").volume)

    worker = Thread(target=mesh)
    worker.start()
    worker.join()
    assert volumes == pytest.approx([SAMPLES["moving flank"].shape.volume])

import numpy as np
import pytest
from block_mesh import block_mesh, flat_pad, material
from part_energy import mesh_energy

from fea.core.mesh_error import SHOWN
from fea.core.part_loads import patch_load
from fea.core.reduction import Settings, reduce_part
from geometry.pad import Pad

SIZES = (40.0, 25.0, 15.0)
NU = material().poissons_ratio
TOP = flat_pad("top", (0.0, 20.0), (0.0, 25.0), 15.0)
BOTTOM = Pad(
    name="bottom",
    centre=(10.0, 12.5, 0.0),
    first=(1.0, 0.0, 0.0),
    second=(0.0, 1.0, 0.0),
    half_sizes=(10.0, 12.5),
)
PADS = (TOP, BOTTOM)


def test_a_reduced_part_knows_what_its_mesh_misses_under_any_load() -> None:
    mesh = block_mesh(SIZES, (4, 4, 2), PADS)
    reduced = reduce_part(mesh, PADS, (), NU, Settings(degree=3, modes=4))
    push = np.array([0.0, 0.0, 900.0])
    loads = {"top": patch_load(TOP, push), "bottom": patch_load(BOTTOM, -push)}
    found = mesh_energy(mesh, PADS, loads, NU)
    bent = sum(reduced.pads[name][:3].T @ load for name, load in loads.items())
    assert isinstance(bent, np.ndarray)
    elastic = bent[: reduced.n_elastic]
    still = elastic[: len(reduced.missed)]
    # A load at rest moves no more than the static vectors; solver's residual.
    assert still @ still == pytest.approx(elastic @ elastic, rel=1e-9)
    assert elastic @ elastic == pytest.approx(found.energy, rel=1e-9)
    # A difference of energies, 1e-2 of them.
    assert still @ reduced.missed @ still == pytest.approx(found.missed, rel=1e-6)


def test_no_load_misses_less_than_nothing_or_more_than_all() -> None:
    mesh = block_mesh(SIZES, (4, 2, 2), PADS)
    reduced = reduce_part(mesh, PADS, (), NU, Settings(degree=4, modes=0))
    lowest, *_, highest = np.linalg.eigvalsh(reduced.missed)
    # Nothing but round-off below: a bending with linear stress is not missed at all.
    assert lowest > -1e-9
    # For modulus 1 twice the energy of every static vector is 1.
    assert 0.1 < highest < 1.0 / SHOWN

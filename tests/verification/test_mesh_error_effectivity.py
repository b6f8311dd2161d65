"""Estimate of what a mesh misses, against errors that are known otherwise.

Sources: at a square inner edge the displacement grows with the power 0.5445 of the
distance (Williams, J. Appl. Mech. 19 (1952) 526; number from memory), so the energy
missed falls with the size's power 2 x 0.5445 on meshes of one size; on a smooth field
quadratic elements miss energy with the fourth power (Strang and Fix, An Analysis of the
Finite Element Method, 1973). Effectivity is estimate over true error, of the energy and
so of the tip's motion; the case file's key promises it from a half to two. At the rim
of a clamped face the power is 0.711 for Poisson's ratio 0.3 (Williams, the same paper;
number from memory).
"""

from itertools import pairwise

import numpy as np
import pytest
from block_mesh import block_mesh, end_pad, material, on_plane, part_mesh
from held_bar import held_bar
from part_energy import PartEnergy, mesh_energy
from skfem import MeshTet

from fea.core.elasticity import node_points, quadratic_mesh
from fea.core.factor import Factor
from fea.core.mesh_error import missed_energy
from fea.core.pad_functions import PadFunctions
from fea.core.part_loads import patch_load
from fea.core.solid import stiffness_and_mass
from fea.core.stack import Stack
from geometry.pad import FloatArray, Pad

NU = 0.3
INNER_EDGE = 2.0 * 0.5445
CLAMPED_EDGE = 2.0 * 0.711
LEG = 20.0  # width of the angle's legs, which are twice as long [mm]
ENDS = (
    Pad(
        name="one",
        centre=(2.0 * LEG, LEG / 2.0, LEG / 2.0),
        first=(0.0, 1.0, 0.0),
        second=(0.0, 0.0, 1.0),
        half_sizes=(LEG / 2.0, LEG / 2.0),
    ),
    Pad(
        name="other",
        centre=(LEG / 2.0, 2.0 * LEG, LEG / 2.0),
        first=(0.0, 0.0, 1.0),
        second=(1.0, 0.0, 0.0),
        half_sizes=(LEG / 2.0, LEG / 2.0),
    ),
)


def effectivities(found: list[PartEnergy], true: float) -> list[float]:
    return [one.missed / (true - one.energy) for one in found]


def extrapolated(found: list[PartEnergy], order: float) -> float:
    """Energy without error from the two finest of meshes that are halved."""
    last, finest = (one.energy for one in found[-2:])
    return finest + (finest - last) / (2.0**order - 1.0)


def angle(cells: int) -> PartEnergy:
    """An angle whose ends are pulled apart; `cells` across a leg."""
    across = np.linspace(0.0, 2.0 * LEG, 2 * cells + 1)
    whole = MeshTet.init_tensor(across, across, np.linspace(0.0, LEG, cells + 1))
    middle = whole.p[:, whole.t].mean(axis=1)
    kept = whole.restrict(np.flatnonzero((middle[:2] < LEG).any(axis=0)))
    mesh = part_mesh(kept.p.T.copy(), kept.t.T.astype(np.int64), ENDS)
    # Along the line through the middles of the ends, so it is in balance.
    pull = np.array([1000.0, -1000.0, 0.0])
    loads = {
        "one": patch_load(ENDS[0], pull),
        "other": patch_load(ENDS[1], -pull),
    }
    return mesh_energy(mesh, ENDS, loads, NU)


@pytest.fixture(scope="module")
def angles() -> list[PartEnergy]:
    return [angle(cells) for cells in (1, 2, 4, 8)]


def test_an_inner_edge_does_not_spoil_the_estimate(angles: list[PartEnergy]) -> None:
    true = extrapolated(angles, INNER_EDGE)
    assert angles[0].missed > 0.1 * true  # a coarse mesh, far from convergence
    for found in effectivities(angles, true):
        # What is promised is 0.5 to 2; measured 0.78 to 1.02.
        assert 0.7 < found < 1.2


def test_at_an_inner_edge_the_estimate_falls_as_the_error_does(
    angles: list[PartEnergy],
) -> None:
    one, other = angles[-2:]
    # What falls faster, away from the edge, is still seen on these meshes: 0.05.
    assert np.log2(one.missed / other.missed) == pytest.approx(INNER_EDGE, abs=0.12)


def clamped_bar(cells: int) -> PartEnergy:
    """Cantilever held all over its root face, sheared at its end."""
    sizes = (60.0, 20.0, 20.0)
    tip = end_pad("tip", sizes, sizes[0])
    made = block_mesh(sizes, (3 * cells, cells, cells), (tip,))
    mesh = quadratic_mesh(made)
    stiffness, mass = stiffness_and_mass(mesh, NU)
    free = np.ones((mass.shape[0], 3), dtype=bool)
    free[on_plane(mesh, 0, 0.0)] = False
    kept = free.ravel()
    rows = PadFunctions(tip, 0).displacement_moments(mesh, made.pads["tip"])
    load = rows[[1]].toarray()[0]
    moved = np.zeros((len(load), 1))
    moved[kept] = Factor(stiffness[kept][:, kept].tocsr()).solve(load[kept, None])
    energy = load[None] @ moved
    missed = missed_energy(mesh, moved, energy, NU)
    return PartEnergy(unknowns=len(load), energy=energy.item(), missed=missed.item())


def test_a_cantilevers_estimate_is_its_error() -> None:
    found = [clamped_bar(cells) for cells in (1, 2, 4, 8)]
    true = extrapolated(found, CLAMPED_EDGE)
    for effectivity in effectivities(found, true):
        # Promised are 0.5 to 2; stress has no jump at the clamped face, so this is the
        # problem of which it shows least: measured 0.58 to 0.72.
        assert 0.5 < effectivity < 1.0


def test_a_slender_bars_estimate_is_its_error() -> None:
    """Held and loaded as beam theory holds it: no edge is singular."""
    sizes, made_of = (100.0, 10.0, 10.0), material()
    # Its own error is a hundredth of the finer of the two meshes that are looked at.
    true = along_z(held_bar(sizes, (24, 3, 3), made_of))[0]
    for counts in ((4, 1, 1), (8, 1, 1)):
        motion, missed = along_z(held_bar(sizes, counts, made_of))
        # Promised are 0.5 to 2; measured 1.66 and 1.52.
        assert 1.0 < missed / (true - motion) < 1.9


def along_z(bar: Stack) -> tuple[float, float]:
    """Motion of the tip under 1 N across the bar, and what its mesh misses. [mm]."""
    (part,) = bar.parts
    state = bar.respond(bar.tip_rows[2])
    bent = state[: len(part.reduced.missed)]
    missed = part.material.youngs_modulus_mpa * bent @ part.reduced.missed @ bent
    return float(bar.tip_rows[2] @ state), float(missed)


def interpolated(cells: int) -> tuple[float, float]:
    """Energy and what is missed of it, of a smooth field at the nodes of a block."""
    mesh = quadratic_mesh(block_mesh((2.0, 1.0, 1.0), (2 * cells, cells, cells)))
    x, y, z = node_points(mesh).T
    moved = np.stack([np.sin(x) * y, np.cos(y + z), np.sin(x + 2.0 * z)], axis=1)
    return energy_and_missed(mesh, moved.reshape(-1, 1))


def energy_and_missed(mesh: MeshTet, moved: FloatArray) -> tuple[float, float]:
    stiffness, _ = stiffness_and_mass(mesh, NU)
    energy = moved.T @ (stiffness @ moved)
    return energy.item(), missed_energy(mesh, moved, energy, NU).item()


def test_a_smooth_field_is_missed_with_the_fourth_power_of_the_size() -> None:
    found = [interpolated(cells)[1] for cells in (2, 4, 8)]
    orders = [np.log2(one / other) for one, other in pairwise(found)]
    # Higher powers are still seen on the coarser pair: 0.24, and half of that next.
    assert orders == pytest.approx([4.0, 4.0], abs=0.3)


def test_stress_that_the_mesh_can_carry_is_not_missed() -> None:
    mesh = quadratic_mesh(block_mesh((2.0, 1.0, 1.0), (3, 2, 2)))
    x, y, z = node_points(mesh).T
    moved = np.stack([x * y + z**2, x**2 - y * z, x + 3.0 * y * z], axis=1)
    energy, missed = energy_and_missed(mesh, moved.reshape(-1, 1))
    # Round-off: a difference of energies.
    assert abs(missed) < 1e-12 * energy

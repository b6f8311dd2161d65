import numpy as np
import pytest
from block_mesh import block_mesh, flat_pad, material
from scipy.linalg import eigh

from fea.core.elasticity import quadratic_mesh
from fea.core.reduction import ReducedPart, Settings, reduce_part
from fea.core.solid import stiffness_and_mass

SIZES = (40.0, 25.0, 15.0)
CONTACT = flat_pad("below", (0.0, 40.0), (0.0, 25.0), 0.0)
PATCH = flat_pad("above", (10.0, 20.0), (0.0, 12.5), 15.0)
NU = material().poissons_ratio


def reduced(degree: int, modes: int) -> ReducedPart:
    mesh = block_mesh(SIZES, (4, 4, 2), (CONTACT, PATCH))
    settings = Settings(degree=degree, modes=modes)
    return reduce_part(mesh, (CONTACT,), (PATCH,), NU, settings)


@pytest.mark.parametrize(("degree", "modes"), [(0, 0), (2, 5), (5, 20)])
def test_sizes_of_the_reduced_arrays_agree(degree: int, modes: int) -> None:
    part = reduced(degree, modes)
    count = (degree + 1) * (degree + 2) // 2
    assert part.pads["below"].shape == (3 * count, part.size)
    # Mean and tilt.
    assert part.pads["above"].shape == (9, part.size)
    assert part.shapes.shape == (len(part.points), 3, part.size)
    assert part.size == part.n_elastic + 6
    assert part.n_elastic >= modes


@pytest.mark.parametrize("degree", [0, 3])
def test_a_part_has_the_lowest_modes_it_was_asked_for(degree: int) -> None:
    """Also where it has fewer pad functions than modes, and none that excites them."""
    mesh = block_mesh(SIZES, (4, 4, 2), (CONTACT, PATCH))
    stiffness, mass = stiffness_and_mass(quadratic_mesh(mesh), NU)
    full = np.kron(mass.toarray(), np.eye(3))
    squared = eigh(
        stiffness.toarray(), full, eigvals_only=True, subset_by_index=(6, 6 + 11)
    )
    found = 1.0 / np.linalg.eigvalsh(reduced(degree, 12).mass)[::-1][:12]
    # The iteration stops when squares change by less than 1e-4.
    assert found == pytest.approx(squared, rel=1e-4)


def test_a_part_that_no_one_looks_at_moves_alike() -> None:
    mesh = block_mesh(SIZES, (4, 4, 2), (CONTACT, PATCH))
    seen, unseen = (
        reduce_part(
            mesh,
            (CONTACT,),
            (PATCH,),
            NU,
            Settings(degree=3, modes=0, drawn=drawn, estimated=False),
        )
        for drawn in (True, False)
    )
    assert unseen.size == seen.size
    assert unseen.mass == pytest.approx(seen.mass, rel=1e-12)
    for name, moments in seen.pads.items():
        assert unseen.pads[name] == pytest.approx(moments, rel=1e-12)
    assert unseen.shapes.shape == (0, 3, seen.size)
    assert seen.shapes.shape == (len(seen.points), 3, seen.size)


def test_rigid_motions_carry_the_inertia_of_the_block() -> None:
    part = reduced(2, 5)
    volume = np.prod(SIZES)
    assert part.volume == pytest.approx(volume, rel=1e-12)
    # A force through r: 1/m of its shift, and (r x e) I^-1 (r x e) of its turn.
    r = np.array(PATCH.centre) - np.array(SIZES) / 2.0
    squares = np.square(SIZES)
    inertia = volume * (squares.sum() - squares) / 12.0
    arms = np.cross(r, np.eye(3))
    expected = np.eye(3) / volume + (arms / inertia) @ arms.T
    rigid = part.pads["above"][:3, part.n_elastic :] / np.sqrt(PATCH.area)
    assert rigid @ rigid.T == pytest.approx(expected, rel=1e-9)


def test_the_flexibility_of_a_pads_mean_is_exact_at_every_degree() -> None:
    means = []
    for degree in (0, 2, 5):
        part = reduced(degree, 0)
        own = part.pads["below"][:3, : part.n_elastic]
        means.append(own @ own.T)
    # The response to the mean is a vector of the basis itself.
    assert means[1] == pytest.approx(means[0], rel=1e-6, abs=1e-9 * means[0].max())
    assert means[2] == pytest.approx(means[0], rel=1e-6, abs=1e-9 * means[0].max())

"""Rough responses of a part are put right, or refused."""

from collections.abc import Callable

import numpy as np
import pytest
import scipy.sparse as sp
from block_mesh import block_mesh, flat_pad

from fea.core import solver
from fea.core.elasticity import quadratic_mesh
from fea.core.free_part import FreePart
from fea.core.pad_functions import PadFunctions
from fea.core.solid import Solid
from fea.core.static_vectors import MISSED, StaticVectors
from geometry.errors import SolveError
from geometry.pad import FloatArray

BELOW = flat_pad("below", (0.0, 40.0), (0.0, 25.0), 0.0)
ABOVE = flat_pad("above", (10.0, 20.0), (0.0, 12.5), 15.0)

# Of the largest displacement: what a solve is made to err by.
ERROR = 0.02

Answer = Callable[[FloatArray], FloatArray]


@pytest.fixture(scope="module")
def solid() -> Solid:
    return Solid(quadratic_mesh(block_mesh((40.0, 25.0, 15.0), (8, 4, 4))), 0.3)


@pytest.fixture(scope="module")
def loads() -> sp.csr_matrix:
    """Of 63 functions on one pad and 9 on the other."""
    mesh = block_mesh((40.0, 25.0, 15.0), (8, 4, 4), (BELOW, ABOVE))
    quadratic = quadratic_mesh(mesh)
    rows = [
        PadFunctions(pad, degree).displacement_moments(quadratic, mesh.pads[pad.name])
        for pad, degree in ((BELOW, 5), (ABOVE, 1))
    ]
    return sp.vstack(rows).tocsr()


def compliance(part: FreePart, rows: sp.csr_matrix) -> FloatArray:
    """Of the loads, by the vectors that are made of a part's answers."""
    moved = rows @ written(part, rows)
    return np.asarray(moved @ moved.T)


def written(part: FreePart, rows: sp.csr_matrix) -> FloatArray:
    vectors = StaticVectors(part, rows)
    out = np.empty((rows.shape[1], vectors.count), order="F")
    vectors.write(out)
    return out


def spoilt(
    part: FreePart, monkeypatch: pytest.MonkeyPatch, spoil: Callable[[Answer], Answer]
) -> FreePart:
    """A part whose solver errs, before what is rigid is taken away."""
    chosen = part._solver
    monkeypatch.setattr(chosen, "solve", spoil(chosen.solve))
    return part


def missed(found: FloatArray, exact: FloatArray) -> float:
    """Largest share of the compliance of any mixture of loads."""
    values, turned = np.linalg.eigh(exact)
    unit = turned / np.sqrt(values)
    return float(np.abs(np.linalg.eigvalsh(unit.T @ (found - exact) @ unit)).max())


def exact(solid: Solid, rows: sp.csr_matrix) -> FloatArray:
    return np.asarray(rows @ FreePart(solid, loads=100).respond(rows.T.tocsc()))


def test_single_precision_gives_what_double_precision_gives(
    solid: Solid, loads: sp.csr_matrix
) -> None:
    single = FreePart(solid, 100, np.float32)
    plain = np.asarray(loads @ single.respond(loads.T.tocsc()))
    right = exact(solid, loads)
    error = missed(compliance(single, loads), right)
    assert error < MISSED / 100
    # Without what this file is about.
    assert missed((plain + plain.T) / 2, right) > 10 * error


def test_two_levels_give_what_a_factor_gives(
    solid: Solid, loads: sp.csr_matrix, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also for what is left of a load, which is a billionth of it."""
    few = loads[:12]
    right = exact(solid, few)
    monkeypatch.setattr(solver, "UNKNOWNS_PER_LOAD", 1)
    assert missed(compliance(FreePart(solid, 12, np.float32), few), right) < 1e-8


def test_vectors_are_orthonormal_in_the_stiffness(
    solid: Solid, loads: sp.csr_matrix
) -> None:
    out = written(FreePart(solid, 100, np.float32), loads)
    energy = out.T @ (solid.stiffness() @ out)
    assert energy == pytest.approx(np.eye(loads.shape[0]), abs=1e-9)


def test_a_load_twice_is_one_vector(solid: Solid, loads: sp.csr_matrix) -> None:
    twice = sp.vstack([loads, 3.0 * loads[:5]]).tocsr()
    part = FreePart(solid, 100, np.float32)
    assert StaticVectors(part, twice).count == loads.shape[0]


def test_errors_in_a_few_shapes_are_put_right(
    solid: Solid, loads: sp.csr_matrix, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Along bends and twists, as round-off errs, whose energy is the least."""
    x, y, z = solid.points.T
    bends = np.array([x * x, x * y, y * y, y * z, z * z, z * x])
    shapes = np.kron(bends.T, np.eye(3))
    shapes /= np.linalg.norm(shapes, axis=0)

    def along_shapes(answer: Answer) -> Answer:
        def erring(given: FloatArray) -> FloatArray:
            found = answer(given)
            weights = np.random.default_rng(6).standard_normal((18, found.shape[1]))
            return found + ERROR * np.linalg.norm(found, axis=0) * (shapes @ weights)

        return erring

    part = spoilt(FreePart(solid, 100), monkeypatch, along_shapes)
    raw = np.asarray(loads @ part.respond(loads.T.tocsc()))
    right = exact(solid, loads)
    assert missed((raw + raw.T) / 2, right) > 1e-3
    assert missed(compliance(part, loads), right) < MISSED


def test_answers_that_never_get_right_are_refused(
    solid: Solid, loads: sp.csr_matrix, monkeypatch: pytest.MonkeyPatch
) -> None:
    def at_random(answer: Answer) -> Answer:
        random = np.random.default_rng(7)

        def erring(given: FloatArray) -> FloatArray:
            found = answer(given)
            noise = random.standard_normal(found.shape)
            return found + 0.5 * np.abs(found).max(axis=0) * noise

        return erring

    part = spoilt(FreePart(solid, 100), monkeypatch, at_random)
    with pytest.raises(SolveError, match=r"missed more than .* numerics\.mesh_size"):
        StaticVectors(part, loads)


def test_answers_that_are_no_numbers_are_refused(
    solid: Solid, loads: sp.csr_matrix, monkeypatch: pytest.MonkeyPatch
) -> None:
    part = spoilt(
        FreePart(solid, 100), monkeypatch, lambda answer: lambda x: answer(x) * np.nan
    )
    with pytest.raises(SolveError, match=f"{len(solid.rigid)} unknowns has a singular"):
        StaticVectors(part, loads)

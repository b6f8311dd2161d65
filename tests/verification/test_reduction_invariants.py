"""A reduced part does not depend on how its mesh lies in space, nor on what pins it.

Source: a part is the same part however it is turned. Turning the points of one mesh
changes only round-off; a factor of single precision, put right, leaves 1e-9 to 1e-8 of
the compliance. Meshing the turned part gives another mesh, which may differ by the
error of the mesh itself, a few % here, less what both meshes miss alike: 0.15 % and,
for the squared frequencies, 0.2 % were measured. Inertia relief: the response to a
load is the only displacement that balances load and inertia and has no rigid motion.
"""

import numpy as np
import pytest
from block_mesh import block_mesh, part_mesh

from fea.analysis.build import QUICK_CHANGE, plan_stack
from fea.case.schema import Case
from fea.core.elasticity import inertia, quadratic_mesh
from fea.core.free_part import FreePart
from fea.core.plan import PartPlan
from fea.core.reduction import ReducedPart, Settings, reduce_part
from fea.core.solid import Solid
from geometry.mesh import PartMesh
from geometry.mesher import mesh_part
from geometry.pad import FloatArray

SETTINGS = Settings(degree=2, modes=6)
FREQUENCIES = 6


def rotation() -> FloatArray:
    """A turn about no axis in particular."""
    turned, _ = np.linalg.qr(np.random.default_rng(3).standard_normal((3, 3)))
    return np.asarray(turned * np.sign(np.linalg.det(turned)))


@pytest.fixture(scope="module")
def plan(coarse_case: Case) -> PartPlan:
    parts = plan_stack(coarse_case, QUICK_CHANGE).parts
    return next(part for part in parts if part.name == "holder")


def meshed(plan: PartPlan, case: Case, turn: FloatArray | None) -> PartMesh:
    pads = [*plan.own(plan.contacts), *plan.own(plan.patches)]
    size = case.numerics.mesh_size / 1.5
    return mesh_part(plan.shape, pads, size, name=plan.name, rotation=turn)


def reduced(plan: PartPlan, mesh: PartMesh, turn: FloatArray | None) -> ReducedPart:
    own = [plan.own(pads) for pads in (plan.contacts, plan.patches)]
    if turn is not None:
        own = [tuple(pad.turned(turn) for pad in pads) for pads in own]
    return reduce_part(mesh, *own, plan.material.poissons_ratio, SETTINGS)


def flexibility(part: ReducedPart, functions: int) -> FloatArray:
    """Motion of all pads' lowest functions under forces on them, in the pads' axes."""
    rows = [pad[: 3 * functions, : part.n_elastic] for pad in part.pads.values()]
    stacked = np.vstack(rows)
    return np.asarray(stacked @ stacked.T)


def squared_periods(part: ReducedPart) -> FloatArray:
    return np.linalg.eigvalsh(part.mass)[::-1][:FREQUENCIES]


def test_turning_the_mesh_changes_nothing(plan: PartPlan, coarse_case: Case) -> None:
    turn = rotation()
    mesh = meshed(plan, coarse_case, None)
    pads = tuple(p.turned(turn) for p in plan.own(plan.contacts + plan.patches))
    turned = part_mesh(mesh.points @ turn.T, mesh.tetrahedra, pads)
    one, other = reduced(plan, mesh, None), reduced(plan, turned, turn)
    expected = flexibility(one, 3)
    error = np.abs(flexibility(other, 3) - expected).max()
    assert error < 1e-7 * np.abs(expected).max()
    # Where the iteration on the modes stops, 1e-4, depends on round-off.
    assert squared_periods(other) == pytest.approx(squared_periods(one), rel=1e-5)


def test_meshing_the_turned_part_gives_the_same_numbers(
    plan: PartPlan, coarse_case: Case
) -> None:
    turn = rotation()
    one = reduced(plan, meshed(plan, coarse_case, None), None)
    other = reduced(plan, meshed(plan, coarse_case, turn), turn)
    expected = flexibility(one, 1)
    error = np.abs(flexibility(other, 1) - expected).max()
    assert error < 5e-3 * np.abs(expected).max()
    assert squared_periods(other) == pytest.approx(squared_periods(one), rel=5e-3)


def test_the_response_of_a_free_part_balances_its_load() -> None:
    solid = Solid(quadratic_mesh(block_mesh((40.0, 30.0, 20.0), (4, 3, 2))), 0.3)
    rigid = solid.rigid
    loads = np.random.default_rng(2).standard_normal((len(rigid), 3))
    found = FreePart(solid, loads=40).respond(loads)
    momentum = inertia(solid.mass, rigid)
    balanced = loads - momentum @ np.linalg.solve(rigid.T @ momentum, rigid.T @ loads)
    left = np.abs(solid.stiffness() @ found - balanced).max()
    # The solver refines to 1e-8 of the load.
    assert left < 1e-7 * np.abs(balanced).max()
    carried = np.abs(momentum.T @ found).max(axis=1)
    scale = np.abs(momentum).sum(axis=0) * np.abs(found).max()
    assert np.all(carried < 1e-9 * scale)


def test_the_response_does_not_depend_on_the_pinned_nodes() -> None:
    block = block_mesh((40.0, 30.0, 20.0), (4, 3, 2))
    found = []
    # Seen in a mirror, other corners are the far ones.
    for mirror in (np.ones(3), np.array([1.0, -1.0, 1.0])):
        points, tetrahedra = block.points * mirror, block.tetrahedra
        solid = Solid(quadratic_mesh(part_mesh(points, tetrahedra, ())), 0.3)
        loads = np.random.default_rng(2).standard_normal((3 * solid.n_node, 3))
        seen = np.tile(mirror, solid.n_node)[:, None]
        found.append(seen * FreePart(solid, loads=40).respond(seen * loads))
    assert np.abs(found[1] - found[0]).max() < 1e-8 * np.abs(found[0]).max()

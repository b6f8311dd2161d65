import sys
from pathlib import Path
from subprocess import run

import numpy as np
import psutil
import pytest
from block_mesh import block_mesh, irregular
from skfem import MeshTet

from fea.core import solver as chosen
from fea.core.elasticity import node_points, quadratic_mesh
from fea.core.factor import NO_UNKNOWNS, DirectPlan, Factor, plan_direct
from fea.core.free_part import FreePart
from fea.core.multigrid import Multigrid, plan_iterative
from fea.core.solid import Solid
from fea.core.solver import FactoredSolid, solver_for
from geometry.errors import SolveError

MANY, FEW = 10_000, 3

# Half the machine's memory is more than any of these needs, a kilobyte less.
AMPLE, NOTHING = psutil.virtual_memory().total / 2, 1e3


def block(cells: tuple[int, int, int] = (6, 5, 4)) -> MeshTet:
    shift = 4.0 / cells[0]  # a tenth of a cell
    return quadratic_mesh(irregular(block_mesh((40.0, 30.0, 20.0), cells), shift))


def held_block(cells: tuple[int, int, int] = (6, 5, 4)) -> Solid:
    """A block with one end held."""
    mesh = block(cells)
    return Solid(mesh, 0.3, held=node_points(mesh)[:, 0] <= 0.0)


def loads_on(solid: Solid, count: int) -> np.ndarray:
    return np.random.default_rng(3).standard_normal((3 * solid.n_node, count))


def factored(solid: Solid) -> DirectPlan:
    return plan_direct(solid.stiffness().tocsr(), solid.held_unknowns)


def room(monkeypatch: pytest.MonkeyPatch, amount: float) -> None:
    monkeypatch.setattr(chosen, "usable_bytes", lambda: amount)


def test_both_ways_agree_on_a_held_block() -> None:
    solid = held_block()
    loads = loads_on(solid, 20)  # more than one block of the iterative solver
    direct = Factor(factored(solid)).solve(loads)
    iterative = plan_iterative(solid, NO_UNKNOWNS).make().solve(loads)
    assert np.abs(iterative - direct).max() < 1e-8 * np.abs(direct).max()
    assert not iterative[solid.held_unknowns].any()


def test_both_ways_agree_on_a_floating_block(monkeypatch: pytest.MonkeyPatch) -> None:
    solid = Solid(block(), 0.3)
    loads = loads_on(solid, 4)
    room(monkeypatch, AMPLE)
    parts = [FreePart(solid, count) for count in (MANY, FEW)]
    direct, iterative = (part.respond(loads) for part in parts)
    assert np.abs(iterative - direct).max() < 1e-8 * np.abs(direct).max()
    direct, iterative = (part.times(loads) for part in parts)
    assert np.abs(iterative - direct).max() < 1e-12 * np.abs(direct).max()


def test_a_load_of_nothing_moves_nothing() -> None:
    solid = held_block()
    loads = loads_on(solid, 2)
    loads[:, 1] = 0.0
    found = plan_iterative(solid, NO_UNKNOWNS).make().solve(loads)
    assert not found[:, 1].any()
    assert found[~np.repeat(solid.held, 3), 0].all()


def test_mesh_size_costs_no_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = []
    for cells in ((4, 3, 2), (8, 6, 4), (16, 12, 8)):
        solid = held_block(cells)
        made = plan_iterative(solid, NO_UNKNOWNS).make()
        steps.append(counted(made, loads_on(solid, 1), monkeypatch))
    # Without the corners' level they would double with every halving of the cells.
    assert steps[-1] < 1.4 * steps[0]


def counted(made: Multigrid, loads: np.ndarray, monkeypatch: pytest.MonkeyPatch) -> int:
    calls = []
    once = made.precondition

    def counting(residual: np.ndarray) -> np.ndarray:
        calls.append(1)
        return once(residual)

    monkeypatch.setattr(made, "precondition", counting)
    made.solve(loads)
    return len(calls)


def test_many_loads_get_a_factor_and_few_two_levels(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    solid = held_block()
    room(monkeypatch, AMPLE)
    assert isinstance(solver_for(solid, NO_UNKNOWNS, MANY), FactoredSolid)
    monkeypatch.setattr(chosen, "UNKNOWNS_PER_LOAD", 10)
    assert isinstance(solver_for(solid, NO_UNKNOWNS, FEW), Multigrid)


def test_little_memory_switches_to_two_levels(monkeypatch: pytest.MonkeyPatch) -> None:
    solid = held_block()
    iterative = plan_iterative(solid, NO_UNKNOWNS).peak_bytes
    between = (iterative + factored(solid).peak_bytes) / 2.0
    assert iterative < between
    room(monkeypatch, between)
    assert isinstance(solver_for(solid, NO_UNKNOWNS, MANY), Multigrid)


def test_too_little_memory_is_refused_in_numbers(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    solid = held_block()
    room(monkeypatch, NOTHING)
    wanted = rf"{3 * solid.n_node} unknowns need .* GB.*numerics.mesh_size larger"
    with pytest.raises(SolveError, match=wanted):
        solver_for(solid, NO_UNKNOWNS, MANY)


def test_a_part_too_slender_for_single_precision_is_factored_in_double(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    room(monkeypatch, AMPLE)
    rod = Solid(quadratic_mesh(block_mesh((400.0, 1.0, 1.0), (100, 1, 1))), 0.3)
    # The softest bending is some 1e9 times as soft as an element: below round-off.
    assert precisions_differ_by(rod) == 0.0
    assert precisions_differ_by(Solid(block(), 0.3)) > np.finfo(np.float32).eps


def precisions_differ_by(solid: Solid) -> float:
    """Difference, over the largest displacement, of a free body drawn out evenly."""
    stretched = np.zeros((3 * solid.n_node, 1))
    stretched[::3, 0] = solid.points[:, 0]
    loads = solid.stiffness() @ stretched
    single, double = (
        FreePart(solid, MANY, precision).respond(loads)
        for precision in (np.float32, np.float64)
    )
    return float(np.abs(single - double).max() / np.abs(double).max())


MEASURE = """
import sys
import numpy as np
from pathlib import Path
from psutil import Process
from test_solver import Solid, block
from fea.core.factor import BLOCK, plan_direct
cells = int(sys.argv[1])
stiffness = Solid(block((cells, cells, cells)), 0.3).stiffness()
# On springs to ground; the pattern is what the memory depends on.
matrix = stiffness.astype(sys.argv[2]).tocsr()
matrix.setdiag(matrix.diagonal() * 1.01)
del stiffness
loads = np.ones((matrix.shape[0], BLOCK), matrix.dtype)
Path("/proc/self/clear_refs").write_text("5")
before = Process().memory_info().rss
plan = plan_direct(matrix)
predicted = plan.peak_bytes
plan.make().once(loads)
status = Path("/proc/self/status").read_text()
highest = int(status.split("VmHWM:")[1].split()[0]) * 1024
print(predicted, highest - before)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="reads the peak from /proc")
@pytest.mark.parametrize("precision", ["float32", "float64"])
@pytest.mark.parametrize("cells", [9, 11, 13])
def test_memory_of_a_factor_is_known_before(cells: int, precision: str) -> None:
    command = [sys.executable, "-c", MEASURE, str(cells), precision]
    here = Path(__file__).parent
    path = ":".join([str(here), str(here.parents[2]), str(here.parents[1])])
    done = run(
        command, capture_output=True, text=True, check=True, env={"PYTHONPATH": path}
    )
    predicted, measured = map(float, done.stdout.split())
    assert measured / 1.5 < predicted < measured * 1.5

"""SfePy on a welded stack: its own assembly, and MKL's PARDISO on both cores.

Its documentation recommends MUMPS, which has no wheel that needs no system library, or
PARDISO. Its own interface takes the matrix for unsymmetric; here it is told better.
"""

from pathlib import Path
from typing import Any

import numpy as np
import scipy.sparse as sp
from sfepy.base.base import output
from sfepy.discrete import (
    Equation,
    Equations,
    FieldVariable,
    Integral,
    Material,
    Problem,
)
from sfepy.discrete.conditions import Conditions, EssentialBC
from sfepy.discrete.fem import FEDomain, Field, Mesh
from sfepy.mechanics.matcoefs import stiffness_from_youngpoisson
from sfepy.terms import Term

from tests.benchmarks.contest import (
    DENSITY_T_MM3,
    LEVEL,
    MODULUS_MPA,
    POISSONS_RATIO,
    Answer,
    design,
    enter,
    lowest_frequencies,
    pardiso,
    tip_points,
)

SOLVER = "MKL PARDISO, symmetric"


def statics(path: Path) -> Answer:
    """Return the compliance of the tip. (3, 3) [mm/N]."""
    matrix, loads = _loaded(path)
    return Answer(loads.T @ pardiso(matrix)(loads), SOLVER)


def modes(path: Path) -> Answer:
    """Return the lowest natural frequencies. [Hz]."""
    stiffness = _matrix(_problem(path, "stiffness")[0])
    mass = _matrix(_problem(path, "mass")[0])
    found = lowest_frequencies(stiffness, mass, pardiso(stiffness))
    return Answer(found, SOLVER + ", Lanczos")


def whole_design(path: Path, newton: int, tangents: int) -> Answer:
    """Return compliance and frequencies as `design` does."""

    def system() -> tuple[Any, Any, np.ndarray]:
        stiffness, loads = _loaded(path)
        return stiffness, _matrix(_problem(path, "mass")[0]), loads

    return design(system, newton, tangents)


def _loaded(path: Path) -> tuple[sp.csr_matrix, np.ndarray]:
    """Stiffness, and unit forces spread over the tip's points. (n, n), (n, 3)."""
    problem, unknown = _problem(path, "stiffness")
    matrix = _matrix(problem)
    near = tip_points(path)
    loads = np.zeros((unknown.n_dof, 3))
    for c in range(3):
        loads[3 * near + c, c] = 1.0 / len(near)
    return matrix, loads[unknown.eq_map.eqi]


def _problem(path: Path, what: str) -> tuple[Any, Any]:
    output.set_output(quiet=True)
    mesh = Mesh.from_file(str(path))
    domain = FEDomain("stack", mesh)
    solid = domain.create_region("Solid", "all")
    level = float(mesh.coors[:, 2].min() + LEVEL)
    base = domain.create_region("Base", f"vertices in (z < {level!r})", "facet")
    field = Field.from_args("u", np.float64, "vector", solid, approx_order=2)
    u = FieldVariable("u", "unknown", field)
    v = FieldVariable("v", "test", field, primary_var_name="u")
    if what == "stiffness":
        moduli = stiffness_from_youngpoisson(3, MODULUS_MPA, POISSONS_RATIO)
        material = Material("m", D=moduli)
        name, order = "dw_lin_elastic(m.D, v, u)", 2
    else:
        material = Material("m", density=DENSITY_T_MM3)
        name, order = "dw_dot(m.density, v, u)", 4
    term = Term.new(name, Integral("i", order=order), solid, m=material, v=v, u=u)
    problem = Problem("stack", equations=Equations([Equation("balance", term)]))
    fixed = EssentialBC("fixed", base, {"u.all": 0.0})
    problem.set_bcs(ebcs=Conditions([fixed]))
    problem.time_update()
    problem.update_materials()
    return problem, u


def _matrix(problem: Any) -> sp.csr_matrix:
    variables = problem.equations.variables
    variables.init_state()
    return problem.equations.eval_tangent_matrices(variables(), problem.mtx_a)


if __name__ == "__main__":
    enter({"statics": statics, "modes": modes, "design": whole_design})

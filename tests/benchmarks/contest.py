"""What every library's program shares: read a job, measure it, print the answer.

A program is run as `python -m tests.benchmarks.run_<library> TASK MESH`, alone in its
process, and prints one line of JSON. The clock starts when everything is imported and
ends with the answer; the memory is the process's highest, imports included.
"""

import json
import resource
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import LinearOperator, eigsh

# One material for all: what steels and irons differ by changes no run time.
MODULUS_MPA, POISSONS_RATIO, DENSITY_T_MM3 = 205_000.0, 0.29, 7.85e-9
MODES = 12

# A node this close to the lowest one stands on the ground. [mm]
LEVEL = 1e-6

Solve = Callable[[np.ndarray], np.ndarray]
Answer = tuple[np.ndarray, str]  # numbers to compare; how they were found


def enter(tasks: Mapping[str, Callable[[Path], Answer]]) -> None:
    """Run the task that the command line names, and print what it took."""
    task, mesh = sys.argv[1], Path(sys.argv[2])
    start, busy = time.perf_counter(), time.process_time()
    answer, solver = tasks[task](mesh)
    result = {
        "seconds": time.perf_counter() - start,
        "cpu_seconds": time.process_time() - busy,
        "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        "answer": np.asarray(answer).ravel().tolist(),
        "solver": solver,
    }
    print(json.dumps(result))


def tip_points(mesh: Path) -> np.ndarray:
    """Return the numbers of the points that carry the load, in the file's order."""
    return np.array(json.loads(mesh.with_suffix(".json").read_text()))


def lowest_frequencies(
    stiffness: sp.sparray, mass: sp.sparray, solve: Solve
) -> np.ndarray:
    """Shift-invert Lanczos, with the library's own factor. (n_mode,) [Hz]."""
    inverse = LinearOperator(stiffness.shape, matvec=solve, dtype=np.float64)
    squared = eigsh(
        stiffness,
        MODES,
        mass,
        sigma=0.0,
        OPinv=inverse,
        return_eigenvectors=False,
        tol=1e-6,
    )
    return np.sqrt(np.sort(squared)) / (2.0 * np.pi)


def pardiso(matrix: sp.sparray) -> Solve:
    """Factor a positive definite matrix by MKL's PARDISO, upper triangle alone."""
    from pypardiso import PyPardisoSolver

    upper = sp.csr_matrix(sp.triu(matrix, format="csr"))
    solver = PyPardisoSolver(mtype=2)
    solver.factorize(upper)
    return lambda loads: solver.solve(upper, np.asfortranarray(loads))

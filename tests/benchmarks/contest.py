"""What every library's program shares: read a job, measure it, print the answer.

A program is run as `python -m tests.benchmarks.run_<library> TASK MESH [COUNT ...]`,
alone in its process, and prints one line of JSON. The clock starts when everything is
imported and ends with the answer; the memory is the highest of the process, imports
included.
"""

import json
import resource
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import LinearOperator, eigsh

# One material for all: what steels and irons differ by changes no run time.
MODULUS_MPA, POISSONS_RATIO, DENSITY_T_MM3 = 205_000.0, 0.29, 7.85e-9
MODES = 12

# A node this close to the lowest one stands on the ground. [mm]
LEVEL = 1e-6

Solve = Callable[[np.ndarray], np.ndarray]


class Answer(NamedTuple):
    """Numbers to compare, how they were found, and what single stages took [CPU s]."""

    numbers: np.ndarray
    solver: str
    stages: Mapping[str, float] = MappingProxyType({})


def enter(tasks: Mapping[str, Callable[..., Answer]]) -> None:
    """Run the task that the command line names, and print what it took."""
    task, mesh, *counts = sys.argv[1:]
    start, busy = time.perf_counter(), time.process_time()
    answer, solver, stages = tasks[task](Path(mesh), *map(int, counts))
    result = {
        "seconds": time.perf_counter() - start,
        "cpu_seconds": time.process_time() - busy,
        "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        "answer": np.asarray(answer).ravel().tolist(),
        "solver": solver,
        "stages": dict(stages),
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


class Pardiso:
    """MKL's PARDISO for one pattern, analysed once; upper triangle, positive definite.

    Its wrapper offers no factor on an analysis that is there, hence the phases.
    """

    ANALYSE, FACTOR, SOLVE = 11, 22, 33

    def __init__(self, matrix: sp.sparray) -> None:
        from pypardiso import PyPardisoSolver

        self._upper = sp.csr_matrix(sp.triu(matrix, format="csr"))
        self._solver = PyPardisoSolver(mtype=2)
        self._run(self.ANALYSE, np.zeros((matrix.shape[0], 1)))

    def factor(self, share: float = 1.0) -> Solve:
        """Factor so many times the matrix; return what solves for loads. (n, k)."""
        self._upper.data *= share
        self._run(self.FACTOR, np.zeros((self._upper.shape[0], 1)))
        return lambda loads: self._run(self.SOLVE, np.asfortranarray(loads))

    def _run(self, phase: int, loads: np.ndarray) -> np.ndarray:
        self._solver.set_phase(phase)
        return self._solver._call_pardiso(self._upper, loads)


def design(
    system: Callable[[], tuple[Any, Any, np.ndarray]], newton: int, tangents: int
) -> Answer:
    """Give a design as often to the factor as joints that lift and slip need it.

    Every step of Newton's method factors a stiffness of other joints for one load, and
    every tangent of the tip one for three. Values change nothing of that work, so the
    matrix is scaled instead; what joints would add to assembly is left out, and the
    pattern is analysed only once. The last factor serves the modes.

    Parameters
    ----------
    system : assembles stiffness (n, n), mass (n, n) and loads (n, 3)
    newton, tangents : how many of each
    """
    clock = Stages()
    stiffness, mass, loads = system()
    clock.end("assembly")
    solver = Pardiso(stiffness)
    clock.end("analysis")
    # There and back, so that the last factor is that of the stiffness itself.
    for share in [2.0, 0.5] * (newton // 2) + [1.0] * (newton % 2):
        solver.factor(share)(loads[:, :1])
    clock.end("newton")
    for share in [2.0, 0.5] * (tangents // 2) + [1.0] * (tangents % 2):
        solve = solver.factor(share)
        moved = solve(loads)
    clock.end("tangents")
    frequencies = lowest_frequencies(stiffness, mass, solve)
    clock.end("modes")
    numbers = np.concatenate([(loads.T @ moved).ravel(), frequencies])
    return Answer(numbers, f"MKL PARDISO, {newton + tangents} factors", clock.spent)


class Stages:
    """Processor time of one stage after the other. [s]."""

    def __init__(self) -> None:
        self.spent: dict[str, float] = {}
        self._before = time.process_time()

    def end(self, name: str) -> None:
        """Write down what was spent since the last stage ended."""
        now = time.process_time()
        self.spent[name], self._before = now - self._before, now


def pardiso(matrix: sp.sparray) -> Solve:
    """Factor a positive definite matrix by MKL's PARDISO."""
    return Pardiso(matrix).factor()

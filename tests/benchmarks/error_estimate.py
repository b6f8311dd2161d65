"""Estimated mesh errors against those found on very fine meshes, part by part.

Run from the project's root, with one BLAS thread if the cores are shared:

    python -m tests.benchmarks.error_estimate [CASE] [--size MM]
        [--levels N] [--steps N]

Every part of both stacks is solved under the tractions that the deepest cut adds, on
`levels` meshes from the case's on, each a step finer, and on one that is `steps` finer.
What is left in that one is extrapolated: between two meshes the error falls as the
estimate does.
Columns: unknowns, twice the strain energy [N mm], estimate and true error as shares of
the tip's motion, and the effectivity, which is one over the other.
"""

import argparse
from pathlib import Path

from fea.analysis.build import default_cache
from fea.analysis.stack_answer import StackAnswer, answer_stacks
from fea.case.case_file import load_case
from fea.core.part_loads import part_loads
from fea.core.plan import PartPlan
from fea.core.stress import Loads
from geometry.units import UM_PER_MM
from tests.part_energy import part_energy

HEAD = "part            steps  unknowns      energy  estimate      true  effect."
CASE = Path("cases/garden_railway.toml")


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("case", nargs="?", type=Path, default=CASE)
    parser.add_argument("--size", type=float, help="mesh size in mm")
    parser.add_argument("--steps", type=int, default=5, help="of the reference")
    parser.add_argument("--levels", type=int, default=1, help="meshes to look at")
    given = parser.parse_args()
    case = load_case(given.case)
    if given.size is not None:
        numerics = case.numerics.model_copy(update={"mesh_size": given.size})
        case = case.model_copy(update={"numerics": numerics})
    size = case.numerics.mesh_size
    for answer in answer_stacks(case, default_cache(), 1, lambda _: None):
        print(f"{answer.plan.name}, mesh size {size:g} mm")
        print(HEAD)
        loads, work = _cut(answer)
        whole = [0.0, 0.0]
        for part in answer.plan.parts:
            rows = _rows(part, loads[part.name], size, work, given.levels, given.steps)
            whole = [total + own for total, own in zip(whole, rows, strict=True)]
        estimate, true = whole
        print(f"{'all':33s}{'':11s}{estimate:9.3%}{true:10.3%}{estimate / true:9.2f}\n")


def _cut(answer: StackAnswer) -> tuple[dict[str, Loads], float]:
    """What the deepest cut adds on every part, and its force times the motion."""
    clamped, deepest = answer.path.clamped, answer.path.steps[-1].state
    added = deepest.tractions - clamped.tractions
    slices = answer.model.interface.slices
    moved = answer.path.curve.deflection_um[-1] / UM_PER_MM
    loads = part_loads(answer.plan, slices, added, deepest.force)
    return loads, float(deepest.force @ moved)


def _rows(
    part: PartPlan, loads: Loads, size: float, work: float, levels: int, steps: int
) -> tuple[float, float]:
    """Print a part's rows; estimate and true error of its own mesh."""
    share = 1.0 / (part.material.youngs_modulus_mpa * work)
    found = [
        part_energy(part, loads, size, part.refined + level) for level in range(levels)
    ]
    finest = part_energy(part, loads, size, part.refined + steps)
    first = found[0]
    left = finest.missed / (first.missed - finest.missed)
    limit = finest.energy + left * (finest.energy - first.energy)
    for level, one in zip([*range(levels), steps], [*found, finest], strict=True):
        true = limit - one.energy
        print(
            f"{part.name:15s}{level:6d}{one.unknowns:10d}"
            f"{one.energy * share * work:12.6f}{one.missed * share:10.4%}"
            f"{true * share:10.4%}{one.missed / true:9.2f}",
            flush=True,
        )
    return first.missed * share, (limit - first.energy) * share


if __name__ == "__main__":
    main()

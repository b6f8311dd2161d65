"""A point taken from the field of a part's nodes, against a patch that is meshed there.

Reference: the same stack with four more patches of 4 mm side, each with its own columns
in the reduction, so that it is exact but for the mesh.
"""

from pathlib import Path

import numpy as np
import pytest
from probed_stack import SPOTS, probe_rows, probed_plan, probed_stack

from fea.case.schema import Case
from fea.core.contact_stack import contact_model
from fea.core.equilibrium import clamp, tangent_compliance
from fea.core.stack import Stack
from fea.core.surface_point import motion_rows
from geometry.pad import FloatArray


@pytest.fixture(scope="module")
def compliances(
    coarse_case: Case, coarse_quick_change: Stack, cache_folder: Path
) -> tuple[FloatArray, FloatArray]:
    """Of tip and all spots, by points and by patches. [mm/N]."""
    points = [
        motion_rows(coarse_quick_change, name, np.array(pad.centre))
        for name, pad in SPOTS.items()
    ]
    patched = probed_stack(coarse_case, probed_plan(coarse_case), cache_folder)
    found = []
    for stack, rows in (
        (coarse_quick_change, np.vstack(points)),
        (patched, probe_rows(patched)),
    ):
        model = contact_model(stack, elsewhere=rows)
        found.append(tangent_compliance(model, clamp(model)))
    return found[0], found[1]


def blocks(matrix: FloatArray) -> FloatArray:
    """(3 n, 3 n) to (n, n, 3, 3)."""
    n = len(matrix) // 3
    return matrix.reshape(n, 3, n, 3).transpose(0, 2, 1, 3)


def errors(compliances: tuple[FloatArray, FloatArray]) -> FloatArray:
    """Largest error of each block over the block's largest entry. (n, n)."""
    points, patches = map(blocks, compliances)
    largest = np.abs(patches).max(axis=(2, 3))
    return np.abs(points - patches).max(axis=(2, 3)) / largest


def test_motion_here_under_a_force_there_is_that_of_a_patch(
    compliances: tuple[FloatArray, FloatArray],
) -> None:
    apart = ~np.eye(len(SPOTS) + 1, dtype=bool)
    # Measured: 0.07 % at most, most of it because the two meshes differ.
    assert errors(compliances)[apart].max() < 2e-3


def test_motion_right_under_a_force_lacks_what_the_surface_gives_there(
    compliances: tuple[FloatArray, FloatArray],
) -> None:
    points, patches = map(blocks, compliances)
    for number in range(1, len(SPOTS) + 1):
        own, whole = (each[number, number] for each in (points, patches))
        # A basis vector of its own can only make a part softer there.
        assert np.diag(own).sum() < np.diag(whole).sum()
    # Measured: 3.5 % on the slide, where the rest is stiffest, else 1 %.
    assert np.diag(errors(compliances)).max() < 0.05

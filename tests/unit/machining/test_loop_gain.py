import numpy as np
import pytest

from fea.machining.loop_gain import closed_loop, loop_gains

FREQUENCY = np.array([90.0, 200.0, 310.0, 500.0])
CUTS = 3


def test_eigenvalues_are_those_of_the_damped_structure_in_the_cut() -> None:
    # The whole 3 x 3 loop, solved with LAPACK: its third eigenvalue is 0, because a
    # motion along the cutting speed neither changes the chip nor presses the flank.
    random = np.random.default_rng(5)
    real, imaginary = random.normal(size=(2, len(FREQUENCY), 3, 3))
    receptance = (real + 1j * imaginary) * 1e-5
    cutting, damping = random.normal(size=(2, CUTS, 3, 3)) * 1e5
    cutting[:, :, 2] = damping[:, :, 2] = 0.0
    per_speed = np.array([0.0, 2e-4, 5e-3])
    found = loop_gains(closed_loop(FREQUENCY, receptance, cutting, damping), per_speed)
    for cut in range(CUTS):
        for number, frequency in enumerate(FREQUENCY):
            rubbing = 2j * np.pi * frequency * per_speed[cut] * damping[cut]
            damped = np.linalg.solve(
                np.eye(3) + receptance[number] @ rubbing, receptance[number]
            )
            whole = np.linalg.eigvals(damped @ cutting[cut])
            half, root = found.half[cut, number], found.root[cut, number]
            expected = whole[np.abs(whole).argsort()[1:]]
            own = np.array([half + root, half - root])
            own = own[np.abs(own).argsort()]
            # Round-off, times the condition of eigenvalues that are not symmetric.
            assert own == pytest.approx(expected, rel=1e-9)


def test_one_cut_at_several_speeds_is_several_equal_cuts() -> None:
    random = np.random.default_rng(6)
    receptance = random.normal(size=(len(FREQUENCY), 3, 3)) * (1e-5 + 2e-5j)
    cutting, damping = random.normal(size=(2, 1, 3, 3)) * 1e4
    per_speed = np.array([0.0, 1e-4, 1e-3])
    loop = closed_loop(FREQUENCY, receptance, cutting, damping)
    many = closed_loop(
        FREQUENCY, receptance, np.repeat(cutting, 3, 0), np.repeat(damping, 3, 0)
    )
    one, three = loop_gains(loop.row(0), per_speed), loop_gains(many, per_speed)
    assert one.half == pytest.approx(three.half, rel=1e-12)
    assert one.root == pytest.approx(three.root, rel=1e-12)

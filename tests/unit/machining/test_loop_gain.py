import numpy as np
import pytest

from fea.machining.loop_gain import NUMBERS, close_loop, loop_gains

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
    for cut in range(CUTS):
        loop = np.empty((NUMBERS, len(FREQUENCY)), dtype=complex)
        close_loop(FREQUENCY, receptance, cutting[cut], damping[cut], loop)
        gains = np.empty((2, len(FREQUENCY)), dtype=complex)
        loop_gains(loop, per_speed[cut], gains)
        for number, frequency in enumerate(FREQUENCY):
            rubbing = 2j * np.pi * frequency * per_speed[cut] * damping[cut]
            damped = np.linalg.solve(
                np.eye(3) + receptance[number] @ rubbing, receptance[number]
            )
            whole = np.linalg.eigvals(damped @ cutting[cut])
            half, root = gains[:, number]
            expected = whole[np.abs(whole).argsort()[1:]]
            own = np.array([half + root, half - root])
            own = own[np.abs(own).argsort()]
            # Round-off, times the condition of eigenvalues that are not symmetric.
            assert own == pytest.approx(expected, rel=1e-9)

"""What a point does under a small oscillating force, told by a few damped modes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.pad import FloatArray

ComplexArray = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class ModalModel:
    """Modes of a structure, seen from the point where the force acts.

    Parameters
    ----------
    frequency_hz : (n,) undamped natural frequencies, rising
    damping_ratio : (n,) of critical [-]
    shapes : (n, 3) motion of the point in modes of unit mass, along x, y, z [t^-1/2]
    residual : (3, 3) compliance of all modes that are left out [mm/N]
    """

    frequency_hz: FloatArray
    damping_ratio: FloatArray
    shapes: FloatArray
    residual: FloatArray

    @property
    def static_compliance(self) -> FloatArray:
        """Motion under a force at rest. (3, 3) [mm/N]."""
        scaled = self.shapes / (2.0 * np.pi * self.frequency_hz)[:, None]
        return np.asarray(scaled.T @ scaled + self.residual)


def receptance(model: ModalModel, frequency_hz: FloatArray) -> ComplexArray:
    """Motion of the point for each newton that oscillates there.

    Parameters
    ----------
    model : modes and what they leave out
    frequency_hz : (n_freq,) of the force

    Returns
    -------
    (n_freq, 3, 3) [mm/N]
        Rows are the motion, columns the force.

    Notes
    -----
    G = sum phi phi' / (w_r² - w² + 2 i zeta_r w_r w) + residual (modal superposition;
    any text on vibration, such as Ewins, Modal Testing; from memory).
    """
    natural = 2.0 * np.pi * model.frequency_hz
    omega = 2.0 * np.pi * np.asarray(frequency_hz)[:, None]
    damped = 2j * model.damping_ratio * natural * omega
    gain = 1.0 / (natural**2 - omega**2 + damped)
    moved = np.einsum("fn,ni,nj->fij", gain, model.shapes, model.shapes)
    return np.asarray(moved + model.residual)


def joined(first: ModalModel, second: ModalModel) -> ModalModel:
    """Relative motion of two structures that push each other, as tool and work do."""
    order = np.argsort(np.concatenate([first.frequency_hz, second.frequency_hz]))
    pair = (first, second)
    return ModalModel(
        frequency_hz=np.concatenate([each.frequency_hz for each in pair])[order],
        damping_ratio=np.concatenate([each.damping_ratio for each in pair])[order],
        shapes=np.vstack([each.shapes for each in pair])[order],
        residual=first.residual + second.residual,
    )


def lowest_modes(model: ModalModel, count: int) -> ModalModel:
    """Model of the lowest modes alone; the others follow a force without delay.

    Their static compliance joins the residual.
    """
    fast = model.shapes[count:] / (2.0 * np.pi * model.frequency_hz[count:])[:, None]
    return ModalModel(
        frequency_hz=model.frequency_hz[:count],
        damping_ratio=model.damping_ratio[:count],
        shapes=model.shapes[:count],
        residual=model.residual + fast.T @ fast,
    )

"""How far the tips move, at a depth of cut that both stacks hold."""

import numpy as np

from fea.analysis.result import Comparison, StackResult
from geometry.pad import FloatArray

SAME_DEPTH_MM = 1e-9
"""Depths closer than this are one setting, written or summed up differently."""


def motion_along_force(stack: StackResult, depth_mm: float | None = None) -> float:
    """How far the tip moves along the cutting force. [um].

    Parameters
    ----------
    depth_mm : one of the curve's; without it the deepest cut that the stack holds
    """
    at = -1 if depth_mm is None else place(stack, depth_mm)
    force = stack.curve.force_n[at]
    return float(stack.curve.deflection_um[at] @ force / np.linalg.norm(force))


def stiffness(stack: StackResult, depth_mm: float) -> float:
    """Force over motion along the cutting force, at one of the curve's depths. [N/um].

    At the deepest cut it is the stack's own `stiffness_n_per_um`.
    """
    at = place(stack, depth_mm)
    if at == len(stack.curve.depth_mm) - 1:
        return stack.stiffness_n_per_um
    force = float(np.linalg.norm(stack.curve.force_n[at]))
    return force / motion_along_force(stack, depth_mm)


def place(stack: StackResult, depth_mm: float) -> int:
    """Where a depth stands in the curve."""
    return int(np.abs(stack.curve.depth_mm - depth_mm).argmin())


def deepest(stack: StackResult) -> float:
    """Deepest cut that the stack holds. [mm]."""
    return float(stack.curve.depth_mm[-1])


def at_deepest(stack: StackResult, depth_mm: float) -> bool:
    """Whether a depth is the deepest cut that the stack holds."""
    return abs(deepest(stack) - depth_mm) < SAME_DEPTH_MM


def common_depth(comparison: Comparison) -> float:
    """Deepest cut that both stacks hold: there they are compared. [mm]."""
    return min(deepest(comparison.quick_change), deepest(comparison.four_way))


def deepest_of_both(comparison: Comparison) -> float:
    """Deepest cut that either stack holds: the case's own if one holds it. [mm]."""
    return max(deepest(comparison.quick_change), deepest(comparison.four_way))


def hold_alike(comparison: Comparison) -> bool:
    """Whether both stacks hold the same deepest cut."""
    one, other = (deepest(s) for s in (comparison.quick_change, comparison.four_way))
    return abs(one - other) < SAME_DEPTH_MM


def stiffness_ratio(comparison: Comparison) -> float:
    """Quick-change post over four-way block, at the deepest cut that both hold."""
    depth = common_depth(comparison)
    new, old = comparison.quick_change, comparison.four_way
    return stiffness(new, depth) / stiffness(old, depth)


def band_at(stack: StackResult, band: FloatArray, depth_mm: float) -> FloatArray | None:
    """Low and high at a depth; None if the samples were not taken there. (2,).

    Parameters
    ----------
    band : (2, k) at the depths of the stack's bands
    """
    off = np.abs(stack.bands.depth_mm - depth_mm)
    at = int(off.argmin())
    return band[:, at] if off[at] < SAME_DEPTH_MM else None

"""Deflection against depth of cut: the tool gives way and cuts otherwise."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fea.machining.chip import require_depths
from fea.machining.fed import AXIAL, RADIAL, Fed
from geometry.errors import SolveError
from geometry.pad import FloatArray
from geometry.units import UM_PER_MM

DEEPEST_OVER_NOMINAL = 10.0
"""A tool that would go deeper than this many times its setting is taken to dig in."""
SEARCH_STEP = 1.25
"""Ratio of neighbouring depths while looking for an equilibrium."""
DEPTH_TOLERANCE = 1e-12
"""Of the equilibrium's depth, relative to the nominal depth."""

Respond = Callable[[FloatArray], FloatArray]
"""Force on the tool (3,) [N] to the motion of its tip (3,) [mm]."""
ForceAt = Callable[[float], FloatArray]
"""Depth that is cut [mm] to the force on the tool (3,) [N]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeflectionCurve:
    """Equilibrium at each nominal depth of cut.

    Parameters
    ----------
    depth_mm : (n,) depth of cut that was set, or width of a plunging tool
    actual_depth_mm : (n,) depth that is cut once the tool has given way
    force_n : (n, 3) on the tool: radial, axial, vertical
    deflection_um : (n, 3) of the tip: radial (away from the work), axial, vertical
    diameter_error_um : (n,) how much larger than intended the work becomes; 0 in
        facing, which makes a length
    fed : which way the tool is fed
    """

    depth_mm: FloatArray
    actual_depth_mm: FloatArray
    force_n: FloatArray
    deflection_um: FloatArray
    diameter_error_um: FloatArray
    fed: Fed = Fed.ALONG

    @property
    def length_error_um(self) -> FloatArray:
        """How much longer than intended a faced work becomes. (n,); else 0."""
        return self.deflection_um[:, AXIAL] * (self.fed is Fed.ACROSS)


def deflection_curve(
    respond: Respond, force_at: ForceAt, depth_mm: FloatArray, fed: Fed = Fed.ALONG
) -> DeflectionCurve:
    """Depth that is really cut, force and deflection at each depth that is set.

    Parameters
    ----------
    respond : maps the force on the tool (3,) [N] to its tip's motion (3,) [mm] from
        where it stands without a cut; linear or not
    force_at : maps the depth that is cut [mm] to the force on the tool (3,) [N]
    depth_mm : (n,) nominal depths, or widths of a plunging tool, 0 or greater. [mm]
    fed : which way the tool is fed

    Returns
    -------
    DeflectionCurve

    Raises
    ------
    InputError
        A depth is negative or not a number.
    SolveError
        The tool digs in: no depth up to ten times the nominal one is in equilibrium;
        or the stack answers with something that is not a number.

    Notes
    -----
    Solves actual = nominal - radial motion(force(actual)) for the equilibrium that
    is reached first as the depth grows from nothing; in facing it is the axial motion
    that takes from the depth. A tangential force that draws the tip into the work makes
    the actual depth greater than the nominal one. A plunging tool cuts its whole width.

    The diameter error is twice the radial motion. Left out: the vertical motion w,
    which enlarges a radius R by w²/2R only (0.1 um for 50 um at R = 12 mm); in turning
    the axial motion, which shifts a shoulder and no diameter; the work's own
    flexibility; and what earlier passes left.
    """
    nominal = require_depths(depth_mm)
    actual = nominal
    if fed.leaves is not None:
        actual = np.array(
            [_equilibrium(respond, force_at, set_, fed.leaves) for set_ in nominal]
        )
    force = np.array([force_at(float(depth)) for depth in actual]).reshape(-1, 3)
    motion = np.array([respond(row) for row in force]).reshape(-1, 3)
    return DeflectionCurve(
        depth_mm=nominal,
        actual_depth_mm=actual,
        force_n=force,
        deflection_um=motion * UM_PER_MM,
        diameter_error_um=_diameter_error(nominal - actual, motion, fed) * UM_PER_MM,
        fed=fed,
    )


def _diameter_error(missed: FloatArray, motion: FloatArray, fed: Fed) -> FloatArray:
    """Diameter above the intended one, from depth that was not cut and motion. [mm]."""
    if fed is Fed.ACROSS:
        return np.zeros_like(missed)
    return 2.0 * (missed if fed is Fed.ALONG else motion[:, RADIAL])


def _equilibrium(
    respond: Respond, force_at: ForceAt, nominal: float, axis: int
) -> float:
    """Depth at which the tool's setting, its motion and the force agree. [mm]."""
    from scipy.optimize import brentq  # slow to import, and only needed here

    if nominal == 0.0:
        return 0.0

    def excess(depth: float) -> float:
        away = float(respond(force_at(depth))[axis])
        if not math.isfinite(away):
            message = (
                f"depth of cut {nominal:g} mm: the tip's motion out of the cut is "
                f"{away} at an actual depth of {depth:g} mm; the stack has no finite "
                "stiffness"
            )
            raise SolveError(message)
        return depth - nominal + away

    low, high = _bracket(excess, nominal)
    tolerance = DEPTH_TOLERANCE * nominal
    root = brentq(excess, low, high, xtol=tolerance, rtol=8.0 * np.finfo(float).eps)
    return float(root)


def _bracket(excess: Callable[[float], float], nominal: float) -> tuple[float, float]:
    """Two depths with an equilibrium between them. [mm]."""
    low, high = 0.0, nominal
    while excess(high) < 0.0:
        if high >= DEEPEST_OVER_NOMINAL * nominal:
            message = (
                f"depth of cut {nominal:g} mm: the tool digs in; the cutting force "
                "draws its tip into the work faster than the stack holds it back, and "
                f"no equilibrium was found up to {high:.3g} mm; stiffen the stack, "
                "shorten the overhang or cut with a smaller feed"
            )
            raise SolveError(message)
        low, high = high, high * SEARCH_STEP
    return low, high

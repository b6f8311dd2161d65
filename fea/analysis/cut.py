"""The case's cut and work material as the force model takes them."""

from collections.abc import Mapping

import numpy as np

from fea.analysis.distribution import split_log_normal
from fea.analysis.fitted import fitted
from fea.case.schema import Case
from fea.case.work_section import FACING, GROOVING, PARTING, PLUNGING, TURNING
from fea.machining.cut import Cut
from fea.machining.fed import Fed, fed_force, plunging_cut
from fea.machining.work_material import load_work_materials
from geometry.pad import FloatArray

WAYS = {TURNING: Fed.ALONG, FACING: Fed.ACROSS, GROOVING: Fed.IN, PARTING: Fed.IN}
WIDTHS = 12
"""Up to the plunging tool's, so that the load comes on in steps and a curve shows."""


def fed_of(case: Case) -> Fed:
    """Return which way the tool is fed."""
    return WAYS[case.cut.kind]


TANGENTIAL, THRUST = "cut: tangential force", "cut: thrust over tangential force"


def cut_of(case: Case) -> Cut:
    """Return feed and edge."""
    cut = Cut(
        feed_mm=case.cut.feed,
        entering_angle_deg=case.cut.entering_angle,
        nose_radius_mm=case.cut.nose_radius,
        rake_deg=case.cut.rake,
    )
    return plunging_cut(cut) if fed_of(case) is Fed.IN else cut


def sizes_of(case: Case) -> FloatArray:
    """Depths of cut that are asked for, or widths up to the plunging tool's. [mm]."""
    width = case.cut.width
    if case.cut.kind in PLUNGING and width is not None:
        return np.linspace(0.0, width, WIDTHS + 1)[1:]
    return np.asarray(case.cut.depths)


def force_at(case: Case, depth: float) -> FloatArray:
    """Cutting force on the tool at a depth that is really cut. [mm] to (3,) [N].

    For grooving and parting the depth is the width of the tool.
    """
    material = load_work_materials()[case.work.material]
    hard, thrust = fitted_force(case)
    factors = np.array([thrust, thrust, hard])
    force = fed_force(fed_of(case), material, cut_of(case), depth)
    return np.asarray(factors * force)


def fitted_force(case: Case) -> tuple[float, float]:
    """Factors of a fit on the tangential force and on the thrust; 1 without one."""
    known = fitted(case)
    middles = {name: np.array([known.middle(name)]) for name in (TANGENTIAL, THRUST)}
    hard, softer = force_factors(case, middles)
    return float(hard[0]), float(hard[0] * softer[0])


def force_factors(
    case: Case, quantiles: Mapping[str, FloatArray]
) -> tuple[FloatArray, FloatArray]:
    """Factors on the tangential force, and on the thrust over it. (s,) each.

    `quantiles` (s,) of what is expected of the work material, by name.
    """
    material = load_work_materials()[case.work.material]
    hard, softer = (
        split_log_normal(quantiles[name], 1.0 / (1.0 + spread), 1.0, 1.0 + spread)
        for name, spread in (
            (TANGENTIAL, material.spread),
            (THRUST, material.thrust.spread),
        )
    )
    return hard, softer

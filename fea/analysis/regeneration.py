"""The cut of a case as stability takes it: edge, slopes, rubbing, speeds."""

from dataclasses import dataclass

import numpy as np

from fea.analysis.cut import cut_of, fed_of, fitted_force, sizes_of
from fea.analysis.distribution import split_log_normal
from fea.analysis.fitted import fitted
from fea.case.schema import Case
from fea.case.work_section import FACING, PLUNGING
from fea.core.modal_model import ModalModel, receptance
from fea.machining.edge_stiffness import (
    EdgeAt,
    EngagedEdge,
    Slopes,
    cutting_matrix,
    facing_edge,
    force_slopes,
    load_rubbing,
    plunging_edge,
    rubbing_matrix,
    turning_edge,
)
from fea.machining.fed import Fed
from fea.machining.stability import (
    EdgeGrid,
    Limits,
    limits_at,
    search_frequencies,
    smallest_limit,
)
from fea.machining.work_material import load_work_materials
from geometry.pad import FloatArray

SHALLOWEST = 0.02  # of the deepest depth tried
DEPTHS = 12  # tried, evenly in ratio; between them limits are interpolated
RUBBING = "flank: rubbing"
TRIED = 4.0  # deepest depth tried, over the case's deepest


@dataclass(frozen=True, slots=True, kw_only=True)
class Regeneration:
    """How waves on the work come round into the cut.

    Parameters
    ----------
    edge : at rising depths
    slopes : of the force laws there
    rubbing : C of process damping [N/mm]
    friction : of the flank on the work [-]
    diameter_mm : of the work
    """

    edge: EngagedEdge
    slopes: Slopes
    rubbing: float
    friction: float
    diameter_mm: float

    @property
    def grid(self) -> EdgeGrid:
        """Matrices at every depth."""
        return EdgeGrid(
            depth_mm=self.edge.depth_mm,
            cutting=cutting_matrix(self.edge, self.slopes),
            damping=rubbing_matrix(self.edge, self.rubbing, self.friction),
        )


def regeneration(case: Case) -> Regeneration:
    """Return the case's cut, to `TRIED` times the deepest that it asks for."""
    deepest = TRIED * asked_mm(case)
    depths = np.geomspace(SHALLOWEST * deepest, deepest, DEPTHS)
    edge = edge_of(case)(cut_of(case), depths)
    material = load_work_materials()[case.work.material]
    rubbing = load_rubbing()
    return Regeneration(
        edge=edge,
        slopes=force_slopes(material, cut_of(case), edge).scaled(*fitted_force(case)),
        rubbing=rubbing_at(np.array([fitted(case).middle(RUBBING)]))[0],
        friction=rubbing.friction,
        diameter_mm=case.work.diameter,
    )


def rubbing_at(quantile: FloatArray) -> FloatArray:
    """C of process damping at quantiles (s,) of what is expected. (s,) [N/mm]."""
    expected = load_rubbing()
    return split_log_normal(quantile, expected.low, expected.constant, expected.high)


def asked_mm(case: Case) -> float:
    """Deepest cut that the case asks for, or the width of its plunging tool. [mm]."""
    return float(sizes_of(case)[-1])


def working_depth(case: Case) -> float:
    """Depth about whose equilibrium the stacks vibrate. [mm].

    Half of the deepest; of a plunging tool the width, which is always cut.
    """
    return asked_mm(case) if fed_of(case) is Fed.IN else asked_mm(case) / 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLimits:
    """Limits of tool against work at some speeds, and over all of them (one value).

    The latter is without process damping.
    """

    at_speeds: Limits
    smallest: Limits


def cut_limits(
    model: ModalModel, cut: Regeneration, speed_rpm: FloatArray
) -> CutLimits:
    """Find the limits of tool against work. `speed_rpm` (n,)."""
    frequency = search_frequencies(model)
    gain, grid = receptance(model, frequency), cut.grid
    return CutLimits(
        at_speeds=limits_at(frequency, gain, grid, speed_rpm, cut.diameter_mm),
        smallest=smallest_limit(frequency, gain, grid),
    )


def speed_limits(model: ModalModel, cut: Regeneration, speed_rpm: FloatArray) -> Limits:
    """Limits at some speeds alone; see `cut_limits`."""
    frequency = search_frequencies(model)
    gain = receptance(model, frequency)
    return limits_at(frequency, gain, cut.grid, speed_rpm, cut.diameter_mm)


def least_limit(model: ModalModel, cut: Regeneration) -> Limits:
    """Limit over all speeds alone; see `CutLimits`."""
    frequency = search_frequencies(model)
    return smallest_limit(frequency, receptance(model, frequency), cut.grid)


def edge_of(case: Case) -> EdgeAt:
    """Return how the case's kind of cut engages the edge."""
    if case.cut.kind in PLUNGING:
        return plunging_edge
    return facing_edge if case.cut.kind == FACING else turning_edge

"""The workpiece of a case and what holds it, as the beam model takes them."""

from dataclasses import dataclass

from fea.case.schema import Case
from fea.case.table_spread import table_spread
from fea.case.work_section import CENTRE
from fea.core.material import load_materials
from fea.machining.work_bar import WorkBar, WorkHolding
from geometry.units import KG_PER_TONNE, MM_PER_M, N_PER_KN, N_PER_MM_PER_N_PER_UM

SPINDLE_TABLE = "spindle_stiffness"


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldingSpread:
    """How far what holds the work may be off, 5 to 95 %.

    Parameters
    ----------
    radial, axial, tilting, centre, damping : each up to this many times more or less;
        a value that the case states is better known than one from the table
    """

    radial: float
    axial: float
    tilting: float
    centre: float
    damping: float


def work_bar(case: Case) -> WorkBar:
    """Return the bar that stands out of the chuck."""
    work = case.work
    return WorkBar(
        diameter=work.diameter,
        bore=work.bore,
        stick_out=work.stick_out,
        cut_at=work.cut_at,
        material=load_materials()[work.elastic_material],
    )


def work_holding(case: Case) -> WorkHolding:
    """Return chuck, spindle and centre."""
    spindle = case.spindle
    has_centre = case.work.tailstock == CENTRE
    centre = case.tailstock.radial * N_PER_MM_PER_N_PER_UM if has_centre else None
    return WorkHolding(
        radial=spindle.radial * N_PER_MM_PER_N_PER_UM,
        axial=spindle.axial * N_PER_MM_PER_N_PER_UM,
        tilting=spindle.tilting * N_PER_KN * MM_PER_M,
        spindle_mass=spindle.mass / KG_PER_TONNE,
        chuck_mass=case.chuck.mass / KG_PER_TONNE,
        chuck_diameter=case.chuck.diameter,
        centre=centre,
        loss_factor=2.0 * spindle.damping,
    )


def holding_spread(case: Case) -> HoldingSpread:
    """Return how far spindle and tailstock of a case may be off."""

    def spread(key: str, column: str = "stiffness_factor") -> float:
        return table_spread(case, key, SPINDLE_TABLE, column)

    return HoldingSpread(
        radial=spread("spindle.radial"),
        axial=spread("spindle.axial"),
        tilting=spread("spindle.tilting"),
        centre=spread("tailstock.radial"),
        damping=spread("spindle.damping", "damping_factor"),
    )

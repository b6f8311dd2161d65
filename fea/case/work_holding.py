"""The workpiece of a case and what holds it, as the beam model takes them."""

from dataclasses import dataclass

from fea.case.default_rule import load_default_table
from fea.case.default_speed import TABLE
from fea.case.field_kind import read_quantity
from fea.case.schema import Case
from fea.case.unit_registry import LENGTH
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
    stiffness, damping : up to this many times more or less than the table's
    """

    stiffness: float
    damping: float


def work_bar(case: Case) -> WorkBar:
    """Return the bar that stands out of the chuck."""
    work = case.work
    rows = {row["work_material"]: row for row in load_default_table(TABLE)}
    return WorkBar(
        diameter=work.diameter,
        bore=work.bore,
        stick_out=work.stick_out,
        cut_at=work.cut_at,
        material=load_materials()[work.elastic_material],
        loss_factor=rows[work.material]["loss_factor"],
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
        chuck_mass=case.chuck.mass / KG_PER_TONNE,
        chuck_diameter=case.chuck.diameter,
        centre=centre,
        loss_factor=2.0 * spindle.damping,
    )


def holding_spread(case: Case) -> HoldingSpread:
    """Return how far the tables of spindle and tailstock may be off for a machine."""
    rows = load_default_table(SPINDLE_TABLE)
    sizes = [read_quantity(row["centre_height"], LENGTH) for row in rows]
    height = case.machine.centre_height
    nearest = min(zip(sizes, rows, strict=True), key=lambda pair: abs(pair[0] - height))
    return HoldingSpread(
        stiffness=nearest[1]["stiffness_factor"], damping=nearest[1]["damping_factor"]
    )

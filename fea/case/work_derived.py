"""What follows from the workpiece and the speeds before anything is computed."""

from collections.abc import Iterator

from fea.case.default_speed import cutting_speed, usual_cutting_speed
from fea.case.schema import Case
from fea.case.unit_registry import (
    CUTTING_SPEED,
    FREQUENCY,
    MASS,
    RATIO,
    SPINDLE_SPEED,
    STIFFNESS,
    QuantityKind,
)
from fea.case.wording import shown_quantity
from fea.case.work_caution import slenderness
from fea.case.work_holding import work_bar, work_holding
from fea.machining.beam import RoundSection
from fea.machining.work_bar import work_model
from geometry.units import KG_PER_TONNE, N_PER_MM_PER_N_PER_UM


def work_rows(case: Case) -> Iterator[tuple[str, float, QuantityKind]]:
    """Yield name, value and kind of what follows, in the order a person checks it."""
    bar = work_bar(case)
    section = RoundSection(diameter=bar.diameter, bore=bar.bore, material=bar.material)
    mass = section.area * bar.stick_out * bar.material.density_t_mm3 * KG_PER_TONNE
    model = work_model(bar, work_holding(case))
    radial = 1.0 / model.static_compliance[0, 0] / N_PER_MM_PER_N_PER_UM
    yield "work: stick-out over diameter", slenderness(case), RATIO
    yield "work: mass out of the chuck", mass, MASS
    yield "work: stiffness at the cut, across the bar", radial, STIFFNESS
    yield "work: lowest natural frequency", float(model.frequency_hz[0]), FREQUENCY
    usual = usual_cutting_speed(case.work.material, case.tool.material)
    yield "cutting speed: usual for work and tool", usual, CUTTING_SPEED
    for each in case.spindle.speeds:
        name = f"cutting speed: at {shown_quantity(each, SPINDLE_SPEED)}"
        yield name, cutting_speed(each, case.work.diameter), CUTTING_SPEED

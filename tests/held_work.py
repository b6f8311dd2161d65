"""A chuck on its springs, for tests of the bar that it holds."""

from fea.machining.work_bar import WorkHolding

HOLDING = WorkHolding(
    radial=80e3,
    axial=90e3,
    tilting=2e8,
    spindle_mass=2e-3,
    chuck_mass=9e-3,
    chuck_diameter=160.0,
    centre=None,
    loss_factor=0.06,
)

"""From the hand to the pressure: how each screw of a case is tightened, in words."""

from collections.abc import Callable, Iterable
from functools import partial

from fea.case.clamped_pressure import (
    base_pressure,
    face_pressure,
    flank_force,
    flank_pressure,
    tool_pressure,
)
from fea.case.post_section import DRAW, PISTON, SOLID, WEDGE
from fea.case.schema import Case
from fea.case.tightening import (
    BLOCK_SCREWS,
    CLAMPING,
    HOLDER_SCREWS,
    N_MM_PER_N_M,
    STUD,
    Drive,
    Tightening,
    axial_force,
    axial_from_torque,
    case_drive,
    force_from_torque,
    look_in,
    proof_share,
    torque_from_axial,
    wedge_self_holding,
)
from fea.case.unit_registry import (
    ANGLE,
    FORCE,
    PRESSURE,
    SHARE,
    TORQUE,
    QuantityKind,
)
from fea.case.wording import Units, shown_quantity
from fea.core.lubrication import Friction
from fea.core.screw_torque import (
    force_by_coefficient,
    is_self_holding,
    lowering_torque,
    torque_by_coefficient,
)
from fea.core.wedge import pull_to_loosen, spread_from_push

THEN = " -> "

Show = Callable[[float, QuantityKind], str]


def tightening_lines(case: Case, units: Units = Units.MM) -> tuple[str, ...]:
    """Return for each screw torque, force, and the pressure that comes of it."""
    show = partial(shown_quantity, units=units)
    chains = (
        ("Stud", _stud(case, show)),
        ("Clamping screw", _clamping(case, show)),
        ("Each of the holder's screws", _tool_screws(case, HOLDER_SCREWS, show)),
        ("Each of the block's screws", _tool_screws(case, BLOCK_SCREWS, show)),
    )
    return tuple(f"{name}: {THEN.join(chain)}." for name, chain in chains)


def _stud(case: Case, show: Show) -> Iterable[str]:
    post, block = case.post, case.block
    on_post = show(base_pressure(case, post.side, post.bore), PRESSURE)
    on_block = show(base_pressure(case, block.side, block.bore), PRESSURE)
    torque, force = _screw(case, STUD, "pull", show)
    yield torque
    yield f"{force} ({_by_rule_of_thumb(case, show)})"
    yield f"{on_post} under the post, {on_block} under the block"


def _tool_screws(case: Case, tightening: Tightening, show: Show) -> Iterable[str]:
    holds = case.holder if tightening is HOLDER_SCREWS else case.block
    yield from _screw(case, tightening, "push", show)
    yield f"{show(tool_pressure(case, holds), PRESSURE)} under the tool"


def _clamping(case: Case, show: Show) -> Iterable[str]:
    way = case.post.clamping.way
    if way == SOLID:
        yield "none, the holder is one with the post"
        return
    yield from _screw(case, CLAMPING, "pull" if way == DRAW else "push", show)
    yield _how_the_screw_holds(case, show)
    if way == WEDGE:
        yield _wedge(case, show)
    if way in {WEDGE, PISTON}:
        yield _flanks(case, show)
    if way in {WEDGE, DRAW}:
        yield f"{show(face_pressure(case), PRESSURE)} on the face"


def _screw(
    case: Case, tightening: Tightening, what: str, show: Show
) -> tuple[str, str]:
    """Return torque and force, whichever is given first, and the share of proof."""
    drive, given = case_drive(case, tightening), look_in(case)(tightening.torque)
    axial, oil = axial_force(case, tightening), drive.lubrication
    force = f"{show(axial, FORCE)} of {what}"
    if given is None:
        torque = partial(torque_from_axial, drive, axial)
        low, high = (show(torque(f), TORQUE) for f in (oil.slippery, oil.sticky))
        begin = (
            f"{show(torque(oil.friction), TORQUE)}, {oil.key}, for the stated force "
            f"({low} to {high}, as friction may be)"
        )
    else:
        pull = partial(axial_from_torque, drive, given)
        low, high = (show(pull(f), FORCE) for f in (oil.sticky, oil.slippery))
        begin = f"{show(given, TORQUE)}, {oil.key}"
        force = f"{force} ({low} to {high}, as friction may be)"
    share = show(proof_share(case, tightening), SHARE)
    return begin, f"{force}, {share} of the proof load of class {drive.property_class}"


def _by_rule_of_thumb(case: Case, show: Show) -> str:
    """Return what T = K F d says of the stud, beside the full thread formula."""
    drive, stud = case_drive(case, STUD), case.machine.stud
    coefficient = drive.lubrication.torque_coefficient
    size = (stud.diameter, coefficient)
    if stud.torque is None:
        torque = torque_by_coefficient(stud.preload, *size) / N_MM_PER_N_M
        return f"a handbook's K of {coefficient:g} would ask for {show(torque, TORQUE)}"
    force = force_by_coefficient(stud.torque * N_MM_PER_N_M, *size)
    return f"a handbook's K of {coefficient:g} would promise {show(force, FORCE)}"


def _flanks(case: Case, show: Show) -> str:
    clamping, oil = case.post.clamping, case_drive(case, CLAMPING).lubrication
    said = show(flank_force(case), FORCE)
    where = f"on each flank, {show(flank_pressure(case), PRESSURE)}"
    if clamping.way != WEDGE or clamping.torque is None:
        return f"{said} {where}"
    force = partial(force_from_torque, case_drive(case, CLAMPING), clamping.torque)
    low, high = (show(force(f), FORCE) for f in (oil.sticky, oil.slippery))
    return f"{said} ({low} to {high}, as friction may be) {where}"


def _how_the_screw_holds(case: Case, show: Show) -> str:
    drive, friction = _clamping_drive(case)
    axial = axial_force(case, CLAMPING)
    undone = lowering_torque(drive.screw, axial, friction) / N_MM_PER_N_M
    if is_self_holding(drive.screw, friction):
        return f"the thread holds itself, {show(undone, TORQUE)} undo it"
    return "the thread does not hold itself"


def _wedge(case: Case, show: Show) -> str:
    drive, friction = _clamping_drive(case)
    taper = drive.taper_deg or 0.0
    spread = spread_from_push(axial_force(case, CLAMPING), taper, friction.face)
    said = f"a wedge of {show(taper, ANGLE)} spreads with {show(spread, FORCE)}"
    pull = pull_to_loosen(spread, taper, friction.face)
    if wedge_self_holding(case):
        return f"{said} and holds itself, {show(pull, FORCE)} draw it out"
    return f"{said} and does not hold itself, the screw keeps it in"


def _clamping_drive(case: Case) -> tuple[Drive, Friction]:
    drive = case_drive(case, CLAMPING)
    return drive, drive.lubrication.friction

"""What the hand does to the screws of a case, and the forces that come of it."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from operator import attrgetter
from typing import Any

from fea.case.post_section import DRAW, SOLID, WEDGE
from fea.case.schema import Case
from fea.core import wedge
from fea.core.lubrication import Friction, Lubrication, load_lubrications
from fea.core.property_class import breaking_load, proof_load
from fea.core.screw_torque import (
    Screw,
    nut_screw,
    point_screw,
    raised_force,
    raising_torque,
    tightened_force,
    tightening_torque,
)

N_MM_PER_N_M = 1000.0

# The value of a key, in the schema's unit: from a case, or from what a file says.
Look = Callable[[str], Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tightening:
    """A screw of the case, or several alike, whose force its torque may set.

    Parameters
    ----------
    name : what a person calls it
    section : where its keys are
    force_name, diameter_name : of two of its keys
    """

    name: str
    section: str
    force_name: str = "force"
    diameter_name: str = "diameter"

    def key(self, name: str) -> str:
        """Return the dotted name of one of its keys."""
        return f"{self.section}.{name}"

    @property
    def force(self) -> str:
        """Key of the force that comes of it."""
        return self.key(self.force_name)

    @property
    def torque(self) -> str:
        """Key of the torque."""
        return self.key("torque")

    @property
    def diameter(self) -> str:
        """Key of its diameter."""
        return self.key(self.diameter_name)


STUD = Tightening(name="stud", section="machine.stud", force_name="preload")
CLAMPING = Tightening(
    name="clamping screw", section="post.clamping", diameter_name="screw_diameter"
)
HOLDER_SCREWS = Tightening(name="holder's screws", section="holder.screws")
BLOCK_SCREWS = Tightening(name="block's screws", section="block.screws")
TIGHTENINGS = (STUD, CLAMPING, HOLDER_SCREWS, BLOCK_SCREWS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """What a torque works through.

    Parameters
    ----------
    screw : that is turned
    lubrication : of screw and wedge
    property_class : of the screw
    drives : whether the screw drives something on, as a power screw, or only fastens
    taper_deg : of the wedge behind the moving flank, None if there is none
    flank_deg : of the dovetail, between flank and face
    """

    screw: Screw
    lubrication: Lubrication
    property_class: str
    drives: bool
    taper_deg: float | None
    flank_deg: float


def drive_of(tightening: Tightening, look: Look) -> Drive:
    """Return what the torque of a screw works through."""
    way = look(CLAMPING.key("way"))
    is_clamping = tightening is CLAMPING
    under_nut = tightening is STUD or (is_clamping and way == DRAW)
    make = nut_screw if under_nut else point_screw
    wedged = is_clamping and way == WEDGE
    return Drive(
        screw=make(look(tightening.diameter)),
        lubrication=load_lubrications()[look(tightening.key("lubrication"))],
        property_class=look(tightening.key("property_class")),
        drives=is_clamping,
        taper_deg=look(CLAMPING.key("taper")) if wedged else None,
        flank_deg=look("post.dovetail.angle"),
    )


def tightenings_of(case: Case) -> tuple[Tightening, ...]:
    """Return the screws of a case; nothing is clamped where the holder is solid."""
    if case.post.clamping.way == SOLID:
        return tuple(row for row in TIGHTENINGS if row is not CLAMPING)
    return TIGHTENINGS


def case_drive(case: Case, tightening: Tightening) -> Drive:
    """Return what the torque of a screw of a complete case works through."""
    return drive_of(tightening, look_in(case))


def look_in(case: Case) -> Look:
    """Return what looks up a key in a case."""
    return partial(_value_of, case)


def _value_of(case: Case, key: str) -> Any:
    return attrgetter(key)(case)


def axial_from_torque(drive: Drive, torque: float, friction: Friction) -> float:
    """Force along the screw that a torque [N m] brings about. [N]."""
    force = raised_force if drive.drives else tightened_force
    return force(drive.screw, torque * N_MM_PER_N_M, friction)


def torque_from_axial(drive: Drive, axial: float, friction: Friction) -> float:
    """Torque that a force along the screw [N] takes. [N m]."""
    torque = raising_torque if drive.drives else tightening_torque
    return torque(drive.screw, axial, friction) / N_MM_PER_N_M


def force_from_axial(drive: Drive, axial: float, friction: Friction) -> float:
    """Force that the case is after, of a force along the screw [N]. [N].

    That along the screw itself, but with a wedge the normal force on each flank.
    """
    return axial * _gain(drive, friction)


def axial_from_force(drive: Drive, force: float, friction: Friction) -> float:
    """Force along the screw that the force which the case is after [N] takes. [N]."""
    return force / _gain(drive, friction)


def _gain(drive: Drive, friction: Friction) -> float:
    if drive.taper_deg is None:
        return 1.0
    spread = wedge.spread_from_push(1.0, drive.taper_deg, friction.face)
    return wedge.flank_force(spread, drive.flank_deg)


def force_from_torque(drive: Drive, torque: float, friction: Friction) -> float:
    """Force that the case is after, of a torque [N m] on the screw. [N]."""
    return force_from_axial(drive, axial_from_torque(drive, torque, friction), friction)


def axial_force(case: Case, tightening: Tightening) -> float:
    """Return the force along a screw of a case, push or pull. [N]."""
    drive = case_drive(case, tightening)
    force: float = look_in(case)(tightening.force)
    return axial_from_force(drive, force, drive.lubrication.friction)


def proof_share(case: Case, tightening: Tightening) -> float:
    """Return the force along a screw of a case over its proof load. [-]."""
    drive = case_drive(case, tightening)
    proof = proof_load(drive.property_class, drive.screw.diameter)
    return axial_force(case, tightening) / proof


def breaks_at(case: Case, tightening: Tightening) -> float:
    """Return the pull at which a screw of a case may break. [N]."""
    drive = case_drive(case, tightening)
    return breaking_load(drive.property_class, drive.screw.diameter)


def wedge_self_holding(case: Case) -> bool:
    """Return whether the wedge behind the moving flank keeps its place by friction.

    Once tight it is then as good as rigid. Where it is not (or there is no wedge) only
    the screw holds against what the cut does, and its force is what stays.
    """
    drive = case_drive(case, CLAMPING)
    if drive.taper_deg is None:
        return False
    return wedge.is_self_holding(drive.taper_deg, drive.lubrication.friction.face)

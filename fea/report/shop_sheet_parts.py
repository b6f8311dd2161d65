"""What the shop sheet is about: parts, pins and limits of a case."""

from dataclasses import dataclass

from fea.analysis.build import plan_stack
from fea.analysis.stack_names import QUICK_CHANGE
from fea.case.iso_fit import CLEAR, LOCATING, Limits, hole, shaft
from fea.case.schema import Case
from fea.case.wording import Units
from fea.core.plan import PartPlan
from geometry.dovetail import Dovetail
from geometry.over_pins import Pin, female_pin, male_pin
from geometry.parts.holder import Holder
from geometry.parts.moving_flank import MovingFlank
from geometry.parts.post_body import PostBody

# A bore with less play than this is meant to locate the post on its stud. [mm]
LOCATING_PLAY_MM = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetParts:
    """What the sheet shows, as it is meshed.

    Parameters
    ----------
    body, holder : of the post
    flank : the moving one, None if the dovetail is in one piece
    screws : (n, 2) where the holder's screws press, in its own frame from above [mm]
    screw_diameter : their nominal diameter [mm]
    bore : limits of the stud's bore
    male, female : limits of the male dovetail's top and of the female one's bottom
    male_pin, female_pin : to measure over; None if no usual one can be
    """

    body: PostBody
    holder: Holder
    flank: MovingFlank | None
    screws: tuple[tuple[float, float], ...]
    screw_diameter: float
    bore: Limits
    male: Limits
    female: Limits
    male_pin: Pin | None
    female_pin: Pin | None

    @property
    def dovetail(self) -> Dovetail:
        """Section of the dovetail between body and holder."""
        return self.body.dovetail


def sheet_parts(case: Case, units: Units) -> SheetParts:
    """Return what the sheet of a case shows; pins are those of the units' makers."""
    plans = {part.name: part for part in plan_stack(case, QUICK_CHANGE).parts}
    body, holder = plans["post body"].shape, plans["holder"].shape
    flank = plans["moving flank"].shape if "moving flank" in plans else None
    if not (
        isinstance(body, PostBody)
        and isinstance(holder, Holder)
        and isinstance(flank, MovingFlank | None)
    ):
        raise TypeError(plans)
    tail = body.dovetail
    outer = male_pin(tail.depth, tail.angle_deg, units)
    inner = female_pin(
        tail.female_width, tail.female_depth, tail.angle_deg, units, outer
    )
    play = body.bore - case.machine.stud.diameter
    return SheetParts(
        body=body,
        holder=holder,
        flank=flank,
        screws=_screws(plans["holder"]),
        screw_diameter=case.holder.screws.diameter,
        bore=hole(body.bore, LOCATING if play < LOCATING_PLAY_MM else CLEAR),
        male=shaft(tail.width, LOCATING),
        female=hole(tail.female_width, LOCATING),
        male_pin=outer,
        female_pin=inner,
    )


def _screws(holder: PartPlan) -> tuple[tuple[float, float], ...]:
    """Where the analysis lets the set screws press, from above. [mm]."""
    pads = holder.own(holder.patches)
    places = (pad.centre for pad in pads if pad.name.startswith("screw "))
    return tuple((x, y) for x, y, _ in places)

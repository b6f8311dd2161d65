"""Whether a workshop can make a design and use it: its cutters, its tools' shanks."""

from fea.case.derived import tallest_shank
from fea.case.fit import LEAST_ENGAGEMENT, engagement
from fea.case.schema import Case
from fea.case.shapes import post_dovetail
from fea.case.study_section import Study
from fea.case.study_shop import Cutter
from geometry.dovetail import Dovetail

# Nobody holds a flank to a finer angle than that of the cutter. [deg]
SAME_ANGLE = 0.5
# Of a length that is met exactly. [mm]
NOTHING_MM = 1e-6


def missing_in(study: Study, case: Case) -> str | None:
    """Return what a study's workshop lacks for a design, or None."""
    return _no_cutter(study, post_dovetail(case)) or _no_height(study, case)


def _no_cutter(study: Study, dovetail: Dovetail) -> str | None:
    if not study.cutters or any(cuts(each, dovetail) for each in study.cutters):
        return None
    return (
        f"study.cutters: none of {len(study.cutters)} cuts a dovetail of "
        f"{dovetail.angle_deg:g} deg that is {dovetail.female_depth:.4g} mm deep and "
        f"{dovetail.female_width:.4g} mm wide at its bottom"
    )


def cuts(cutter: Cutter, dovetail: Dovetail) -> bool:
    """Whether a cutter makes both halves of a dovetail.

    Its angle is the flank's, its teeth reach over the deeper, female half, and it goes
    along the bottom of that; where it does, its neck passes the opening, which narrows
    with the same angle.
    """
    return (
        abs(cutter.angle - dovetail.angle_deg) <= SAME_ANGLE
        and cutter.height >= dovetail.female_depth - NOTHING_MM
        and cutter.diameter <= dovetail.female_width + NOTHING_MM
    )


def _no_height(study: Study, case: Case) -> str | None:
    """Return which of the named shanks this holder does not bring to centre height."""
    tallest = tallest_shank(case)
    for shank in study.shanks:
        if shank > tallest + NOTHING_MM:
            return (
                f"study.shanks: a shank of {shank:g} mm is too high; the holder brings "
                f"at most {tallest:.4g} mm to centre height over the slide"
            )
        share = _engagement_with(case, shank) / case.holder.height
        if share < LEAST_ENGAGEMENT:
            return (
                f"study.shanks: with a shank of {shank:g} mm at centre height only "
                f"{share:.0%} of the holder's height is on the dovetail, at least "
                f"{LEAST_ENGAGEMENT:.0%} is needed"
            )
    return None


def _engagement_with(case: Case, shank: float) -> float:
    tool = case.tool.model_copy(update={"shank_height": shank})
    return engagement(case.model_copy(update={"tool": tool}))

"""Records that read well and yet cannot be: slips of units, signs and order."""

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import copysign, hypot

from fea.measurement.plausible_limit import Limit, load_limits
from fea.measurement.push_order import (
    ALIKE,
    SURE,
    cosine,
    is_one_point,
    order_problems,
)
from fea.measurement.record import PushReading, Source, SpringPass, TestCut
from geometry.units import MM_PER_UM, UM_PER_MM


def push_problems(pushes: Sequence[PushReading]) -> list[str]:
    """Return what cannot be among the readings of one file."""
    found = [text for push in pushes for text in _push_problem(push)]
    return found or _all_too_stiff(pushes) or order_problems(pushes)


def _push_problem(push: PushReading) -> list[str]:
    return (
        _indicator_problem(push.uncertainty_um, push.source)
        or _force_problem(push)
        or _stiffness_problem(push)
        or _sign_problem(push)
    )


def _indicator_problem(uncertainty_um: float, source: Source) -> list[str]:
    limit = load_limits()["indicator"]
    if limit.low <= uncertainty_um <= limit.high:
        return []
    guess = _unit_guess(
        lambda factor: limit.low <= uncertainty_um * factor <= limit.high
    )
    return [
        f"{source}, column 'uncertainty': {uncertainty_um:g} um: by means of a home "
        f"shop it is from {limit.low:g} to {limit.high:g} um; {guess}"
    ]


def _unit_guess(fits: Callable[[float], bool]) -> str:
    """Say which mistaken unit would explain a length; `fits` takes a factor on it."""
    for factor, unit in ((UM_PER_MM, "mm"), (MM_PER_UM, "um")):
        if fits(factor):
            return f"it looks as if the number were in {unit}: then write {unit} there"
    return "correct the number or its unit"


def _force_problem(push: PushReading) -> list[str]:
    """Nothing pushes, so nothing may move."""
    if push.force_n > 0.0 or push.phase == "unloading":
        return []
    if abs(push.reading_um) <= SURE * push.uncertainty_um:
        return []
    return [
        f"{push.source}, column 'reading': {push.reading_um:g} um without any force, "
        "before unloading; set the indicator to zero while nothing pushes, and take "
        "that off every reading"
    ]


def _stiffness_problem(push: PushReading) -> list[str]:
    """Return what is wrong where force over motion is no stiffness of a lathe."""
    if not _tells_stiffness(push):
        return []
    limit, slack = load_limits()["stiffness"], SURE * push.uncertainty_um
    most, least = abs(push.reading_um) + slack, abs(push.reading_um) - slack
    if limit.low * least <= push.force_n <= limit.high * most:
        return []
    return [_not_stiffness(push, limit)]


def _tells_stiffness(push: PushReading) -> bool:
    return push.force_n > 0.0 and abs(cosine(push)) >= ALIKE


def _not_stiffness(push: PushReading, limit: Limit) -> str:
    motion = abs(push.reading_um) or SURE * push.uncertainty_um
    stiffness = push.force_n / motion
    guess = _unit_guess(lambda factor: limit.low <= stiffness / factor <= limit.high)
    return (
        f"{push.source}, column 'reading': {push.reading_um:g} um at "
        f"{push.force_n:.4g} N makes {stiffness:.3g} N/um, but a lathe's stack has "
        f"{limit.low:g} to {limit.high:g} N/um; {guess}"
    )


def _all_too_stiff(pushes: Sequence[PushReading]) -> list[str]:
    """Return what is wrong where each reading is far too small, uncertain or not.

    One of them may be small by chance.
    """
    limit = load_limits()["stiffness"]
    telling = [p for p in pushes if _tells_stiffness(p) and p.reading_um != 0.0]
    if any(p.force_n <= limit.high * abs(p.reading_um) for p in telling):
        return []
    return [_not_stiffness(push, limit) for push in telling[:1]]


def _sign_problem(push: PushReading) -> list[str]:
    """Return what is wrong where a point moves against the force on itself."""
    if not is_one_point(push):
        return []
    along = push.reading_um * copysign(1.0, cosine(push))
    if along >= -SURE * push.uncertainty_um:
        return []
    return [
        f"{push.source}, column 'reading': {push.reading_um:g} um at "
        f"{push.force_n:.4g} N: the point moves against the force on it, which no "
        "structure does; turn the reading's sign, 'push direction' or 'read "
        "direction'"
    ]


def spring_problems(passes: Sequence[SpringPass]) -> list[str]:
    """Return what cannot be among the passes of one file."""
    found = [text for one in passes for text in _pass_problem(one)]
    return found or [
        text for one, after in pairwise(passes) for text in _grown(one, after)
    ]


def _pass_problem(one: SpringPass) -> list[str]:
    indicator = _indicator_problem(one.uncertainty_um, one.source)
    error_mm = one.diameter_got_mm - one.diameter_set_mm
    left_mm = 2.0 * one.depth_mm
    if indicator or abs(error_mm) <= left_mm:
        return indicator
    return [
        f"{one.source}, column 'diameter got': {one.diameter_got_mm:g} mm is "
        f"{error_mm:+.4g} mm off the set {one.diameter_set_mm:g} mm, more than the "
        f"{left_mm:g} mm that a depth of {one.depth_mm:g} mm takes off; correct the "
        "diameters or their units (radius for diameter?)"
    ]


def _grown(one: SpringPass, after: SpringPass) -> list[str]:
    """Return what is wrong where a later pass leaves more metal than an earlier one."""
    is_same = (one.stack, one.depth_mm, one.feed_mm, one.diameter_set_mm) == (
        after.stack,
        after.depth_mm,
        after.feed_mm,
        after.diameter_set_mm,
    )
    grown_um = (after.diameter_got_mm - one.diameter_got_mm) * UM_PER_MM
    sure_um = SURE * hypot(one.uncertainty_um, after.uncertainty_um)
    if not is_same or after.passes <= one.passes or grown_um <= sure_um:
        return []
    return [
        f"{after.source}, column 'diameter got': pass {after.passes} leaves "
        f"{grown_um:.3g} um more than pass {one.passes}, but cutting adds none; "
        "check the order of the rows and the diameters"
    ]


def cut_problems(cuts: Sequence[TestCut]) -> list[str]:
    """Return what cannot be among the cuts of one file."""
    return [text for cut in cuts for text in _cut_problem(cut)]


def _cut_problem(cut: TestCut) -> list[str]:
    if cut.deflection_um is None or cut.uncertainty_um is None:
        return []
    indicator = _indicator_problem(cut.uncertainty_um, cut.source)
    depth_um = cut.depth_mm * UM_PER_MM
    slack = SURE * cut.uncertainty_um
    if indicator or abs(cut.deflection_um) <= depth_um + slack:
        return indicator
    guess = _unit_guess(
        lambda factor: abs(cut.deflection_um or 0.0) * factor <= depth_um
    )
    return [
        f"{cut.source}, column 'deflection': {cut.deflection_um:g} um is more than the "
        f"whole depth of cut, {cut.depth_mm:g} mm; {guess}"
    ]

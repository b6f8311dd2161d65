"""Mean pressures under the clamping forces of a case, by the areas that carry them."""

from math import cos, radians

from fea.case.derived import seat_area
from fea.case.fit import engagement
from fea.case.post_section import DRAW, PISTON, WEDGE, Block, Holder
from fea.case.schema import Case
from fea.case.shapes import post_dovetail


def flank_force(case: Case) -> float:
    """Return the normal force on each flank, 0 where they only locate. [N].

    A piston is held by both flanks, F = 2 N cos(angle).
    """
    clamping = case.post.clamping
    if clamping.way == PISTON:
        return clamping.force / (2.0 * _lean(case))
    return clamping.force if clamping.way == WEDGE else 0.0


def face_force(case: Case) -> float:
    """Return the force on the face, 0 where the holder stands off it. [N].

    Each flank that is wedged pulls the holder on with N cos(angle).
    """
    clamping = case.post.clamping
    if clamping.way == WEDGE:
        return 2.0 * clamping.force * _lean(case)
    return clamping.force if clamping.way == DRAW else 0.0


def flank_pressure(case: Case) -> float:
    """Return the mean pressure on each flank. [MPa]."""
    return flank_force(case) / (post_dovetail(case).flank_length * engagement(case))


def face_pressure(case: Case) -> float:
    """Return the mean pressure on the face beside the dovetail. [MPa]."""
    post, dovetail = case.post, case.post.dovetail
    ends = (
        (dovetail.offset_along, case.holder.length / 2.0),
        (dovetail.offset_across, post.side / 2.0),
    )
    near = max(middle - half for middle, half in ends)
    far = min(middle + half for middle, half in ends)
    across = far - near - post_dovetail(case).root_width
    return face_force(case) / (across * engagement(case))


def base_pressure(case: Case, side: float, bore: float) -> float:
    """Return the mean pressure under a square base with a bore. [MPa]."""
    return case.machine.stud.preload / seat_area(case, side, bore)


def tool_pressure(case: Case, holds: Holder | Block) -> float:
    """Return the mean pressure under the tool that set screws press down. [MPa]."""
    length = holds.length if isinstance(holds, Holder) else holds.side
    held = min(case.tool.length - case.tool.overhang, length)
    wide = min(case.tool.shank_width, holds.slot_depth)
    return holds.screws.count * holds.screws.force / (held * wide)


def _lean(case: Case) -> float:
    return cos(radians(case.post.dovetail.angle))

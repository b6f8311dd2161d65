"""What the answer about chatter assumed, and what makes it doubtful."""

from fea.analysis.regeneration import asked_mm
from fea.case.schema import Case
from fea.case.work_section import PLUNGING, TURNING
from fea.machining.edge_law import thickness_range


def chatter_notes(case: Case) -> tuple[str, ...]:
    """Return what was assumed, one sentence each."""
    return (
        "Chatter is taken to be regenerative: the tool cuts the waves of the "
        "revolution before. The chip's thickness follows the motion along the normal "
        "of each piece of edge, the nose's arc included; slopes of the force are those "
        "of its own chip. Below "
        f"{thickness_range().least_mm:g} mm of chip the force is taken to fall to "
        "nothing along a parabola.",
        "The stack vibrates about its equilibrium at half of the deepest cut, in "
        "motions so small that all that touches sticks. Damping comes from the loss "
        "factors of materials and joints, mode by mode, weighted by strain energy.",
        "The work is a round bar on springs at the chuck's face, the same in all "
        "directions across the spindle, and does not lose weight as it is cut.",
        "The flank rubs on the waves and damps them the more, the slower the work "
        "runs; the limit over all speeds leaves that out.",
        *_kind(case),
    )


def chatter_warnings(case: Case) -> tuple[str, ...]:
    """Return what makes the limits doubtful, one sentence each."""
    found = [
        "Limits of chatter are the least certain numbers here: damping and the "
        "stiffness of spindle and chuck come from tables that hold within a factor of "
        "two to three. Tap the tool and the work and put what you measure in the case "
        "(damping.ratio, [spindle])."
    ]
    if case.cut.kind in PLUNGING:
        found.append(
            f"The deflections are those of turning with the depths in the case; "
            f"only the limit of chatter is that of {case.cut.kind} with a tool "
            f"{asked_mm(case):g} mm wide."
        )
    return tuple(found)


def _kind(case: Case) -> tuple[str, ...]:
    if case.cut.kind == TURNING:
        return ()
    if case.cut.kind in PLUNGING:
        return (
            "A plunging tool is a straight edge along the axis; its corners and "
            "flanks are left out.",
        )
    return (
        "A facing tool is a turning tool with depth along the axis and feed toward "
        "it; the force behind the deflections is that of turning.",
    )

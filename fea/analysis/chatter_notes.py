"""What the answer about chatter assumed, and what makes it doubtful."""

from fea.analysis.cut import fed_of
from fea.case.schema import Case
from fea.machining.edge_law import thickness_range
from fea.machining.fed import Fed


def chatter_notes(case: Case) -> tuple[str, ...]:
    """Return what was assumed, one sentence each."""
    return (
        "Chatter is taken to be regenerative: the tool cuts the waves of the "
        "revolution before. The chip's thickness follows the motion along the normal "
        "of each piece of edge, the nose's arc included; slopes of the force are those "
        "of its own chip. Below "
        f"{thickness_range().least_mm:g} mm of chip the force is taken to fall to "
        "nothing along a parabola.",
        f"The stack vibrates about its equilibrium at {_about(case)}, in motions so "
        "small that all that touches sticks. Damping comes from the loss "
        "factors of materials and joints, mode by mode, weighted by strain energy.",
        "The work is a round bar on springs at the chuck's face, the same in all "
        "directions across the spindle, and does not lose weight as it is cut.",
        "The flank rubs on the waves and damps them the more, the slower the work "
        "runs; the limit over all speeds leaves that out.",
    )


def _about(case: Case) -> str:
    """Name the cut about which the stack vibrates."""
    plunging = fed_of(case) is Fed.IN
    return "the tool's whole width" if plunging else "half of the deepest cut"


def chatter_warnings() -> tuple[str, ...]:
    """Return what makes the limits doubtful, one sentence each."""
    return (
        "Limits of chatter are the least certain numbers here: damping and the "
        "stiffness of spindle and chuck come from tables that hold within a factor of "
        "two to three. Tap the tool and the work and put what you measure in the case "
        "(damping.ratio, [spindle]).",
    )

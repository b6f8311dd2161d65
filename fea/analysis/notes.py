"""What a comparison assumed, and what makes it doubtful, in plain sentences."""

from fea.analysis.cut import cut_of, fed_of, sizes_of
from fea.analysis.result import StackResult
from fea.case.post_section import DRAW, PISTON, SOLID, WEDGE
from fea.case.schema import Case
from fea.core.joint_surface import load_joint_surfaces
from fea.machining.fed import Fed
from fea.machining.force import ASSUMPTIONS, validity_notes
from fea.machining.work_material import load_work_materials

CLAMPED_BY = {
    WEDGE: "both flanks and both lands of the face carry preload",
    PISTON: "only the two flanks carry preload, the holder stands off the face",
    DRAW: "only the two lands of the face carry preload, the flanks only locate",
    SOLID: "flanks and face are one with the body, an upper bound",
}


_FED = {
    Fed.ALONG: (),
    Fed.ACROSS: (
        "A facing tool is a turning tool with depth along the axis and feed toward it: "
        "what the tip gives way along the axis is not cut, and the work is left longer "
        "by it. The radial motion shifts the tool along its feed and leaves no error.",
    ),
    Fed.IN: (
        "A plunging tool is a straight edge along the axis that cuts all of its width; "
        "corners and flanks are left out. Deflections are drawn over widths up to that "
        "of the tool. What it gives way radially is missing from the groove's depth "
        "while it is fed, and most of it comes back when it dwells; what it gives way "
        "along the axis shifts or slants the groove's walls.",
    ),
}


def notes(case: Case) -> tuple[str, ...]:
    """Return what was assumed, one sentence each."""
    return (
        "While it is clamped the faces of every joint settle without friction; then "
        "the cut comes on top, and faces close further, lift and slip as closure, "
        "pressure and Coulomb's friction ask. In one step of the cut the tangential "
        "stiffness is that of the pressure at its start.",
        "The moving flank runs in a guide that takes what friction cannot. Wedge, gib, "
        "set screws, piston and draw bolt keep their place when the cut comes, because "
        "their threads hold by themselves.",
        "A set screw or piston pushes with its point, never pulls, and drags sideways "
        "at most friction times its push; its point closes as faces of that finish do, "
        "taken at the clamping force, and its thread gives as half a diameter of it.",
        "The shank is laid against the slot's inner wall before its screws are "
        "tightened; how these then spread the slot is computed, and the cut alone "
        "presses shank and wall together.",
        *_rod(case),
        f"Way of clamping {case.post.clamping.way}: "
        f"{CLAMPED_BY[case.post.clamping.way]}.",
        "Both stacks carry the same tool at the same overhang on the same slides.",
        "The machine below the lower slide is one spring for each direction, spread "
        "over the slide's foot; the workpiece and the spindle are taken as rigid.",
        "The saddle rides on the ground's springs as one mass, spread over its foot; "
        "bed and headstock stand still.",
        "Stud, draw bolt and lead screw act along their axis only. The nut of the lead "
        "screw is taken in the middle of the lower slide.",
        "The shims of the four-way block are one plate with the faces of all of them.",
        "The tool bit is a plain bar; the force acts on a small patch at its corner.",
        *_FED[fed_of(case)],
        *ASSUMPTIONS,
    )


def _rod(case: Case) -> tuple[str, ...]:
    """Return what was assumed of the piston or draw bolt, if there is one."""
    clamping = case.post.clamping
    if clamping.rod_length is None:
        return ()
    what = "draw bolt gives" if clamping.way == DRAW else "piston with its screw gives"
    return (
        f"The {what} as a screw of {clamping.screw_diameter:g} mm over "
        f"{clamping.rod_length:g} mm; what holds it in the body is taken as rigid.",
    )


def warnings(case: Case) -> tuple[str, ...]:
    """Return what makes the numbers doubtful, one sentence each."""
    return (*_joint_band(case), *_force_band(case), *_cut_range(case))


def result_warnings(result: StackResult) -> tuple[str, ...]:
    """Return what a stack's own result warns of."""
    found = [
        f"With the {result.name} stack {peak.part}, {peak.feature}, reaches "
        f"{peak.von_mises_mpa:.0f} MPa and yields at {peak.yield_mpa:.0f} MPa."
        for peak in result.stresses
        if peak.safety < 1.0 and not peak.mesh_limited
    ]
    if result.lost is not None:
        found.append(
            f"The {result.name} stack does not hold a cut of "
            f"{result.lost_depth_mm:g} mm: {result.lost}."
        )
    return tuple(found)


def _joint_band(case: Case) -> tuple[str, ...]:
    surfaces = load_joint_surfaces()
    used = {
        case.base.surface,
        case.machine.ways.surface,
        case.post.clamping.surface,
        case.holder.screws.surface,
        case.block.screws.surface,
        case.block.shims.surface,
    }
    factor = max(
        surfaces[key].spread.closure_um[1] / surfaces[key].closure_um for key in used
    )
    return (
        f"The joints' constants are known within a factor of about {factor:.2g} only; "
        "what depends on them is an estimate until it is measured. The ratio of the "
        "two stacks is known hardly better than either: they share the slides, but "
        "the joints that differ weigh as much.",
    )


def _force_band(case: Case) -> tuple[str, ...]:
    material = load_work_materials()[case.work.material]
    return (
        f"The cutting force of {material.name} is known within about "
        f"{material.spread:.0%}, its thrust within about {material.thrust.spread:.0%}.",
    )


def _cut_range(case: Case) -> tuple[str, ...]:
    return validity_notes(cut_of(case), sizes_of(case))

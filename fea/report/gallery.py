"""All pictures of a report, with their captions and their words for the blind."""

from collections.abc import Callable

from fea.analysis.result import Comparison, StackResult
from fea.report.curves import curves_figure
from fea.report.field_file import FIRST_PART
from fea.report.image import Image, picture, plot
from fea.report.member import group_fractions
from fea.report.number import percent, rounded, setting
from fea.report.palette import STACK_STYLES
from fea.report.picture import PictureSet, deformed_figure, parts_figure, prepare
from fea.report.pressure_maps import pressure_figure
from fea.report.share_bars import shares_figure
from fea.report.verdict import motion_along_force

STAGES = ("drawing the parts", "drawing the deformed stacks", "drawing the curves")


def file_stem(stack: StackResult) -> str:
    """Name of a stack as it stands in file names."""
    return stack.name.replace("-", "_")


def gallery(
    comparison: Comparison, on_stage: Callable[[str], None]
) -> tuple[Image, ...]:
    """Draw everything; `on_stage` hears what is being drawn."""
    stacks = (comparison.quick_change, comparison.four_way)
    on_stage(STAGES[0])
    common = prepare(comparison)
    images = [_parts(stack, common) for stack in stacks]
    on_stage(STAGES[1])
    images += [_deformed(stack, common) for stack in stacks]
    on_stage(STAGES[2])
    images += [_curves(comparison), _shares(comparison)]
    images += [_pressures(stack) for stack in stacks]
    return tuple(images)


def _parts(stack: StackResult, common: PictureSet) -> Image:
    title = STACK_STYLES[stack.name].title
    names = ", ".join(field.name for field in stack.fields)
    numbered = ", ".join(
        f"{n} {f.name}" for n, f in enumerate(stack.fields, start=FIRST_PART)
    )
    return picture(
        parts_figure(stack, common),
        f"undeformed_{file_stem(stack)}",
        alt=f"Stack with the {title}, seen from the front left and above: {names}.",
        caption=f"The parts of the stack with the {title}: {numbered}.",
    )


def _deformed(stack: StackResult, common: PictureSet) -> Image:
    title = STACK_STYLES[stack.name].title
    depth = setting(float(stack.curve.depth_mm[-1]))
    moved = rounded(motion_along_force(stack))
    return picture(
        deformed_figure(stack, common),
        f"deformed_{file_stem(stack)}",
        alt=(
            f"Stack with the {title}, deformed by the cutting force at {depth} mm "
            f"depth of cut; the tip gives way {moved} µm along the force. Colours "
            f"show movement from 0 to {rounded(common.top_um)} µm."
        ),
        caption=(
            f"How the stack with the {title} gives way at {depth} mm depth of cut. "
            f"The deformation is drawn {common.scale:g} times its true size; black "
            "lines show the stack at rest. View, scale and colours are the same for "
            "both stacks."
        ),
    )


def _curves(comparison: Comparison) -> Image:
    ends = " ".join(
        f"With the {STACK_STYLES[stack.name].title}: radial {radial} µm, axial "
        f"{axial} µm, vertical {vertical} µm, diameter error "
        f"{rounded(float(stack.curve.diameter_error_um[-1]))} µm."
        for stack in (comparison.quick_change, comparison.four_way)
        for radial, axial, vertical in [map(rounded, stack.curve.deflection_um[-1])]
    )
    depth = setting(float(comparison.quick_change.curve.depth_mm[-1]))
    return plot(
        curves_figure(comparison),
        "deflection",
        alt=(
            "Four line plots against depth of cut, both stacks in each. "
            f"At {depth} mm: {ends}"
        ),
        caption=(
            "Deflection of the tool tip and error of the work's diameter against "
            "depth of cut; shaded: 5 to 95 % of what the uncertain constants of joints "
            "and ground allow. The numbers are in the tables below and in "
            "deflection.csv."
        ),
    )


def _pressures(stack: StackResult) -> Image:
    title = STACK_STYLES[stack.name].title
    words = ", ".join(
        f"{joint.name} {rounded(joint.clamped_force_n)} N" for joint in stack.joints
    )
    return plot(
        pressure_figure(stack),
        f"pressure_{file_stem(stack)}",
        alt=f"Maps of contact pressure with the {title}. Clamped: {words}.",
        caption=(
            f"Contact pressure with the {title}, each joint on its own scale, the "
            "longer side of its pad lying. White: no contact."
        ),
    )


def _shares(comparison: Comparison) -> Image:
    words = " ".join(
        f"{STACK_STYLES[stack.name].title.capitalize()}: "
        + ", ".join(f"{g} {percent(f)}" for g, f in groups.items())
        + "."
        for stack in (comparison.quick_change, comparison.four_way)
        for groups in [group_fractions(stack.shares)]
    )
    return plot(
        shares_figure(comparison),
        "shares",
        alt=f"Bars of what each member contributes to the tip's motion. {words}",
        caption=(
            "Where the motion of the tip comes from. A bar is as long as the motion "
            "it stands for; its label is the share of that stack's whole motion."
        ),
    )

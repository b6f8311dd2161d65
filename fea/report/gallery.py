"""All pictures of a report, with their captions and their words for the blind."""

from collections.abc import Callable
from dataclasses import replace

from fea.analysis.chatter_result import Chatter
from fea.analysis.member import group_fractions
from fea.analysis.result import Comparison, StackResult
from fea.report.chatter_images import chatter_plots
from fea.report.chatter_modes import mode_images
from fea.report.chatter_simulation import simulation_plot
from fea.report.curves import curves_figure
from fea.report.field_file import FIRST_PART
from fea.report.hands import Hands
from fea.report.image import Image, picture, plot
from fea.report.motion import (
    common_depth,
    deepest,
    deepest_of_both,
    hold_alike,
    motion_along_force,
    place,
)
from fea.report.number import percent, rounded, setting
from fea.report.onset import beginnings_in_words
from fea.report.palette import title_of
from fea.report.picture import PictureSet, deformed_figure, parts_figure, prepare
from fea.report.pressure_maps import pressure_figure
from fea.report.share_bars import shares_figure
from fea.report.size_error import error_name, error_um

VIEWS = (
    "drawing the parts",
    "drawing the deformed stacks",
    "drawing the modes",
)
PLOTS = (
    "drawing the curves",
    "drawing the limits of chatter",
    "drawing the contact pressures",
)
STAGES = (*VIEWS, *PLOTS)

OnStage = Callable[[str], None]


def file_stem(stack: StackResult) -> str:
    """Name of a stack as it stands in file names."""
    return stack.name.replace("-", "_")


def gallery(
    comparison: Comparison,
    chatter: Chatter,
    on_stage: OnStage,
    hands: Hands | None = None,
) -> tuple[Image, ...]:
    """Draw everything.

    Parameters
    ----------
    on_stage : hears what is being drawn
    hands : processes that draw stacks and plots at once; see `drawing_hands`
    """
    if hands is None:
        views = _views(comparison, chatter, on_stage)
        return (*views, *_plots(comparison, chatter, on_stage))
    views_there = hands.stacks.submit(_views, comparison, chatter, _unheard)
    plots_there = hands.plots.submit(
        _plots, *_without_fields(comparison, chatter), _unheard
    )
    images: list[Image] = []
    for drawn, stages in ((views_there, VIEWS), (plots_there, PLOTS)):
        for stage in stages:
            on_stage(stage)
        images += drawn.result()
    return tuple(images)


def _views(
    comparison: Comparison, chatter: Chatter, on_stage: OnStage
) -> tuple[Image, ...]:
    """Draw both stacks: at rest, deformed, swinging."""
    stacks = (comparison.quick_change, comparison.four_way)
    at_rest, deformed, swinging = VIEWS
    on_stage(at_rest)
    common = prepare(comparison)
    images = [_parts(stack, common) for stack in stacks]
    on_stage(deformed)
    images += [_deformed(stack, common) for stack in stacks]
    on_stage(swinging)
    return (*images, *mode_images(chatter))


def _plots(
    comparison: Comparison, chatter: Chatter, on_stage: OnStage
) -> tuple[Image, ...]:
    """Curves, limits, shares, pressures; none of them needs the stacks' fields."""
    curves, limits, pressures = PLOTS
    on_stage(curves)
    images = [_curves(comparison), _shares(comparison)]
    on_stage(limits)
    images[1:1] = chatter_plots(chatter, deepest_of_both(comparison))
    if chatter.simulated is not None:
        images += filter(None, [simulation_plot(chatter.simulated)])
    on_stage(pressures)
    images += [_pressures(comparison.quick_change), _pressures(comparison.four_way)]
    return tuple(images)


def _without_fields(
    comparison: Comparison, chatter: Chatter
) -> tuple[Comparison, Chatter]:
    """Leave out what is large and not plotted."""
    return (
        replace(
            comparison,
            quick_change=replace(comparison.quick_change, fields=()),
            four_way=replace(comparison.four_way, fields=()),
        ),
        replace(
            chatter,
            quick_change=replace(chatter.quick_change, fields=()),
            four_way=replace(chatter.four_way, fields=()),
        ),
    )


def _unheard(_: str) -> None:
    """Take the place of `on_stage` in another process."""


def _parts(stack: StackResult, common: PictureSet) -> Image:
    title = title_of(stack)
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
    title = title_of(stack)
    depth, of = setting(float(stack.curve.depth_mm[-1])), stack.curve.fed.quantity
    moved = rounded(motion_along_force(stack))
    return picture(
        deformed_figure(stack, common),
        f"deformed_{file_stem(stack)}",
        alt=(
            f"Stack with the {title}, deformed by the cutting force at {depth} mm "
            f"{of}; the tip gives way {moved} µm along the force. Colours "
            f"show movement from 0 to {rounded(common.top_um)} µm."
        ),
        caption=(
            f"How the stack with the {title} gives way at {depth} mm {of}. "
            f"The deformation is drawn {common.scale:g} times its true size; black "
            "lines show the stack at rest. View, scale and colours are the same for "
            "both stacks."
        ),
    )


def _curves(comparison: Comparison) -> Image:
    of = comparison.quick_change.curve.fed.quantity
    name = error_name(comparison.quick_change)
    ends = " ".join(
        f"With the {title_of(stack)}: radial {radial} µm, axial "
        f"{axial} µm, vertical {vertical} µm, {name} "
        f"{rounded(float(error_um(stack)[at]))} µm."
        for stack in (comparison.quick_change, comparison.four_way)
        for at in [place(stack, common_depth(comparison))]
        for radial, axial, vertical in [map(rounded, stack.curve.deflection_um[at])]
    )
    depth = setting(common_depth(comparison))
    return plot(
        curves_figure(comparison),
        "deflection",
        alt=(
            f"Four line plots against {of}, both stacks in each. At {depth} mm: {ends}"
        ),
        caption=(
            f"Deflection of the tool tip and {name} of the work against "
            f"{of}; shaded: 5 to 95 % of what joints, ground and clamping may "
            f"be. {_begun(comparison)} The numbers are in the tables "
            "below, in deflection.csv and in bands.csv."
        ),
    )


def _begun(comparison: Comparison) -> str:
    """Name the marks on the curves."""
    words = {
        title_of(stack): beginnings_in_words(stack)
        for stack in (comparison.quick_change, comparison.four_way)
    }
    marks = "; ".join(
        f"with the {title} {text or 'nothing slips or lifts'}"
        for title, text in words.items()
    )
    return f"Marked is where joints above the slides begin to slip or lift: {marks}."


def _pressures(stack: StackResult) -> Image:
    title = title_of(stack)
    depth, of = setting(deepest(stack)), stack.curve.fed.quantity
    words = ", ".join(
        f"{joint.name} {rounded(joint.clamped_force_n)} N and "
        f"{rounded(joint.loaded_force_n)} N, {percent(joint.open_loaded)} open"
        for joint in stack.joints
    )
    return plot(
        pressure_figure(stack),
        f"pressure_{file_stem(stack)}",
        alt=(
            f"Maps of contact pressure with the {title}; forces when clamped and at "
            f"{depth} mm {of}: {words}."
        ),
        caption=(
            f"Contact pressure with the {title}, clamped (left) and at {depth} mm "
            f"{of} (right). Every pad is in its true proportions with its "
            "longer side lying, every joint on its own scale of pressure. Hatched: "
            "open, no contact. Grey: cut out for stud or nut. The arrows tell which "
            "way the pad lies in the machine; those of sloping faces are the nearest."
        ),
    )


def _shares(comparison: Comparison) -> Image:
    words = " ".join(
        f"{title_of(stack).capitalize()}: "
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
            "it stands for; its label is the share of that stack's whole motion. Black "
            "lines are 5 to 95 % of what that share may be when joints, ground and "
            f"clamping are other than assumed.{_apart(comparison)}"
        ),
    )


def _apart(comparison: Comparison) -> str:
    """Say so if the bars of the two stacks stand for different cuts."""
    if hold_alike(comparison):
        return ""
    new, old = (
        setting(deepest(stack))
        for stack in (comparison.quick_change, comparison.four_way)
    )
    of = comparison.quick_change.curve.fed.quantity
    return f" Quick-change post at {new} mm, four-way block at {old} mm {of}."

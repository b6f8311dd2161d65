"""The mode that limits each stack, in motion: a picture that plays in a loop."""

from dataclasses import dataclass
from io import BytesIO
from math import cos, pi
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from fea.analysis.chatter_result import Chatter, Mode, StackChatter
from fea.report import scene
from fea.report.chatter_pitch import heard
from fea.report.chatter_words import main_members, motion_words
from fea.report.image import Image
from fea.report.number import rounded
from fea.report.palette import INK, title_of
from fea.report.surface import Surface, drawing_scale, surface_of
from fea.report.view import View, view_of

if TYPE_CHECKING:
    from PIL.Image import Image as Picture

WIDTH = 480
"""Of every frame [pixel]: motion needs no fine detail."""
FRAMES = 12
"""Of one period, there and back."""
FRAME_MS = 80
"""One period takes about a second: slow enough to follow."""
COLOURS = 256
"""As many as a GIF's palette has."""
WHITE, NEARLY_WHITE = 255, 245
"""Between them a colour stands for the ground of the picture."""
TITLE_HEIGHT = 60
DPI = 100
FONT_SIZE = 11.0
FAR_END = 0
"""Number of the frame that stands for the motion where nothing may move."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """What the pictures of both stacks have in common.

    Parameters
    ----------
    surfaces : of each stack, by its name
    view : the same for both
    scale : motions are drawn this many times too large
    top_um : largest motion of any point
    """

    surfaces: dict[str, tuple[Surface, ...]]
    view: View
    scale: float
    top_um: float


def mode_images(chatter: Chatter) -> tuple[Image, ...]:
    """Draw the limiting mode of either stack, in motion and still."""
    stacks = (chatter.quick_change, chatter.four_way)
    stage = set_stage(stacks)
    return tuple(_image(stack, stage) for stack in stacks)


def swings() -> list[float]:
    """Fraction of the far end in every frame of one period."""
    return [cos(2.0 * pi * frame / FRAMES) for frame in range(FRAMES)]


def set_stage(stacks: tuple[StackChatter, ...]) -> Stage:
    """Choose view and scale for both stacks, with room for both far ends."""
    surfaces = {s.name: tuple(surface_of(f) for f in s.fields) for s in stacks}
    skins = [skin for group in surfaces.values() for skin in group]
    rest = np.concatenate([skin.points for skin in skins])
    movement = max(float(np.linalg.norm(s.displacement, axis=1).max()) for s in skins)
    size = float(np.ptp(rest, axis=0).max())
    scale = drawing_scale(movement, size)
    ends = [skin.deformed(way * scale) for skin in skins for way in (-1.0, 1.0)]
    return Stage(
        surfaces=surfaces,
        view=view_of(np.concatenate(ends), WIDTH),
        scale=scale,
        top_um=max(float(skin.movement_um.max()) for skin in skins),
    )


def _image(stack: StackChatter, stage: Stage) -> Image:
    mode = stack.modes[stack.limiting_mode]
    title = title_of(stack)
    frames = _frames(stack, stage)
    return Image(
        name=f"mode_{stack.name.replace('-', '_')}",
        png=_still(frames[FAR_END]),
        svg=None,
        gif=_moving(frames),
        alt=(
            f"Stack with the {title} swinging at {heard(mode.frequency_hz)}: the tool "
            f"tip goes {motion_words(mode.tip)}, then back."
        ),
        caption=_caption(mode, title),
    )


def _caption(mode: Mode, title: str) -> str:
    return (
        f"The mode that limits the depth with the {title}: "
        f"{heard(mode.frequency_hz)}, damping {rounded(100.0 * mode.damping_ratio)} % "
        f"of critical. The tip goes {motion_words(mode.tip)}, then back; most of the "
        f"give is in {main_members(mode)}. Slowed down and much enlarged; the darker, "
        "the further a point swings. Grey lines show the stack at rest. What is stiff "
        "moves as one piece: look for the place where the motion begins."
    )


def _frames(stack: StackChatter, stage: Stage) -> list[scene.Image]:
    """One period under a title; equal moments of it are drawn once."""
    moments = [round(swing, 6) for swing in swings()]
    once = list(dict.fromkeys(moments))
    drawn = scene.swinging_pictures(
        stage.surfaces[stack.name], stage.view, stage.scale, stage.top_um, once
    )
    head = _title(stack)
    whole = [np.vstack([head, picture]) for picture in drawn]
    return [whole[once.index(moment)] for moment in moments]


def _title(stack: StackChatter) -> NDArray[np.uint8]:
    from matplotlib.figure import Figure
    from PIL import Image as Pillow

    mode = stack.modes[stack.limiting_mode]
    size = (WIDTH / DPI, TITLE_HEIGHT / DPI)
    figure = Figure(figsize=size, dpi=DPI, facecolor="white")
    title = title_of(stack)
    text = f"{title[:1].upper()}{title[1:]}: {heard(mode.frequency_hz)}"
    figure.text(0.5, 0.5, text, ha="center", va="center", fontsize=FONT_SIZE, color=INK)
    buffer = BytesIO()
    figure.savefig(buffer, format="png", dpi=DPI)
    return np.asarray(Pillow.open(buffer).convert("RGB"))


def _still(frame: scene.Image) -> bytes:
    from PIL import Image as Pillow

    buffer = BytesIO()
    Pillow.fromarray(frame).save(buffer, format="PNG")
    return buffer.getvalue()


def _moving(frames: list[scene.Image]) -> bytes:
    """GIF that plays for ever; all frames share one palette."""
    from PIL import Image as Pillow

    # The darkest end of the scale covers little: it must not fall out of the palette.
    method = Pillow.Quantize.MAXCOVERAGE
    palette = Pillow.fromarray(frames[FAR_END]).quantize(COLOURS, method=method)
    shades = np.array(palette.getpalette()).reshape(-1, 3)
    shades[(shades >= NEARLY_WHITE).all(axis=1)] = WHITE
    palette.putpalette(shades.ravel().tolist())
    pictures: list[Picture] = [
        Pillow.fromarray(frame).quantize(palette=palette, dither=Pillow.Dither.NONE)
        for frame in frames
    ]
    buffer = BytesIO()
    pictures[0].save(
        buffer,
        format="GIF",
        save_all=True,
        append_images=pictures[1:],
        duration=FRAME_MS,
        loop=0,
    )
    return buffer.getvalue()

"""Colours, lines and hatches: told apart by the colour-blind and in black and white.

Colours are those of M. Okabe and K. Ito, "Color Universal Design" (2008), and greys;
every use of a colour comes with a second mark (number, line style, marker or hatch).
"""

from dataclasses import dataclass
from typing import Protocol

from fea.analysis.chatter_result import Regime
from fea.analysis.member import Group
from fea.analysis.result import Comparison
from fea.report.onset import Onset

INK = "#222222"
DEFORMED_EDGE = "#7a7a7a"
FAINT = "#c8c8c8"
LOAD = "#d55e00"
DEFLECTION_MAP = "YlGnBu"
"""Light to dark, so that black outlines stay readable where little moves."""
PRESSURE_MAP = "YlGnBu"
CHANCE_MAP = "YlOrBr"
"""Of chatter; light to dark, so that black contours tell the same without colour."""
STUDY_MAP = "YlGnBu"
"""Of a measure over two variables; black contours tell the same without colour."""
BEYOND = ("#8a8a8a", "xxx")
"""Colour and hatch of designs that break a limit or cannot be made."""
CHOICE_STYLES = (
    ("#0072b2", "-", "o"),
    ("#e69f00", "--", "^"),
    ("#009e73", "-.", "v"),
    ("#cc79a7", ":", "p"),
    ("#56b4e9", "-", "d"),
    ("#222222", "--", "h"),
)
"""Colour, line and marker of each name of a choice."""
WINDOW = "#9a9a9a"
"""What is cut out of a pad's middle."""

PART_COLOURS = {
    "tool bit": "#e69f00",
    "holder": "#56b4e9",
    "post body": "#009e73",
    "moving flank": "#cc79a7",
    "four-way block": "#0072b2",
    "shims": "#f0e442",
    "top slide": "#e4e4e4",
    "lower slide": "#bababa",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class StackStyle:
    """How one stack is drawn and called in every plot."""

    title: str
    colour: str
    line: str
    marker: str
    hatch: str


STACK_STYLES = {
    "quick-change": StackStyle(
        title="quick-change post", colour="#0072b2", line="-", marker="o", hatch=""
    ),
    "four-way": StackStyle(
        title="four-way block", colour="#e69f00", line="--", marker="s", hatch="////"
    ),
}

GROUP_STYLES = {
    Group.TOOL: ("#f0e442", ""),
    Group.POST: ("#56b4e9", "///"),
    Group.SLIDES: ("#c8c8c8", "xx"),
}
"""Colour and hatch."""

REGIME_STYLES = {
    Regime.SAFE: ("#d5efe4", ""),
    Regime.SPEED_DEPENDENT: ("#fbf5cf", ".."),
    Regime.CHATTER: ("#f8dccb", "//"),
}
"""Colour and hatch."""

ONSET_MARKERS = {Onset.SLIP: "D", Onset.LIFT: "^"}


class Named(Protocol):
    """A result of one stack."""

    @property
    def name(self) -> str:
        """Either key of `STACK_STYLES`."""


def title_of(stack: Named) -> str:
    """Name of a stack in sentences and headings."""
    return STACK_STYLES[stack.name].title


def titles(comparison: Comparison) -> tuple[str, str]:
    """Names of both stacks, in the order of columns."""
    return title_of(comparison.quick_change), title_of(comparison.four_way)


def part_colour(name: str) -> str:
    """Colour of a part; a part without one is an error, not a grey ghost."""
    try:
        return PART_COLOURS[name]
    except KeyError:
        message = f"part {name!r} has no colour in the report"
        raise LookupError(message) from None

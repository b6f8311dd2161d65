"""Colours, lines and hatches: told apart by the colour-blind and in black and white.

Colours are those of M. Okabe and K. Ito, "Color Universal Design" (2008), and greys;
every use of a colour comes with a second mark (number, line style, marker or hatch).
"""

from dataclasses import dataclass

from fea.report.member import Group

INK = "#222222"
DEFORMED_EDGE = "#7a7a7a"
FAINT = "#c8c8c8"
LOAD = "#d55e00"
DEFLECTION_MAP = "YlGnBu"
"""Light to dark, so that black outlines stay readable where little moves."""

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


def part_colour(name: str) -> str:
    """Colour of a part; a part without one is an error, not a grey ghost."""
    try:
        return PART_COLOURS[name]
    except KeyError:
        message = f"part {name!r} has no colour in the report"
        raise LookupError(message) from None

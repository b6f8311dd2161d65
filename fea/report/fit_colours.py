"""How a fit's pictures tell before, after and measured apart."""

from typing import Any

from fea.report.palette import INK, LOAD

BEFORE = ("#dcdcdc", "////")
AFTER = ("#56b4e9", "")
"""Colour and hatch."""
MEASURED: dict[str, Any] = {
    "fmt": "D",
    "color": INK,
    "markersize": 4.5,
    "markerfacecolor": LOAD,
    "markeredgewidth": 0.8,
    "elinewidth": 1.2,
    "capsize": 2.5,
    "zorder": 4.0,
}

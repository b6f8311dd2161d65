"""What a study can measure of a design: names for limits and aims, words and units."""

from dataclasses import dataclass

from fea.case.unit_registry import (
    FREQUENCY,
    LENGTH,
    MASS,
    RATIO,
    STIFFNESS,
    QuantityKind,
)

MICRON = QuantityKind(
    noun="a length",
    unit="um",
    inch_unit="thou",
    examples=("25 um", "1 thou"),
    known=LENGTH.known,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One number of a design.

    Parameters
    ----------
    column : its name in tables, with the unit
    noun : in words
    kind : what it measures, and in which unit
    """

    column: str
    noun: str
    kind: QuantityKind

    def shown(self, text: str) -> str:
        """Return a number's text with the unit behind it."""
        return f"{text} {self.kind.unit}".rstrip()


def _measure(column: str, noun: str, kind: QuantityKind) -> Measure:
    return Measure(column=column, noun=noun, kind=kind)


RATIO_TO_BLOCK, MASS_KEPT, SAFETY = "stiffness_ratio", "mass", "safety"
LIMIT_DEPTH = "limit_depth"

MEASURES = {
    RATIO_TO_BLOCK: _measure(
        "stiffness_ratio", "stiffness against the four-way block", RATIO
    ),
    "stiffness": _measure(
        "stiffness_n_per_um", "stiffness along the cutting force", STIFFNESS
    ),
    "deflection": _measure(
        "deflection_um", "deflection along the cutting force", MICRON
    ),
    "diameter_error": _measure(
        "diameter_error_um", "diameter error either way", MICRON
    ),
    "frequency": _measure("frequency_hz", "lowest natural frequency", FREQUENCY),
    "held_depth": _measure("held_depth_mm", "deepest cut that is held", LENGTH),
    LIMIT_DEPTH: _measure(
        "limit_depth_mm", "depth of cut up to which no speed chatters", LENGTH
    ),
    MASS_KEPT: _measure("mass_kg", "mass of holder and post", MASS),
    "holder_mass": _measure("holder_kg", "mass of the holder", MASS),
    "body_mass": _measure("body_kg", "mass of the body", MASS),
    "flank_mass": _measure("flank_kg", "mass of the moving flank", MASS),
    "removed": _measure("removed_kg", "metal cut from the stock", MASS),
    "wall": _measure("wall_mm", "thinnest wall of holder and body", LENGTH),
    "shank": _measure("shank_mm", "tallest shank that reaches centre height", LENGTH),
    "clearance": _measure(
        "clearance_mm", "holder over the top slide, tool at centre height", LENGTH
    ),
    "engagement": _measure(
        "engagement", "share of the holder's height that is on the dovetail", RATIO
    ),
    SAFETY: _measure("safety", "yield strength over the highest stress", RATIO),
}
"""By the name that limits and aims use."""

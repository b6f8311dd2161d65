"""The order of setups on the shop sheet, where a wrong one costs the part.

Common practice, no source.
"""

from collections.abc import Iterator

from fea.case.post_section import DRAW, PISTON, WEDGE
from fea.case.schema import Case
from fea.report.shop_sheet_parts import SheetParts
from fea.report.shop_sheet_sizes import Sizes

SQUARE = (
    "Square both blocks; punch-mark base, dovetail face and the end toward the work. "
    "Every later setup sits on these."
)
BORE = (
    "Bore for the stud in the setting in which the base is faced, so that one is "
    "square to the other."
)
RECESS = (
    "Mill the recess before the flanks, on the side away from the work. Fit the bar "
    "oversize, clamp it home, then cut both flanks over body and bar in one setting."
)
MALE = (
    "Male dovetail: step it out with an end mill, then both flanks with the dovetail "
    "cutter at one depth setting and against the feed. Relieve the root's corners "
    "before the last pass. Measure over pins; come to size from the same flank."
)
FEMALE = (
    "Female dovetail to the finished post, not the other way round: the holder is the "
    "smaller loss. To full depth with an end mill first, then the flanks."
)
SLOT = (
    "Slot in the holder last, off the finished dovetail, floor square to the face; "
    "then tap for the screws from the top."
)
BLUE = {
    WEDGE: "Blue and clamp: both flanks and the face beside them must mark.",
    PISTON: "Blue and clamp: both flanks must mark over their height, the face not.",
    DRAW: "Blue and clamp: the face must mark on both sides of the dovetail.",
}
BLUE_SOLID = "Blue and try: both flanks and the face must mark."


def setups(case: Case, parts: SheetParts, sizes: Sizes) -> tuple[str, ...]:
    """Return the steps in their order."""
    return tuple(_steps(case, parts, sizes))


def _steps(case: Case, parts: SheetParts, sizes: Sizes) -> Iterator[str]:
    yield SQUARE
    yield BORE
    yield from _offsets(parts, sizes)
    if parts.flank is not None:
        yield RECESS
    yield MALE
    yield FEMALE
    yield SLOT
    yield BLUE.get(case.post.clamping.way, BLUE_SOLID)


def _offsets(parts: SheetParts, sizes: Sizes) -> Iterator[str]:
    for part, offset in (
        ("holder", parts.holder.dovetail_offset),
        ("body", parts.body.dovetail_offset),
    ):
        if offset == 0.0:
            continue
        way = "toward" if offset > 0.0 else "away from"
        how_far = sizes.length(abs(offset))
        yield (
            f"The {part}'s dovetail is {how_far} off the middle, {way} the work: lay "
            "it out from the punch mark, or it comes out mirrored."
        )

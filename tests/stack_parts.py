"""Parts and pads of a lathe of 150 mm centre height, for the tests of geometry."""

from dataclasses import dataclass

from geometry.dovetail import Dovetail
from geometry.pad import Pad
from geometry.parts.four_way_block import FourWayBlock
from geometry.parts.holder import Holder
from geometry.parts.lower_slide import LowerSlide
from geometry.parts.moving_flank import MovingFlank
from geometry.parts.post_body import PostBody
from geometry.parts.tool_bit import ToolBit
from geometry.parts.top_slide import TopSlide
from geometry.shape import Shape

X, Y, Z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)

TAIL = Dovetail(width=42.0, depth=9.0, angle_deg=60.0, clearance=1.0)
WAYS = Dovetail(width=52.0, depth=9.0, angle_deg=55.0, clearance=1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """A part with the pads that it might have."""

    shape: Shape
    pads: list[Pad]


def flat(
    name: str,
    centre: tuple[float, float, float],
    half_sizes: tuple[float, float],
    window: tuple[float, float] | None = None,
) -> Pad:
    """Pad that looks upward."""
    return Pad(
        name=name,
        centre=centre,
        first=X,
        second=Y,
        half_sizes=half_sizes,
        window=window,
    )


def way_flank(name: str, base: float, front: float, length: float) -> Pad:
    """Pad on the flank of the ways on the +x side."""
    rise = (WAYS.half_width(WAYS.depth) - WAYS.half_width(0.0)) / WAYS.flank_length
    climb = WAYS.depth / WAYS.flank_length
    middle = (WAYS.half_width(0.0) + WAYS.half_width(WAYS.depth)) / 2.0
    return Pad(
        name=name,
        centre=(middle, front + length / 2.0, base + WAYS.depth / 2.0),
        first=(rise, 0.0, climb),
        second=Y,
        half_sizes=(WAYS.flank_length / 2.0, length / 2.0),
    )


def post_flank(name: str, face: float, low: float, height: float) -> Pad:
    """Pad on the post dovetail's flank on the +x side, its middle at x = 0."""
    lean = TAIL.overhang / TAIL.flank_length
    climb = TAIL.depth / TAIL.flank_length
    middle = (TAIL.width - TAIL.overhang) / 2.0
    return Pad(
        name=name,
        centre=(middle, face - TAIL.depth / 2.0, low + height / 2.0),
        first=(lean, -climb, 0.0),
        second=Z,
        half_sizes=(TAIL.flank_length / 2.0, height / 2.0),
    )


HOLDER = Holder(
    length=70.0,
    height=50.0,
    thickness=38.0,
    floor=14.0,
    slot_height=17.0,
    slot_depth=17.0,
    dovetail=TAIL,
    dovetail_offset=0.0,
)
BODY = PostBody(
    side=70.0,
    height=62.0,
    bore=14.0,
    dovetail=TAIL,
    dovetail_offset=0.0,
    recess=None,
)
BLOCK = FourWayBlock(
    side=80.0, height=58.0, bore=14.0, floor=16.0, slot_height=17.0, slot_depth=17.0
)
TOP_SLIDE = TopSlide(
    length=160.0,
    width=75.0,
    height=32.0,
    stud_from_front=45.0,
    ways=WAYS,
    end_wall=15.0,
)

SAMPLES = {
    "tool bit": Sample(
        shape=ToolBit(height=12.0, width=12.0, length=95.0, tip_patch=2.0),
        pads=[
            flat("tip", (0.0, 0.0, 0.0), (1.0, 1.0)),
            flat("floor", (59.5, 5.0, -12.0), (34.5, 6.0)),
            flat("screw", (40.0, 5.0, 0.0), (3.0, 3.0)),
        ],
    ),
    "holder": Sample(
        shape=HOLDER,
        pads=[
            flat("slot", (35.0, -32.0, 14.0), (35.0, 6.0)),
            flat("roof", (15.0, -32.0, 31.0), (3.0, 3.0)),
        ],
    ),
    "post body": Sample(
        shape=BODY,
        pads=[
            flat("base", (0.0, 0.0, 0.0), (35.0, 35.0), (9.0, 9.0)),
            flat("nut", (0.0, 0.0, 62.0), (13.0, 13.0), (8.0, 8.0)),
            post_flank("flank", -35.0, 6.0, 50.0),
        ],
    ),
    "moving flank": Sample(
        shape=MovingFlank(height=62.0, dovetail=TAIL, recess=12.0),
        pads=[post_flank("flank", 0.0, 0.0, 62.0)],
    ),
    "four-way block": Sample(
        shape=BLOCK,
        pads=[
            flat("base", (0.0, 0.0, 0.0), (40.0, 40.0), (10.0, 10.0)),
            flat("slot", (0.0, -34.0, 16.0), (40.0, 6.0)),
        ],
    ),
    "top slide": Sample(
        shape=TOP_SLIDE,
        pads=[
            flat("post", (0.0, 0.0, 0.0), (35.0, 35.0), (9.0, 9.0)),
            flat("stud", (0.0, 0.0, 0.0), (9.0, 9.0)),
            way_flank("flank", -32.0, -45.0, 120.0),
        ],
    ),
    "lower slide": Sample(
        shape=LowerSlide(length=120.0, width=100.0, height=45.0, ways=WAYS),
        pads=[
            flat("ground", (0.0, 60.0, -45.0), (50.0, 60.0)),
            way_flank("flank", 0.0, 0.0, 120.0),
        ],
    ),
}

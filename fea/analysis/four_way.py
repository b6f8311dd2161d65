"""The four-way stack: the same tool in a plain block on the same slides."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from fea.analysis.plan_builder import PlanBuilder
from fea.analysis.slides import add_seat, add_slides
from fea.analysis.tool_seat import (
    THINNEST_PACK,
    Slot,
    add_tool_seat,
    place_tool,
    slot_wall,
)
from fea.case.schema import Case
from fea.core.material import load_materials
from fea.core.plan import StackPlan
from geometry.parts.four_way_block import FourWayBlock
from geometry.parts.tool_bit import ToolBit
from geometry.shape import Shape


def four_way_plan(case: Case, shapes: Mapping[str, Shape]) -> StackPlan:
    """Draw the four-way stack of a case. `shapes` by part name."""
    tool, block = shapes["tool bit"], shapes["four-way block"]
    if not (isinstance(tool, ToolBit) and isinstance(block, FourWayBlock)):
        raise TypeError(shapes)
    block = _on_thin_packing(case, tool, block)
    front = case.tool.overhang
    middle = slot_wall(tool) - block.slot_depth + block.side / 2.0
    seat = np.array([front + block.side / 2.0, middle, -case.machine.tool_height])
    builder = PlanBuilder("four-way")
    tip = place_tool(builder, case, tool)
    material = load_materials()[case.block.material]
    builder.place("four-way block", block, material, seat)
    floor = float(seat[2]) + block.floor
    slot = Slot(
        part="four-way block",
        front=front,
        length=block.side,
        depth=block.slot_depth,
        floor=floor,
        roof=floor + block.slot_height,
        # The slots on its other sides cut off both ends of the wall.
        wall=(front + block.slot_depth, front + block.side - block.slot_depth),
        screws=case.block.screws,
    )
    add_tool_seat(builder, case, tool, slot, case.block.shims.count)
    add_slides(builder, case, shapes, seat)
    add_seat(builder, case, "four-way block", block, seat)
    return builder.finish(tip)


def _on_thin_packing(case: Case, tool: ToolBit, block: FourWayBlock) -> FourWayBlock:
    """Raise the floor by a pack too thin to mesh; its faces still count as joints."""
    pack = case.machine.tool_height - tool.height - block.floor
    if not 0.0 < pack < THINNEST_PACK:
        return block
    return replace(
        block, floor=block.floor + pack, slot_height=block.slot_height - pack
    )

"""What a design is to make: masses, metal to cut away, walls, room for the tool."""

from collections.abc import Mapping

from fea.case.derived import (
    part_masses,
    part_materials,
    tallest_shank,
    thinnest_wall,
)
from fea.case.fit import engagement, holder_bottom
from fea.case.schema import Case
from fea.case.shapes import HOLDER, MOVING_FLANK, POST_BODY
from geometry.units import KG_PER_TONNE

MADE = (HOLDER, POST_BODY, MOVING_FLANK)


def making(case: Case) -> Mapping[str, float]:
    """Return masses [kg], walls and room [mm], by the columns of a study's table."""
    masses = part_masses(case)
    holder, body, flank = (masses.get(part, 0.0) for part in MADE)
    whole = holder + body + flank
    return {
        "mass_kg": whole,
        "holder_kg": holder,
        "body_kg": body,
        "flank_kg": flank,
        "removed_kg": _stock(case) - whole,
        "wall_mm": thinnest_wall(case),
        "shank_mm": tallest_shank(case),
        "clearance_mm": holder_bottom(case),
        "engagement": engagement(case) / case.holder.height,
    }


def _stock(case: Case) -> float:
    """Mass of the bars that holder, body and moving flank just fit in. [kg]."""
    holder, post, tail = case.holder, case.post, case.post.dovetail
    volumes = {
        HOLDER: holder.length * holder.height * holder.thickness,
        POST_BODY: post.side * (post.side + tail.depth) * post.height,
        MOVING_FLANK: (post.clamping.recess or 0.0) * tail.depth * post.height,
    }
    materials = part_materials(case)
    return sum(
        volume * materials[part].density_t_mm3 * KG_PER_TONNE
        for part, volume in volumes.items()
        if part in materials
    )

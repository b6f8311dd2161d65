"""Tables of the shop sheet: limits, screws, stock and masses; the wedge in a line."""

from collections.abc import Iterator
from functools import partial
from math import radians, tan

import numpy as np

from fea.case.derived import part_materials
from fea.case.post_section import PISTON, WEDGE
from fea.case.schema import Case
from fea.case.tightening import (
    BLOCK_SCREWS,
    axial_force,
    axial_from_torque,
    case_drive,
    look_in,
    tightenings_of,
    torque_from_axial,
)
from fea.core.material import Material
from fea.report.shop_sheet_parts import SheetParts
from fea.report.shop_sheet_sizes import Sizes
from fea.report.table import Table
from geometry.shape import Shape
from geometry.units import KG_PER_TONNE

# Left on every face of the stock, to be squared away (common practice, no source). [mm]
STOCK_MM = 2.0

# A taper is set up by how much it falls over this length. [mm]
TAPER_OVER_MM = 100.0


def limit_table(parts: SheetParts, sizes: Sizes) -> Table:
    """Limits by the fits that were chosen."""
    rows = tuple(
        (what, f"{sizes.length(limits.nominal)} {limits.name}", sizes.limits(limits))
        for what, limits in (
            ("stud bore, centred", parts.bore),
            ("male, wide top", parts.male),
            ("female, wide bottom", parts.female),
        )
    )
    meaning = (
        "ISO 286-1, from memory; classes by common practice. Other sizes ISO 2768-m. "
        "Base, face and flanks square or parallel to each other within "
        f"{sizes.length(0.02)} over their length; edges broken."
    )
    return Table(
        caption="Limits",
        meaning=meaning,
        head=("", "size", "upper / lower"),
        rows=rows,
        n_words=1,
    )


def play_sentence(case: Case, parts: SheetParts, sizes: Sizes) -> str:
    """Return how far the dovetails fit apart, and what becomes of it."""
    most = parts.female.upper - parts.male.lower
    said = f"Play across the dovetail: 0 to {sizes.measured(most)}"
    if case.post.clamping.way == WEDGE:
        return f"{said}, taken up by the wedge."
    if case.post.clamping.way == PISTON:
        off = most / 2.0 * tan(radians(parts.dovetail.angle_deg))
        return (
            f"{said}; the holder then hangs up to {sizes.measured(off)} off the face."
        )
    return f"{said}; the flanks only locate, so fit them closely."


def wedge_sentences(case: Case, sizes: Sizes) -> Iterator[str]:
    """Yield the wedge's taper over length, if there is a wedge."""
    taper = case.post.clamping.taper
    if case.post.clamping.way != WEDGE or taper is None:
        return
    slope = tan(radians(taper))
    over, height = TAPER_OVER_MM, case.post.height
    yield (
        f"Wedge behind the moving flank: {taper:g}°, 1 in {1.0 / slope:.2f}; "
        f"{sizes.measured(slope * over)} over {sizes.length(over)}, "
        f"{sizes.measured(slope * height)} over the body's height. Its passage and the "
        "clamping screw's are not drawn."
    )


def screw_table(case: Case, sizes: Sizes) -> Table:
    """Torques that the prediction assumes, and the forces it gets from them."""
    rows = []
    for screw in tightenings_of(case):
        if screw is BLOCK_SCREWS:
            continue
        drive, look = case_drive(case, screw), look_in(case)
        axial, oil, given = (
            axial_force(case, screw),
            drive.lubrication,
            look(screw.torque),
        )
        torque = (
            torque_from_axial(drive, axial, oil.friction) if given is None else given
        )
        pull = partial(axial_from_torque, drive, torque)
        what = f"{screw.name}, ⌀{sizes.length(drive.screw.diameter)}"
        row = (
            f"{what}, {drive.property_class}, {oil.key}",
            sizes.torque(torque),
            sizes.forces(axial),
            sizes.forces(pull(oil.sticky), pull(oil.slippery)),
        )
        rows.append(row)
    return Table(
        caption="Torques that the prediction assumes",
        meaning="Force along each screw; with its size, class and what is on it.",
        head=("", "torque", "force", "may be"),
        rows=tuple(rows),
        n_words=1,
    )


def stock_table(case: Case, parts: SheetParts, sizes: Sizes) -> Table:
    """Stock to saw, and what is left of it."""
    materials = part_materials(case)
    words = {"holder": case.holder.material}
    body, holder, flank = parts.body, parts.holder, parts.flank
    made: list[tuple[str, Shape, tuple[float, float, float]]] = [
        ("post body", body, (body.side, body.side + body.dovetail.depth, body.height)),
        ("holder", holder, (holder.length, holder.thickness, holder.height)),
    ]
    if flank is not None:
        bar = (flank.recess, flank.dovetail.depth, flank.height)
        made.append(("moving flank", flank, bar))
    rows = []
    for name, shape, box in made:
        sawn, material = np.add(box, 2.0 * STOCK_MM), materials[name]
        row = (
            f"{name}, {words.get(name, case.post.material)}",
            sizes.box([float(side) for side in sawn]),
            _mass(float(sawn.prod()), material, sizes),
            _mass(shape.volume, material, sizes),
        )
        rows.append(row)
    return Table(
        caption="Stock",
        meaning=f"{sizes.length(STOCK_MM)} on every face to square away.",
        head=("", "to saw", "stock", "part"),
        rows=tuple(rows),
        n_words=1,
    )


def _mass(volume: float, material: Material, sizes: Sizes) -> str:
    return sizes.mass(volume * material.density_t_mm3 * KG_PER_TONNE)

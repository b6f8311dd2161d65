"""Stress in inner corners: grows with the mesh at the edge, settles beside it.

Sources: exponents of Williams, J. Appl. Mech. 19 (1952) 526, as the tables of notch
mechanics give them (from memory): 0.5 for a crack, 0.5122, 0.5445, 0.6157 for openings
of 60, 90 and 120 degrees.
"""

import numpy as np
import pytest
from block_mesh import material
from stack_parts import HOLDER

from fea.core.hot_spots import READING_MM, HotSpot, Limit, hot_spots
from fea.core.part_loads import patch_load
from fea.core.plan import PartPlan
from fea.core.stress import Loads, recover_stresses
from geometry.mesher import mesh_part
from geometry.pad import Pad

NU = 0.3


def spots(plan: PartPlan, loads: Loads, size: float) -> tuple[HotSpot, ...]:
    pads = [*plan.contacts, *plan.patches]
    mesh = mesh_part(plan.shape, pads, size, name=plan.name)
    (field,) = recover_stresses(mesh, pads, NU, [loads], name=plan.name)
    return hot_spots(plan, field, size)


def slot_pad(name: str, z: float) -> Pad:
    """Pad on the floor or the roof of the holder's slot."""
    return Pad(
        name=name,
        centre=(35.0, -33.0, z),
        first=(1.0, 0.0, 0.0),
        second=(0.0, 1.0, 0.0),
        half_sizes=(20.0, 4.0),
    )


def test_an_edges_peak_grows_with_the_mesh_and_its_reading_settles() -> None:
    """The lips of a holder's slot are pushed apart, as set screws do."""
    floor = slot_pad("floor", HOLDER.floor)
    roof = slot_pad("roof", HOLDER.floor + HOLDER.slot_height)
    plan = PartPlan(
        name="holder",
        shape=HOLDER,
        material=material(nu=NU),
        origin=(0.0, 0.0, 0.0),
        contacts=(),
        patches=(floor, roof),
    )
    push = np.array([0.0, 0.0, 5000.0])
    loads = {"floor": patch_load(floor, -push), "roof": patch_load(roof, push)}
    edges, readings = [], []
    for size in (8.0, 5.0, 3.2):
        found = [s for s in spots(plan, loads, size) if s.feature == "slot root"]
        edge, reading = found
        assert (edge.limit, reading.limit) == (Limit.MESH, Limit.NONE)
        assert reading.distance == READING_MM
        edges.append(edge.von_mises)
        readings.append(reading.von_mises)
    # The elements at the edge shrink 2.5-fold, so by Williams the peak grows by
    # 2.5^0.4555 = 1.52 in all; half of that growth is asked for, at each step.
    assert edges[1] > 1.12 * edges[0]
    assert edges[2] > 1.12 * edges[1]
    # The reading is interpolated between points some millimetres apart.
    assert readings == pytest.approx([readings[-1]] * 3, rel=0.05)

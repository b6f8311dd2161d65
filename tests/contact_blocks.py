"""Blocks on joints that lift and slip: rigid by hand, elastic by reduction."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from block_mesh import flat_pad

from fea.core.contact_law import ContactLaw
from fea.core.contact_model import ContactJoint, ContactModel, ContactState, Tie
from fea.core.interface import Interface
from fea.core.pad_functions import PadFunctions
from geometry.pad import FloatArray

# Stiffness of a block that is taken as rigid. Joints in these tests have 1e3 to 1e5
# N/mm³, so its own give is below 1e-3 of theirs. [N/mm³]
RIGID = 1e8

# The same of the ends that a rod pulls at; rods have up to 1e6 N/mm. [N/mm]
RIGID_END = 1e11

AXES = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """A rectangle centred on the z axis on which a rigid block lies or is held down.

    `side` 1: the block lies above the pad; -1: it lies below. `sizes` (2,) [mm].
    """

    name: str
    law: ContactLaw
    sizes: tuple[float, float]
    height: float = 0.0
    side: float = 1.0
    degree: int = 1
    order: int = 5
    pressure: float = 1.0
    drive: float | None = None
    yields: bool = False

    def joint(self) -> ContactJoint:
        functions, weights, _ = self._points()
        return ContactJoint(
            name=self.name,
            law=self.law,
            functions=functions,
            weights=weights,
            pressure=self.pressure,
            drive=self.drive,
            yields=self.yields,
        )

    def rows(self) -> FloatArray:
        """Coefficients under the block's six rigid motions. (3 k, 6)."""
        functions, weights, places = self._points()
        moved = np.array([rigid_rows(place) for place in places])
        rows = np.einsum("kn,naq->kaq", functions * weights, moved)
        return self.side * rows.reshape(-1, 6)

    def functions(self, x: float, y: float) -> FloatArray:
        """Functions of the pad at a point. (k,)."""
        return self._functions().values(np.array([[x, y]]))[:, 0]

    def _functions(self) -> PadFunctions:
        a, b = self.sizes[0] / 2.0, self.sizes[1] / 2.0
        return PadFunctions(
            flat_pad(self.name, (-a, a), (-b, b), self.height), self.degree
        )

    def _points(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        functions = self._functions()
        local, weights = functions.quadrature(self.order)
        places = np.column_stack([local, np.full(len(local), self.height)])
        return functions.values(local), weights, places


@dataclass(frozen=True, slots=True, kw_only=True)
class Rod:
    """A link from a rigid block to ground, at a point and along an axis."""

    name: str
    axis: str
    at: tuple[float, float, float] = (0.0, 0.0, 0.0)
    stiffness: float = 0.0
    preload: float = 0.0


def rigid_rows(place: Sequence[float] | FloatArray) -> FloatArray:
    """Displacement of a point under unit shifts and turns of its body. (3, 6)."""
    x, y, z = place
    turned = [[0.0, z, -y], [-z, 0.0, x], [y, -x, 0.0]]
    return np.hstack([np.eye(3), np.array(turned)])


def rigid_block(
    seats: Sequence[Seat], rods: Sequence[Rod], tip: tuple[float, float, float]
) -> ContactModel:
    """A rigid block on its seats, pulled by its rods, with a force at `tip`."""
    blocks = {seat.name: seat.rows() for seat in seats}
    blocks |= {
        rod.name: (np.array(AXES[rod.axis]) @ rigid_rows(rod.at))[None] for rod in rods
    }
    ends = np.cumsum([len(rows) for rows in blocks.values()])
    rigid = np.vstack(list(blocks.values()))
    hard = np.full(len(rigid), RIGID)
    hard[len(rigid) - len(rods) :] = RIGID_END
    interface = Interface(
        slices={
            name: slice(int(end) - len(rows), int(end))
            for (name, rows), end in zip(blocks.items(), ends, strict=True)
        },
        inverse=np.diag(hard),
        rigid=rigid,
        tip=np.zeros((len(rigid), 3)),
        tip_rigid=rigid_rows(tip),
        tip_own=np.zeros((3, 3)),
    )
    return ContactModel(
        interface=interface,
        contacts=tuple(seat.joint() for seat in seats),
        springs=(),
        ties=tuple(
            Tie(name=rod.name, stiffness=rod.stiffness, preload=rod.preload)
            for rod in rods
        ),
    )


def guides(stiffness: float, height: float) -> list[Rod]:
    """Rods along x and y that keep a block upright and carry nothing upward."""
    return [
        Rod(name="guide 1", axis="x", stiffness=stiffness),
        Rod(name="guide 2", axis="x", at=(0.0, 0.0, height), stiffness=stiffness),
        Rod(name="guide 3", axis="x", at=(0.0, height, 0.0), stiffness=stiffness),
        Rod(name="guide 4", axis="y", stiffness=stiffness),
        Rod(name="guide 5", axis="y", at=(0.0, 0.0, height), stiffness=stiffness),
    ]


def normal_force(model: ContactModel, state: ContactState, name: str) -> float:
    """Force that a joint carries across its faces, from its coefficients. [N]."""
    own = model.interface.slices[name]
    joint = next(each for each in model.contacts if each.name == name)
    # The first function is the constant 1 / sqrt(area).
    return float(-state.tractions[own.start + 2] * np.sqrt(joint.weights.sum()))


def tension(model: ContactModel, state: ContactState, name: str) -> float:
    """Tension of a link. [N]."""
    return float(state.tractions[model.interface.slices[name].start])


def slope(function: Callable[[float], FloatArray], step: float) -> FloatArray:
    """Central difference about 0; its error is of second order in the step."""
    return (function(step) - function(-step)) / (2.0 * step)

"""Collects parts, pads, joints and links into the plan of a stack."""

from dataclasses import dataclass, field, replace

from fea.core.joint import Joint, Law, Link, PadRef
from fea.core.material import Material
from fea.core.plan import PartPlan, StackPlan
from geometry.pad import FloatArray, Pad, as_vector
from geometry.shape import Shape


@dataclass(slots=True)
class PlanBuilder:
    """Draws a stack: a pad is defined once and given to both parts it belongs to."""

    name: str
    _parts: dict[str, PartPlan] = field(default_factory=dict)
    _joints: list[Joint] = field(default_factory=list)
    _links: list[Link] = field(default_factory=list)

    def place(
        self, name: str, shape: Shape, material: Material, origin: FloatArray
    ) -> None:
        """Put a part in the machine frame. `origin` (3,) [mm]."""
        self._parts[name] = PartPlan(
            name=name,
            shape=shape,
            material=material,
            origin=as_vector(origin),
            contacts=(),
            patches=(),
        )

    def join(self, lower: str | None, upper: str, pad: Pad, law: Law) -> None:
        """Join two parts by a pad of the machine frame, which names the joint."""
        for name in (lower, upper):
            if name is not None:
                part = self._parts[name]
                self._parts[name] = replace(part, contacts=(*part.contacts, pad))
        below = None if lower is None else PadRef(part=lower, pad=pad.name)
        above = PadRef(part=upper, pad=pad.name)
        self._joints.append(Joint(name=pad.name, lower=below, upper=above, law=law))

    def strut(
        self, name: str, ends: tuple[tuple[str, Pad], tuple[str, Pad]], law: Law
    ) -> None:
        """Let a strut of the second part push on the first, by a patch on each."""
        lower, upper = (self.patch(part, pad) for part, pad in ends)
        made = Joint(name=name, lower=lower, upper=upper, law=law, strut=True)
        self._joints.append(made)

    def link(
        self,
        name: str,
        ends: tuple[tuple[str, Pad], tuple[str, Pad]],
        stiffness: float,
        preload: float,
    ) -> None:
        """Link two parts by a patch on each, lower one first."""
        lower, upper = (self.patch(part, pad) for part, pad in ends)
        made = Link(
            name=name, lower=lower, upper=upper, stiffness=stiffness, preload=preload
        )
        self._links.append(made)

    def patch(self, name: str, pad: Pad) -> PadRef:
        """Give a part a patch of the machine frame."""
        part = self._parts[name]
        self._parts[name] = replace(part, patches=(*part.patches, pad))
        return PadRef(part=name, pad=pad.name)

    def finish(self, tip: PadRef) -> StackPlan:
        """Return the plan; `tip` is the patch that carries the cutting force."""
        return StackPlan(
            name=self.name,
            parts=tuple(self._parts.values()),
            joints=tuple(self._joints),
            links=tuple(self._links),
            tip=tip,
        )

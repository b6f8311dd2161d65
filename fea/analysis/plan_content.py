"""All that a planned stack is made of, as plain values for a hash."""

from dataclasses import asdict

from fea.core.cache import part_key
from fea.core.plan import StackPlan
from fea.core.reduction import Settings


def plan_content(
    plan: StackPlan, fineness: tuple[float, Settings]
) -> dict[str, object]:
    """Return parts, joints and links; `fineness` as the case's."""
    return {
        "parts": [
            [part_key(part, *fineness), asdict(part.material), part.origin]
            for part in plan.parts
        ],
        "joints": [
            [joint.name, type(joint.law).__name__, asdict(joint.law)]  # type: ignore[call-overload]
            for joint in plan.joints
        ],
        "links": [asdict(link) for link in plan.links],
    }

"""What is drawn for all stacks together, and what a stack's sets depend on."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass

from fea.analysis.build import fineness
from fea.analysis.clamping_scatter import Scatter, clamping_scatter
from fea.analysis.draw import SAMPLES, SEED, Constants, draw_constants
from fea.analysis.fitted import Fitted, fitted
from fea.analysis.stack_answer import StackAnswer
from fea.case.schema import Case
from fea.core.cache import part_key
from fea.core.reduction import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonDraw:
    """What is common to all stacks.

    Parameters
    ----------
    joints, screws : whose constants are drawn, together
    scatters : of clamping forces, by joint or link, of each stack
    fineness : what the parts were made of
    known : of the constants, from a fit
    """

    joints: list[str]
    screws: list[str]
    scatters: list[Mapping[str, Scatter]]
    fineness: tuple[float, Settings]
    known: Fitted

    def constants(self) -> Constants:
        """Draw them."""
        return draw_constants(self.joints, self.screws, self.known)


def common_draw(case: Case, answers: Sequence[StackAnswer]) -> CommonDraw:
    """Return what is drawn for the stacks of a case."""
    scatters = [clamping_scatter(case, each.plan) for each in answers]
    return CommonDraw(
        joints=sorted({joint.name for each in answers for joint in each.plan.joints}),
        screws=sorted({one.screw for each in scatters for one in each.values()}),
        scatters=scatters,
        fineness=fineness(case),
        known=fitted(case),
    )


def set_content(
    answer: StackAnswer, scatter: Mapping[str, Scatter], draw: CommonDraw
) -> dict[str, object]:
    """Return all that a stack's sets depend on, cuts left out, for a hash."""
    plan = answer.plan
    return {
        "draw": [SAMPLES, SEED, draw.joints, draw.screws],
        "known": draw.known.calibration.model_dump(mode="json"),
        "parts": [
            [part_key(part, *draw.fineness), asdict(part.material), part.origin]
            for part in plan.parts
        ],
        "joints": [
            [joint.name, type(joint.law).__name__, asdict(joint.law)]  # type: ignore[call-overload]
            for joint in plan.joints
        ],
        "links": [asdict(link) for link in plan.links],
        "clamping": {name: asdict(each) for name, each in scatter.items()},
    }

"""What is drawn for all stacks together, and what a stack's sets depend on."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass

from fea.analysis.build import fineness
from fea.analysis.clamping_scatter import Scatter, clamping_scatter
from fea.analysis.draw import SAMPLES, SEED, Constants, draw_constants
from fea.analysis.fitted import Fitted, fitted
from fea.analysis.plan_content import plan_content
from fea.analysis.stack_answer import StackAnswer
from fea.case.schema import Case
from fea.case.table_spread import ground_spread
from fea.core.reduction import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonDraw:
    """What is common to all stacks.

    Parameters
    ----------
    joints, screws : whose constants are drawn, together
    ground_factor : the ground may be this many times stiffer or softer
    scatters : of clamping forces, by joint or link, of each stack
    fineness : what the parts were made of
    known : of the constants, from a fit
    """

    joints: list[str]
    screws: list[str]
    ground_factor: float
    scatters: list[Mapping[str, Scatter]]
    fineness: tuple[float, Settings]
    known: Fitted

    def constants(self) -> Constants:
        """Draw them."""
        return draw_constants(self.joints, self.screws, self.ground_factor, self.known)


def common_draw(case: Case, answers: Sequence[StackAnswer]) -> CommonDraw:
    """Return what is drawn for the stacks of a case."""
    scatters = [clamping_scatter(case, each.plan) for each in answers]
    return CommonDraw(
        joints=sorted({joint.name for each in answers for joint in each.plan.joints}),
        screws=sorted({one.screw for each in scatters for one in each.values()}),
        ground_factor=ground_spread(case),
        scatters=scatters,
        fineness=fineness(case),
        known=fitted(case),
    )


def set_content(
    answer: StackAnswer, scatter: Mapping[str, Scatter], draw: CommonDraw
) -> dict[str, object]:
    """Return all that a stack's sets depend on, cuts left out, for a hash."""
    return {
        "draw": [SAMPLES, SEED, draw.joints, draw.screws, draw.ground_factor],
        "known": draw.known.calibration.model_dump(mode="json"),
        **plan_content(answer.plan, draw.fineness),
        "clamping": {name: asdict(each) for name, each in scatter.items()},
    }

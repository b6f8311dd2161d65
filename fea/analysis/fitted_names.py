"""Names of the constants that a fit may have found in a case; others are refused."""

from collections.abc import Mapping, Sequence

from rapidfuzz import process

from fea.analysis.build import PLANS, plan_stack
from fea.analysis.chatter_samples import CUT_NAMES
from fea.analysis.clamping_scatter import expected_scatter
from fea.analysis.draw import constant_names
from fea.analysis.mode_samples import loss_name
from fea.case.case_file import CaseReading
from fea.case.key_lines import key_lines, line_of
from fea.case.schema import Case
from fea.case.toml_text import read_text
from fea.core.joint import Joint, Link
from fea.core.plan import PartPlan, StackPlan
from fea.core.strut import StrutLaw
from fea.core.surface_law import SurfaceLaw
from geometry.errors import InputError

KEY = "calibration.constants"
NEAREST = 3
"""Names that are offered for a wrong one."""


def fitted_names(case: Case) -> tuple[str, ...]:
    """Return every name that `[calibration.constants]` may have, each once.

    Raises
    ------
    InputError
        Dimensions of the case collide.
    """
    plans = [plan_stack(case, name) for name in PLANS]
    joints = [
        joint.name
        for plan in plans
        for joint in plan.joints
        if isinstance(joint.law, SurfaceLaw | StrutLaw)
    ]
    screws = [
        each.screw for plan in plans for each in expected_scatter(case, plan).values()
    ]
    losses = [loss_name(member) for plan in plans for member in _members(plan)]
    names = [*constant_names(joints, screws), *CUT_NAMES, *losses]
    return tuple(dict.fromkeys(names))


def require_fitted_names(reading: CaseReading) -> None:
    """Refuse a calibrated case with a constant that neither of its stacks has.

    Raises
    ------
    InputError
        Names file, line, the first such constant and the nearest that there are.
    """
    known = fitted_names(reading.case)
    wrong = [name for name in reading.case.calibration.constants if name not in known]
    if wrong:
        lines = key_lines(read_text(reading.path))
        raise InputError(_message(reading.path.name, wrong, known, lines))


def _members(plan: StackPlan) -> list[str]:
    """Names of all that loses energy when the stack rings."""
    members: tuple[PartPlan | Joint | Link, ...]
    members = (*plan.parts, *plan.joints, *plan.links)
    return [each.name for each in members]


def _message(
    file: str, wrong: Sequence[str], known: Sequence[str], lines: Mapping[str, int]
) -> str:
    first = wrong[0]
    near = [f'"{each[0]}"' for each in process.extract(first, known, limit=NEAREST)]
    more = f" (nor {len(wrong) - 1} others that are named)" if len(wrong) > 1 else ""
    return (
        f'{file}, line {line_of(f"{KEY}.{first}", lines)}: {KEY}."{first}": neither '
        f"stack of this case has such a constant{more}; nearest are "
        f"{', '.join(near)}. Correct the name; or if the case was changed after the "
        "fit, fit it anew"
    )

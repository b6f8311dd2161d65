import pytest

from fea.analysis.build import QUICK_CHANGE, plan_stack
from fea.analysis.mesh_error import part_errors
from fea.analysis.stack_answer import StackAnswer, cut_path
from fea.case.schema import Case
from fea.core.contact_stack import contact_model
from fea.core.stack import Stack


@pytest.fixture(scope="session")
def answer(coarse_case: Case, coarse_quick_change: Stack) -> StackAnswer:
    """The coarse quick-change stack, taken through the demo's cuts."""
    model = contact_model(coarse_quick_change)
    plan = plan_stack(coarse_case, QUICK_CHANGE)
    path = cut_path(coarse_case, model)
    return StackAnswer(
        plan=plan,
        stack=coarse_quick_change,
        model=model,
        path=path,
        errors=part_errors(plan, coarse_quick_change, model, path),
    )

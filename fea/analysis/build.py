"""From a case to an assembled stack, reduced parts taken from the cache."""

from pathlib import Path

import numpy as np
from platformdirs import user_cache_path

from fea.analysis.fitted_plan import as_fitted
from fea.analysis.four_way import four_way_plan
from fea.analysis.quick_change import quick_change_plan
from fea.analysis.stack_names import FOUR_WAY, QUICK_CHANGE
from fea.case.schema import Case
from fea.case.shapes import shapes
from fea.core.cache import reduced_part
from fea.core.contact_stack import CONTACT_DEGREE
from fea.core.plan import PartPlan, StackPlan
from fea.core.reduction import ReducedPart, Settings
from fea.core.stack import Part, Stack
from fea.core.threads import on_one_blas_thread

# Mesh size [mm] and how finely parts are reduced.
Fineness = tuple[float, Settings]
PLANS = {QUICK_CHANGE: quick_change_plan, FOUR_WAY: four_way_plan}


def default_cache() -> Path:
    """Folder that keeps reduced parts between runs."""
    return user_cache_path("stoutpost")


def plan_stack(case: Case, name: str) -> StackPlan:
    """Draw one of the case's two stacks: "quick-change" or "four-way".

    Raises
    ------
    InputError
        Dimensions of the case collide.
    """
    return as_fitted(case, PLANS[name](case, shapes(case)))


@on_one_blas_thread
def build_stack(case: Case, name: str, cache: Path | None = None) -> Stack:
    """Mesh, reduce and assemble one of the case's two stacks.

    Parameters
    ----------
    case : as `load_case` gives it
    name : "quick-change" or "four-way"
    cache : folder of reduced parts; by default the user's cache

    Raises
    ------
    InputError, MeshError, SolveError
    """
    return build_planned(plan_stack(case, name), *fineness(case), cache)


def build_planned(
    plan: StackPlan, size: float, settings: Settings, cache: Path | None = None
) -> Stack:
    """Mesh, reduce and assemble a planned stack; see `build_stack`."""
    folder = cache or default_cache()
    parts = [
        place(part, reduced_part(part, size, settings, folder)) for part in plan.parts
    ]
    return Stack(parts, plan.joints, plan.links, plan.tip)


def fineness(case: Case) -> Fineness:
    """Return the mesh size [mm] and how finely parts are reduced."""
    numerics = case.numerics
    return numerics.mesh_size, Settings(degree=numerics.degree, modes=numerics.modes)


def lean_fineness(case: Case) -> Fineness:
    """Return the same mesh size, and only what cuts and the lowest modes need.

    Joints that lift and slip are carried to `CONTACT_DEGREE`, so static vectors of that
    degree hold every cut to round-off. Left without natural shapes of its parts, the
    demo's stack has the same modes to 1e-4 up to 3 kHz and the same limit depth to
    3e-6; holder, body and stack take half of the time, parts a tenth of the room. What
    the meshes miss is left to the report of the design that is chosen.
    """
    settings = Settings(degree=CONTACT_DEGREE, modes=0, drawn=False, estimated=False)
    return case.numerics.mesh_size, settings


def place(part: PartPlan, reduced: ReducedPart) -> Part:
    """Put a reduced part where the plan wants it."""
    return Part(
        name=part.name,
        reduced=reduced,
        material=part.material,
        origin=np.asarray(part.origin),
        pads={pad.name: pad for pad in (*part.contacts, *part.patches)},
    )

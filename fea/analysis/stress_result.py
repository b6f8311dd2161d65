"""Highest stresses of holder, post and block under clamping and the deepest cut."""

from collections.abc import Iterator
from pathlib import Path

from fea.analysis.result import StressPeak
from fea.core.contact_model import ContactModel, ContactState
from fea.core.hot_spots import Limit, hot_spots
from fea.core.material import Material
from fea.core.part_loads import part_loads
from fea.core.plan import StackPlan
from fea.core.strength import screw_stress
from fea.core.stress_cache import part_stresses

# Parts that somebody makes for this post or that it replaces; slides are the machine's.
STRESSED = ("holder", "post body", "moving flank", "four-way block")
STUD = "stud"


def stress_peaks(
    plan: StackPlan,
    model: ContactModel,
    state: ContactState,
    size: float,
    folder: Path,
    stud: tuple[float, Material],
) -> tuple[StressPeak, ...]:
    """Return the peaks by feature, least safe first.

    Parameters
    ----------
    plan, model : the stack
    state : under the deepest cut
    size : mesh size [mm]
    folder : the cache
    stud : its diameter [mm] and material

    Raises
    ------
    MeshError, SolveError
    """
    found = [*_part_peaks(plan, model, state, size, folder)]
    tension = state.tractions[model.interface.slices[STUD].start]
    stress = screw_stress(float(tension), stud[0])
    found.append(_peak(STUD, "thread", stress, stud[1], mesh_limited=False))
    return tuple(sorted(found, key=lambda peak: peak.safety))


def _part_peaks(
    plan: StackPlan,
    model: ContactModel,
    state: ContactState,
    size: float,
    folder: Path,
) -> Iterator[StressPeak]:
    loads = part_loads(plan, model.interface.slices, state.tractions, state.force)
    for part in plan.parts:
        if part.name not in STRESSED:
            continue
        (field,) = part_stresses(part, size, [loads[part.name]], folder)
        for spot in hot_spots(part, field, size):
            if spot.von_mises > 0.0 and spot.limit is not Limit.PATCH:
                yield _peak(
                    part.name,
                    spot.feature,
                    spot.von_mises,
                    part.material,
                    mesh_limited=spot.limit is Limit.MESH,
                )


def _peak(
    part: str, feature: str, stress: float, material: Material, *, mesh_limited: bool
) -> StressPeak:
    return StressPeak(
        part=part,
        feature=feature,
        von_mises_mpa=stress,
        yield_mpa=material.yield_mpa,
        material=f"{material.name}: {material.source}",
        mesh_limited=mesh_limited,
    )

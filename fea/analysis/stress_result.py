"""Highest stresses of holder, post and block under clamping and the deepest cut."""

from collections.abc import Iterator
from pathlib import Path

from fea.analysis.result import StressPeak
from fea.core.contact_model import ContactModel, ContactState
from fea.core.hot_spots import HotSpot, Limit, hot_spots
from fea.core.material import Material
from fea.core.part_loads import part_loads
from fea.core.plan import StackPlan
from fea.core.strength import screw_stress, strength_note
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
    thread = HotSpot(
        feature="thread",
        von_mises=stress,
        spread=0.0,
        at=(0.0, 0.0, 0.0),
        limit=Limit.NONE,
    )
    found.append(_peak(STUD, thread, stud[1]))
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
                yield _peak(part.name, spot, part.material)


def _peak(part: str, spot: HotSpot, material: Material) -> StressPeak:
    return StressPeak(
        part=part,
        feature=spot.feature,
        von_mises_mpa=spot.von_mises,
        spread_mpa=spot.spread,
        distance_mm=spot.distance,
        yield_mpa=material.yield_mpa,
        material=f"{strength_note(material)} (source: {material.source})",
        mesh_limited=spot.limit is Limit.MESH,
    )

"""Reduced parts on disk, under a hash of everything that made them."""

from dataclasses import asdict, fields
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np

from fea.core.archive import key_of, load_arrays, path_of, store_arrays
from fea.core.plan import PartPlan
from fea.core.reduction import ReducedPart, Settings, reduce_part
from geometry.mesher import mesh_part

# Raised whenever meshing or reduction would give other numbers for the same input.
FORMAT = 8
PAD_PREFIX = "pad:"


def reduced_part(
    plan: PartPlan, size: float, settings: Settings, folder: Path
) -> ReducedPart:
    """Return a part's reduction, from the cache if it is there and sound.

    A damaged or foreign file is made anew and never trusted; a new file is written
    whole or not at all, so that interrupted or parallel runs leave nothing half-made.

    Parameters
    ----------
    plan : the part
    size : mesh size [mm]
    settings : degree and number of modes
    folder : the cache

    Raises
    ------
    MeshError, SolveError
    """
    key = part_key(plan, size, settings)
    arrays = load_arrays(folder, key)
    if arrays is not None:
        return _from_arrays(arrays)
    contacts, patches = plan.own(plan.contacts), plan.own(plan.patches)
    mesh = mesh_part(
        plan.shape, [*contacts, *patches], size, name=plan.name, steps=plan.refined
    )
    nu = plan.material.poissons_ratio
    made = reduce_part(mesh, contacts, patches, nu, settings)
    store_arrays(folder, key, _to_arrays(made))
    return made


def is_cached(plan: PartPlan, size: float, settings: Settings, folder: Path) -> bool:
    """Whether the cache holds a file for this part; it may still prove damaged."""
    return path_of(folder, part_key(plan, size, settings)).is_file()


def part_key(plan: PartPlan, size: float, settings: Settings) -> str:
    """Hash of everything that the reduction depends on.

    Not among it: name, place, modulus and density, which only move or scale the part.
    """
    return key_of(solid_content(plan, size) | {"settings": asdict(settings)})


def solid_content(plan: PartPlan, size: float) -> dict[str, Any]:
    """Return all that a part's mesh and its stiffness over modulus depend on."""
    return {
        "format": FORMAT,
        "gmsh": version("gmsh"),
        "shape": type(plan.shape).__name__,
        "dimensions": asdict(plan.shape),  # type: ignore[call-overload]
        "contacts": [asdict(pad) for pad in plan.own(plan.contacts)],
        "patches": [asdict(pad) for pad in plan.own(plan.patches)],
        "poissons_ratio": plan.material.poissons_ratio,
        "size": size,
        "refined": plan.refined,
    }


def _from_arrays(arrays: dict[str, np.ndarray]) -> ReducedPart:
    pads = {
        name.removeprefix(PAD_PREFIX): rows
        for name, rows in arrays.items()
        if name.startswith(PAD_PREFIX)
    }
    plain: dict[str, Any] = {
        field.name: arrays[field.name]
        for field in fields(ReducedPart)
        if field.name != "pads"
    }
    plain["volume"] = float(plain["volume"])
    plain["unknowns"] = int(plain["unknowns"])
    return ReducedPart(pads=pads, **plain)


def _to_arrays(part: ReducedPart) -> dict[str, np.ndarray]:
    plain = {
        field.name: np.asarray(getattr(part, field.name))
        for field in fields(part)
        if field.name != "pads"
    }
    return plain | {PAD_PREFIX + name: rows for name, rows in part.pads.items()}

"""Stress fields on disk, under a hash of the part and of what acts on it."""

from collections.abc import Sequence
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any

import numpy as np

from fea.core.archive import key_of, load_arrays, store_arrays
from fea.core.cache import solid_content
from fea.core.plan import PartPlan
from fea.core.stress import Loads, StressField, recover_stresses
from geometry.mesher import mesh_part

# Raised whenever the same part and loads would give other stresses.
FORMAT = 1

# Loads that differ by less, relative to the largest of a part, are the same.
LOAD_STEP = 1e-6
SCALE_DIGITS = 6  # behind the point, of the largest load: a step of its own size


def part_stresses(
    plan: PartPlan, size: float, cases: Sequence[Loads], folder: Path
) -> tuple[StressField, ...]:
    """Stress of a part for each load case, from the cache where it is there and sound.

    The part is meshed as for its reduction, so its points are the reduction's; the
    cases that are missing share one mesh and one factorisation.

    Parameters
    ----------
    plan : the part
    size : mesh size [mm]
    cases : what acts on its pads, balanced
    folder : the cache, which may be that of the reduced parts

    Raises
    ------
    MeshError, SolveError
    """
    keys = [stress_key(plan, size, loads) for loads in cases]
    kept = {key: _kept(folder, key) for key in keys}
    found = {key: field for key, field in kept.items() if field is not None}
    by_key = dict(zip(keys, cases, strict=True))
    missing = {key: loads for key, loads in by_key.items() if key not in found}
    if missing:
        made = _made(plan, size, list(missing.values()))
        for key, field in zip(missing, made, strict=True):
            store_arrays(folder, key, asdict(field))
            found[key] = field
    return tuple(found[key] for key in keys)


def stress_key(plan: PartPlan, size: float, loads: Loads) -> str:
    """Hash of everything that a stress field depends on; the modulus is not in it."""
    content = solid_content(plan, size)
    content |= {"stress_format": FORMAT, "loads": _plain(loads)}
    return key_of(content)


def _made(
    plan: PartPlan, size: float, cases: Sequence[Loads]
) -> tuple[StressField, ...]:
    pads = [*plan.own(plan.contacts), *plan.own(plan.patches)]
    mesh = mesh_part(plan.shape, pads, size, name=plan.name, steps=plan.refined)
    nu = plan.material.poissons_ratio
    return recover_stresses(mesh, pads, nu, cases, name=plan.name)


def _plain(loads: Loads) -> dict[str, Any]:
    """Return loads as whole multiples of a small share of the largest."""
    largest = max((np.abs(c).max() for c in loads.values()), default=0.0)
    scale = float(f"{largest:.{SCALE_DIGITS}e}") or 1.0
    steps = {
        name: np.rint(coefficients / (LOAD_STEP * scale)).astype(int).tolist()
        for name, coefficients in loads.items()
    }
    return {"scale": f"{scale:.{SCALE_DIGITS}e}", "steps": steps}


def _kept(folder: Path, key: str) -> StressField | None:
    arrays = load_arrays(folder, key)
    if arrays is None:
        return None
    return StressField(**{f.name: arrays[f.name] for f in fields(StressField)})

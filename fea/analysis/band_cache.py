"""Bands on disk, under a hash of everything that they depend on."""

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path

import numpy as np

from fea.analysis.bands import (
    SAMPLES,
    SEED,
    Sampled,
    draw_constants,
    sample_bands,
)
from fea.analysis.cutting_path import CutPath
from fea.analysis.result import Bands
from fea.core.archive import Arrays, key_of, load_arrays, store_arrays
from fea.core.cache import part_key
from fea.core.plan import StackPlan
from fea.core.reduction import Settings
from fea.core.stack import Stack

# Raised whenever the same stack and cut would give other bands.
FORMAT = 1
SHARE = "share:"


def kept_bands(
    plan: StackPlan,
    stack: Stack,
    path: CutPath,
    drawn: Sequence[str],
    fineness: tuple[float, Settings],
    folder: Path,
) -> Sampled:
    """Return the bands of a stack, from the cache where they are there and sound.

    `plan` and `fineness` [mm] say what the stack was made of; `drawn` names the joints
    of all stacks, whose constants are drawn together.
    """
    content = {
        "bands_format": FORMAT,
        "draw": [SAMPLES, SEED, list(drawn)],
        "parts": [
            [part_key(part, *fineness), asdict(part.material), part.origin]
            for part in plan.parts
        ],
        "joints": [
            [joint.name, type(joint.law).__name__, asdict(joint.law)]  # type: ignore[call-overload]
            for joint in plan.joints
        ],
        "links": [asdict(link) for link in plan.links],
        "depths": path.curve.depth_mm.tolist(),
        "forces": path.curve.force_n.round(6).tolist(),
    }
    key = key_of(content)
    arrays = load_arrays(folder, key)
    if arrays is not None:
        return _from_arrays(arrays)
    made = sample_bands(stack, path, draw_constants(drawn))
    store_arrays(folder, key, _to_arrays(made))
    return made


def _to_arrays(sampled: Sampled) -> Arrays:
    plain = asdict(sampled.bands)
    shares = plain.pop("shares")
    arrays = {name: np.asarray(value) for name, value in plain.items()}
    arrays |= {SHARE + name: np.asarray(ends) for name, ends in shares.items()}
    return arrays | {"sets": sampled.stiffness}


def _from_arrays(arrays: Arrays) -> Sampled:
    shares = {
        name.removeprefix(SHARE): (float(ends[0]), float(ends[1]))
        for name, ends in arrays.items()
        if name.startswith(SHARE)
    }
    bands = Bands(
        samples=int(arrays["samples"]),
        depth_mm=arrays["depth_mm"],
        deflection_um=arrays["deflection_um"],
        diameter_error_um=arrays["diameter_error_um"],
        compliance_um_per_n=arrays["compliance_um_per_n"],
        stiffness_n_per_um=arrays["stiffness_n_per_um"],
        shares=shares,
        lost=float(arrays["lost"]),
    )
    return Sampled(bands=bands, stiffness=arrays["sets"])

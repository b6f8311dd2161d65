"""Bands on disk, under a hash of everything that they depend on."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path

import numpy as np

from fea.analysis.bands import Sampled, sample_bands
from fea.analysis.clamping_scatter import Scatter
from fea.analysis.common_draw import CommonDraw, common_draw, set_content
from fea.analysis.result import Bands
from fea.analysis.stack_answer import StackAnswer
from fea.case.schema import Case
from fea.core.archive import Arrays, key_of, load_arrays, store_arrays

# Raised whenever the same stack and cut would give other bands.
FORMAT = 2
SHARE = "share:"


def kept_bands(
    case: Case, answers: Sequence[StackAnswer], folder: Path
) -> list[Sampled]:
    """Return the bands of every stack, from the cache where they are there and sound.

    All stacks are given the same constants, and the deepest cut that all of them hold
    is the one at which they are compared.
    """
    draw = common_draw(case, answers)
    compared_mm = min(float(each.path.curve.depth_mm[-1]) for each in answers)
    return [
        _kept(answer, scatter, draw, compared_mm, folder)
        for answer, scatter in zip(answers, draw.scatters, strict=True)
    ]


def _kept(
    answer: StackAnswer,
    scatter: Mapping[str, Scatter],
    draw: CommonDraw,
    compared_mm: float,
    folder: Path,
) -> Sampled:
    curve = answer.path.curve
    key = key_of(
        set_content(answer, scatter, draw)
        | {
            "bands_format": FORMAT,
            "compared": compared_mm,
            "fed": curve.fed,
            "depths": curve.depth_mm.tolist(),
            "forces": curve.force_n.round(6).tolist(),
        }
    )
    arrays = load_arrays(folder, key)
    if arrays is not None:
        return _from_arrays(arrays)
    made = sample_bands(
        answer.stack, answer.path, draw.constants(), scatter, compared_mm
    )
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

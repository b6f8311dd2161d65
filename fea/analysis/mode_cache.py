"""Sampled modes on disk, under a hash of everything that they depend on."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields, replace
from pathlib import Path

import numpy as np

from fea.analysis.clamping_scatter import Scatter
from fea.analysis.common_draw import CommonDraw, common_draw, set_content
from fea.analysis.mode_samples import (
    SampledModes,
    draw_losses,
    known_losses,
    sample_modes,
)
from fea.analysis.stack_answer import StackAnswer
from fea.analysis.stack_modes import MODES, scaled
from fea.case.schema import Case
from fea.core.archive import key_of, load_arrays, store_arrays
from fea.core.damping import LossFactor
from geometry.pad import FloatArray

# Raised whenever the same stack and cut would give other modes.
FORMAT = 1


def kept_modes(
    case: Case,
    answers: Sequence[StackAnswer],
    folder: Path,
    depth_mm: float,
    measured_ratio: float | None = None,
) -> list[SampledModes]:
    """Return the sampled modes of every stack, from the cache where they are there.

    Parameters
    ----------
    case : of the stacks
    answers : all stacks, which are given the same constants
    folder : the cache
    depth_mm : of the cut about which they vibrate; the nearest one that a stack was
        taken through
    measured_ratio : damping ratio of the lowest mode, in every set; see `stack_modes`
    """
    draw = common_draw(case, answers)
    known = known_losses(each.stack for each in answers)
    found = []
    for answer, scatter in zip(answers, draw.scatters, strict=True):
        curve = answer.path.curve
        force = curve.force_n[np.abs(curve.depth_mm - depth_mm).argmin()]
        modes = _kept(answer, scatter, (draw, known), force, folder)
        ratio = scaled(modes.damping_ratio, measured_ratio)
        found.append(replace(modes, damping_ratio=ratio))
    return found


def _kept(
    answer: StackAnswer,
    scatter: Mapping[str, Scatter],
    common: tuple[CommonDraw, Mapping[str, LossFactor]],
    force: FloatArray,
    folder: Path,
) -> SampledModes:
    draw, known = common
    key = key_of(
        set_content(answer, scatter, draw)
        | {
            "modes_format": FORMAT,
            "modes": MODES,
            "losses": {name: asdict(each) for name, each in known.items()},
            "force": force.round(6).tolist(),
        }
    )
    arrays = load_arrays(folder, key)
    if arrays is not None:
        return SampledModes(**arrays)
    losses = draw_losses(known, draw.known)
    made = sample_modes(answer.stack, force, draw.constants(), scatter, losses)
    plain = {each.name: getattr(made, each.name) for each in fields(made)}
    store_arrays(folder, key, plain)
    return made

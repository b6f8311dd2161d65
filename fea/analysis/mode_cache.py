"""Sampled modes on disk, under a hash of everything that they depend on."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path

import numpy as np

from fea.analysis.build import fineness
from fea.analysis.clamping_scatter import Scatter, clamping_scatter
from fea.analysis.draw import SAMPLES, SEED, draw_constants
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
from fea.core.cache import part_key
from fea.core.damping import LossFactor
from fea.core.reduction import Settings
from geometry.pad import FloatArray

# Raised whenever the same stack and cut would give other modes.
FORMAT = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class _Draw:
    """What is common to all stacks.

    Parameters
    ----------
    joints, screws : whose constants are drawn, together
    losses : loss factors of all members
    fineness : what the parts were made of
    """

    joints: list[str]
    screws: list[str]
    losses: Mapping[str, LossFactor]
    fineness: tuple[float, Settings]


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
    scatters = [clamping_scatter(case, each.plan) for each in answers]
    draw = _Draw(
        joints=sorted({joint.name for each in answers for joint in each.plan.joints}),
        screws=sorted({one.screw for each in scatters for one in each.values()}),
        losses=known_losses(each.stack for each in answers),
        fineness=fineness(case),
    )
    found = []
    for answer, scatter in zip(answers, scatters, strict=True):
        curve = answer.path.curve
        force = curve.force_n[np.abs(curve.depth_mm - depth_mm).argmin()]
        modes = _kept(answer, scatter, draw, force, folder)
        ratio = scaled(modes.damping_ratio, measured_ratio)
        found.append(replace(modes, damping_ratio=ratio))
    return found


def _kept(
    answer: StackAnswer,
    scatter: Mapping[str, Scatter],
    draw: _Draw,
    force: FloatArray,
    folder: Path,
) -> SampledModes:
    key = key_of(_content(answer, scatter, draw, force))
    arrays = load_arrays(folder, key)
    if arrays is not None:
        return SampledModes(**arrays)
    constants = draw_constants(draw.joints, draw.screws)
    losses = draw_losses(draw.losses)
    made = sample_modes(answer.stack, force, constants, scatter, losses)
    plain = {each.name: getattr(made, each.name) for each in fields(made)}
    store_arrays(folder, key, plain)
    return made


def _content(
    answer: StackAnswer, scatter: Mapping[str, Scatter], draw: _Draw, force: FloatArray
) -> dict[str, object]:
    """Return all that a stack's modes depend on."""
    plan = answer.plan
    return {
        "modes_format": FORMAT,
        "modes": MODES,
        "draw": [SAMPLES, SEED, draw.joints, draw.screws],
        "losses": {name: asdict(each) for name, each in draw.losses.items()},
        "parts": [
            [part_key(part, *draw.fineness), asdict(part.material), part.origin]
            for part in plan.parts
        ],
        "joints": [
            [joint.name, type(joint.law).__name__, asdict(joint.law)]  # type: ignore[call-overload]
            for joint in plan.joints
        ],
        "links": [asdict(link) for link in plan.links],
        "clamping": {name: asdict(each) for name, each in scatter.items()},
        "force": force.round(6).tolist(),
    }

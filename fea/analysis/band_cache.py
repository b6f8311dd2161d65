"""Bands on disk, under a hash of everything that they depend on."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from fea.analysis.bands import Sampled, sample_bands
from fea.analysis.build import fineness
from fea.analysis.clamping_scatter import Scatter, clamping_scatter
from fea.analysis.draw import SAMPLES, SEED, draw_constants
from fea.analysis.plan_content import plan_content
from fea.analysis.result import Bands
from fea.analysis.stack_answer import StackAnswer
from fea.case.schema import Case
from fea.core.archive import Arrays, key_of, load_arrays, store_arrays
from fea.core.reduction import Settings

# Raised whenever the same stack and cut would give other bands.
FORMAT = 2
SHARE = "share:"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Draw:
    """What is common to all stacks.

    Parameters
    ----------
    joints, screws : whose constants are drawn, together
    compared_mm : depth at which the stacks are compared
    fineness : what the parts were made of
    """

    joints: list[str]
    screws: list[str]
    compared_mm: float
    fineness: tuple[float, Settings]


def kept_bands(
    case: Case, answers: Sequence[StackAnswer], folder: Path
) -> list[Sampled]:
    """Return the bands of every stack, from the cache where they are there and sound.

    All stacks are given the same constants, and the deepest cut that all of them hold
    is the one at which they are compared.
    """
    scatters = [clamping_scatter(case, each.plan) for each in answers]
    draw = _Draw(
        joints=sorted({joint.name for each in answers for joint in each.plan.joints}),
        screws=sorted({one.screw for each in scatters for one in each.values()}),
        compared_mm=min(float(each.path.curve.depth_mm[-1]) for each in answers),
        fineness=fineness(case),
    )
    return [
        _kept(answer, scatter, draw, folder)
        for answer, scatter in zip(answers, scatters, strict=True)
    ]


def _kept(
    answer: StackAnswer, scatter: Mapping[str, Scatter], draw: _Draw, folder: Path
) -> Sampled:
    key = key_of(_content(answer, scatter, draw))
    arrays = load_arrays(folder, key)
    if arrays is not None:
        return _from_arrays(arrays)
    constants = draw_constants(draw.joints, draw.screws)
    made = sample_bands(answer.stack, answer.path, constants, scatter, draw.compared_mm)
    store_arrays(folder, key, _to_arrays(made))
    return made


def _content(
    answer: StackAnswer, scatter: Mapping[str, Scatter], draw: _Draw
) -> dict[str, object]:
    """Return all that a stack's bands depend on."""
    plan, curve = answer.plan, answer.path.curve
    return {
        "bands_format": FORMAT,
        "draw": [SAMPLES, SEED, draw.joints, draw.screws, draw.compared_mm],
        **plan_content(plan, draw.fineness),
        "clamping": {name: asdict(each) for name, each in scatter.items()},
        "depths": curve.depth_mm.tolist(),
        "forces": curve.force_n.round(6).tolist(),
    }


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

"""Sampled chatter limits on disk, under a hash of everything that they depend on."""

from collections.abc import Sequence
from dataclasses import asdict, fields
from pathlib import Path

from fea.analysis.chatter_samples import SampledLimits, draw_cut, sample_limits
from fea.analysis.mode_cache import kept_modes
from fea.analysis.mode_samples import SampledModes
from fea.analysis.regeneration import Regeneration
from fea.analysis.stack_answer import StackAnswer
from fea.case.schema import Case
from fea.case.work_holding import holding_spread
from fea.core.archive import digest_of, key_of, load_arrays, store_arrays
from fea.machining.edge_stiffness import load_rubbing
from fea.machining.work_material import load_work_materials
from geometry.pad import FloatArray

# Raised whenever the same modes and cut would give other limits.
FORMAT = 6
CUTTING = ("work", "spindle", "chuck", "tailstock", "cut", "calibration")


def kept_limits(
    case: Case,
    answers: Sequence[StackAnswer],
    folder: Path,
    depth_mm: float,
    cut: Regeneration,
    speed_rpm: FloatArray,
) -> list[SampledLimits]:
    """Return the limits of every stack and set, from the cache where they are there.

    Parameters
    ----------
    case, answers, folder : as `kept_modes`
    depth_mm : about which the stacks vibrate
    cut : of the case
    speed_rpm : (n,) at which limits are wanted
    """
    modes = kept_modes(case, answers, folder, depth_mm, case.damping.ratio)
    keys = [key_of(_content(case, each, speed_rpm)) for each in modes]
    kept = [load_arrays(folder, key) for key in keys]
    if all(arrays is not None for arrays in kept):
        return [SampledLimits(**arrays) for arrays in kept if arrays is not None]
    sets = draw_cut(case)
    found = [sample_limits(each, sets, cut, speed_rpm) for each in modes]
    for key, each in zip(keys, found, strict=True):
        store_arrays(
            folder, key, {one.name: getattr(each, one.name) for one in fields(each)}
        )
    return found


def _content(
    case: Case, modes: SampledModes, speed_rpm: FloatArray
) -> dict[str, object]:
    return cutting_content(case) | {
        "limits_format": FORMAT,
        "modes": digest_of(getattr(modes, field.name) for field in fields(modes)),
        "holding": asdict(holding_spread(case)),
        "speeds": speed_rpm.tolist(),
    }


def cutting_content(case: Case) -> dict[str, object]:
    """Return all of work and cut that limits depend on, for a hash."""
    return {
        "case": case.model_dump(include=set(CUTTING), mode="json"),
        "material": asdict(load_work_materials()[case.work.material]),
        "rubbing": asdict(load_rubbing()),
    }

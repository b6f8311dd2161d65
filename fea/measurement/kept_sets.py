"""What sets of scores do in a case's cuts, on disk under all that it depends on.

Sets of what was expected are the same whatever is measured.
"""

from dataclasses import asdict, fields
from pathlib import Path

from fea.analysis.build import fineness
from fea.analysis.chatter_cache import cutting_content
from fea.analysis.clamping_scatter import clamping_scatter
from fea.analysis.mode_samples import known_losses
from fea.analysis.plan_content import plan_content
from fea.analysis.stack_answer import StackAnswer
from fea.case.schema import Case
from fea.case.work_holding import holding_spread
from fea.core.archive import Arrays, digest_of, key_of, load_arrays, store_arrays
from fea.measurement.case_sets import StackSets, stack_sets
from fea.measurement.unknowns import Unknowns
from geometry.pad import FloatArray

# Raised whenever the same stack, cut and scores would give other sets.
FORMAT = 2
SHARE = "share:"


def kept_sets(
    case: Case,
    answer: StackAnswer,
    unknowns: Unknowns,
    scores: FloatArray,
    folder: Path,
) -> StackSets:
    """Return `stack_sets`, from the cache where they are there and sound."""
    key = key_of(_content(case, answer, unknowns, scores))
    arrays = load_arrays(folder, key)
    if arrays is not None:
        return _from_arrays(answer.plan.name, arrays)
    made = stack_sets(case, answer, unknowns, scores)
    store_arrays(folder, key, _to_arrays(made))
    return made


def _content(
    case: Case, answer: StackAnswer, unknowns: Unknowns, scores: FloatArray
) -> dict[str, object]:
    curve, scatter = answer.path.curve, clamping_scatter(case, answer.plan)
    losses = known_losses([answer.stack])
    return {
        **cutting_content(case),
        **plan_content(answer.plan, fineness(case)),
        "score_sets_format": FORMAT,
        "names": unknowns.names,
        "scores": digest_of([scores]),
        "ground_spread": unknowns.ground_spread,
        "holding": asdict(holding_spread(case)),
        "clamping": {name: asdict(each) for name, each in scatter.items()},
        "losses": {name: asdict(each) for name, each in losses.items()},
        "depths": curve.depth_mm.tolist(),
        "forces": curve.force_n.round(6).tolist(),
    }


def _to_arrays(sets: StackSets) -> Arrays:
    plain = {each.name: getattr(sets, each.name) for each in fields(sets)}
    del plain["name"]
    shares = plain.pop("shares")
    return plain | {SHARE + name: share for name, share in shares.items()}


def _from_arrays(name: str, arrays: Arrays) -> StackSets:
    shares = {
        each.removeprefix(SHARE): share
        for each, share in arrays.items()
        if each.startswith(SHARE)
    }
    plain = {each: own for each, own in arrays.items() if not each.startswith(SHARE)}
    return StackSets(name=name, shares=shares, **plain)

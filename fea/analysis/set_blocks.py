"""Sets of constants followed through a stack, a block at a time, on all cores."""

from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from fea.analysis.clamping_scatter import Scatter
from fea.analysis.draw import Constants, drawn_laws, some_sets
from fea.core.contact_law import ContactLaw
from fea.core.contact_model import ContactModel
from fea.core.contact_samples import SampledStack
from fea.core.contact_sets import SampledState
from fea.core.contact_stack import contact_model
from fea.core.equilibrium import clamp
from fea.core.near_samples import NearSamples
from fea.core.stack import Stack
from fea.core.threads import threads
from geometry.pad import FloatArray

BLOCK = 16  # sets followed together, so that their matrices stay in the cache

# Degree of a joint's polynomials in the samples: coarser than the nominal ones where
# that changes the tip's motion by no more than 1 %, against a band of tens of percent.
SAMPLE_DEGREE = 1
FINER = {
    "tool floor": 3,
    "tool on shims": 3,
    "shims on block": 3,
    "way near work": 2,
    "way far": 2,
    "base": 2,
}

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class SetBlock:
    """Sets that are followed together.

    Parameters
    ----------
    sampled : the stack with their constants
    clamped : their clamped states
    laws : of the joints, their constants (s,)
    sets : where they stand among all sets
    """

    sampled: SampledStack
    clamped: SampledState
    laws: Mapping[str, ContactLaw]
    sets: slice


Follow = Callable[[SetBlock], T]
"""A block to what became of its sets."""


def sampled_model(stack: Stack, elsewhere: FloatArray | None = None) -> ContactModel:
    """Return a stack's joints as coarse as the samples take them.

    `elsewhere` as `fea.core.interface.condense` takes it.
    """
    degrees = {
        joint.name: FINER.get(joint.name, SAMPLE_DEGREE) for joint in stack.joints
    }
    return contact_model(stack, degrees, elsewhere)


def follow_blocks(
    stack: Stack,
    model: ContactModel,
    constants: Constants,
    scatter: Mapping[str, Scatter],
    follow: Follow[T],
    *,
    near: bool = False,
) -> list[T]:
    """Clamp all sets and follow them further; what became of each block, in order.

    Parameters
    ----------
    stack : assembled
    model : its `sampled_model`
    constants : drawn
    scatter : of clamping forces, by joint or link
    follow : from the clamped states on
    near : whether all sets lie close to the first, so that they are solved together
    """
    nominal = clamp(model)
    start = np.concatenate([nominal.coefficients, nominal.rigid, nominal.advance])
    laws = drawn_laws(stack, constants)
    clamping = {
        name: each.factor(constants.screws[each.screw])
        for name, each in scatter.items()
    }

    count = len(constants.ground)
    size, kind = (count, NearSamples) if near else (BLOCK, SampledStack)

    def block(first: int) -> T:
        sets = slice(first, first + size)
        own = some_sets(laws, sets)
        factors = {name: factor[sets] for name, factor in clamping.items()}
        sampled = kind(model, own, constants.ground[sets], factors)
        return follow(
            SetBlock(sampled=sampled, clamped=sampled.clamp(start), laws=own, sets=sets)
        )

    with ThreadPoolExecutor(threads()) as pool:
        return list(pool.map(block, range(0, count, size)))

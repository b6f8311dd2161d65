"""What is fitted: scores of everything that is known roughly only.

A score of 0 is the middle of what is expected of a constant, -1.645 and 1.645 are the
ends of its 5 to 95 % band. Bands of predictions and priors of a fit are thus one and
the same: independent standard normal scores, which the same functions turn into
constants.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from scipy.special import ndtr

from fea.analysis.chatter_samples import CUT_NAMES
from fea.analysis.distribution import log_normal
from fea.analysis.draw import Constants, constant_names, constants_at
from fea.analysis.mode_samples import known_losses, loss_name, losses_at
from fea.core.damping import LossFactor
from fea.core.plan import StackPlan
from fea.core.stack import Stack
from fea.core.strut import StrutLaw
from fea.core.surface_law import SurfaceLaw
from geometry.pad import FloatArray

EYE = "eye: threshold"
"""How much the least motion that an eye sees differs from what its owner thinks."""
EYE_FACTOR = 2.0
"""5 to 95 % of that (assumed)."""


@dataclass(frozen=True, kw_only=True)
class Unknowns:
    """All that is fitted, in one order.

    Parameters
    ----------
    joints : that lift and slip
    screws : whose friction scatters
    losses : of members that lose anything
    ground_spread : the ground may be this many times stiffer or softer, 5 to 95 %
    """

    joints: tuple[str, ...]
    screws: tuple[str, ...]
    losses: Mapping[str, LossFactor]
    ground_spread: float

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Name of every unknown; statics first."""
        return (
            *self.static_names,
            *CUT_NAMES,
            *(loss_name(member) for member in self.losses),
            EYE,
        )

    @cached_property
    def static_names(self) -> tuple[str, ...]:
        """Names of what the stack's equilibria depend on."""
        return tuple(constant_names(self.joints, self.screws))

    @property
    def count(self) -> int:
        """Number of unknowns."""
        return len(self.names)

    def places(self, names: Sequence[str]) -> list[int]:
        """Return where some of the unknowns stand."""
        return [self.names.index(name) for name in names]

    def quantiles(self, scores: FloatArray) -> dict[str, FloatArray]:
        """Quantiles (s,) by name at scores (s, d)."""
        return dict(zip(self.names, ndtr(scores).T, strict=True))

    def constants(self, scores: FloatArray) -> Constants:
        """Return constants of joints, ground and screws at scores (s, d)."""
        return constants_at(
            self.quantiles(scores), self.joints, self.screws, self.ground_spread
        )

    def loss_factors(self, scores: FloatArray) -> dict[str, FloatArray]:
        """Loss factors (s,) of the members that have one, at scores (s, d)."""
        return losses_at(self.losses, self.quantiles(scores))

    def eye_factor(self, scores: FloatArray) -> FloatArray:
        """Least motion seen, over what its owner thinks. (s, d) to (s,)."""
        quantile = ndtr(scores[:, self.names.index(EYE)])
        return log_normal(quantile, 1.0 / EYE_FACTOR, EYE_FACTOR)


def unknowns_of(
    stacks: Sequence[Stack | StackPlan], screws: Sequence[str], ground_spread: float
) -> Unknowns:
    """Return what is unknown of some stacks; same name, same constant."""
    joints = {
        joint.name
        for stack in stacks
        for joint in stack.joints
        if isinstance(joint.law, SurfaceLaw | StrutLaw)
    }
    losses = known_losses(stacks)
    return Unknowns(
        joints=tuple(sorted(joints)),
        screws=tuple(sorted(set(screws))),
        losses={name: losses[name] for name in sorted(losses)},
        ground_spread=ground_spread,
    )

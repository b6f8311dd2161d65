"""Sets of constants, drawn evenly over what is known of them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from fea.analysis.distribution import log_normal
from fea.analysis.fitted import Fitted
from fea.core.contact_law import ContactLaw
from fea.core.contact_sets import CONSTANTS as LAW_CONSTANTS
from fea.core.stack import Stack
from fea.core.strut import StrutLaw
from fea.core.surface_law import SurfaceLaw
from geometry.pad import FloatArray
from geometry.units import MM_PER_UM

SAMPLES = 256  # a power of two, as Sobol's sequence wants it
SEED = 20  # any: fixes the scrambling, so that a run can be repeated
CONSTANTS = ("closure_um", "exponent", "tangential_ratio", "friction")
GROUND = "ground: stiffness"


@dataclass(frozen=True, slots=True, kw_only=True)
class Constants:
    """Sets of constants for every joint of both stacks.

    Parameters
    ----------
    quantiles : (joint, constant) to (s,) in 0 .. 1; a joint of the same name has the
        same in both stacks
    ground : (s,) factor on the ground's stiffness
    screws : screw to (s,) quantile of its friction in 0 .. 1
    """

    quantiles: Mapping[tuple[str, str], FloatArray]
    ground: FloatArray
    screws: Mapping[str, FloatArray]


def draw_constants(
    joints: Iterable[str],
    screws: Iterable[str],
    ground_spread: float,
    known: Fitted | None = None,
) -> Constants:
    """Draw sets of constants, evenly spread over all bands (Sobol).

    Parameters
    ----------
    joints : names of those of all stacks
    screws : of those whose force scatters
    ground_spread : the ground may be this many times stiffer or softer, 5 to 95 %
    known : of the constants, from a fit
    """
    # Imported when it is needed: it costs a second, and bands are mostly kept.
    from scipy.stats import qmc

    joints, screws = list(joints), list(screws)
    names = constant_names(joints, screws)
    sobol = qmc.Sobol(len(names), seed=SEED)
    points = sobol.random_base2(SAMPLES.bit_length() - 1)
    # Sobol's points reach 0 and 1 only in the limit; the half cell keeps them off.
    columns = np.clip(points, 0.5 / SAMPLES, 1.0 - 0.5 / SAMPLES).T
    quantiles = dict(zip(names, columns, strict=True))
    if known is None:
        return constants_at(quantiles, joints, screws, ground_spread)
    moved = {name: known.quantiles(name, each) for name, each in quantiles.items()}
    drawn = constants_at(moved, joints, screws, ground_spread)
    # The ground of the drawn stack is already at its fitted middle.
    middle = ground_factor(known.middle(GROUND), ground_spread)
    return replace(drawn, ground=drawn.ground / middle)


def ground_factor(quantile: float, spread: float) -> float:
    """Stiffness of the ground over the expected one, at a quantile.

    It may be `spread` times stiffer or softer, 5 to 95 %.
    """
    return float(log_normal(np.array(quantile), 1.0 / spread, spread))


def constant_names(joints: Iterable[str], screws: Iterable[str]) -> list[str]:
    """Name every constant that `draw_constants` draws, in its order."""
    return [
        *(constant_name(joint, each) for joint in joints for each in CONSTANTS),
        GROUND,
        *(friction_name(screw) for screw in screws),
    ]


def constant_name(joint: str, constant: str) -> str:
    """Name a constant of a joint."""
    return f"{joint}: {constant}"


def friction_name(screw: str) -> str:
    """Name the friction of a screw."""
    return f"{screw}: friction"


def constants_at(
    quantiles: Mapping[str, FloatArray],
    joints: Iterable[str],
    screws: Iterable[str],
    ground_spread: float,
) -> Constants:
    """Return sets of constants at quantiles (s,) of what is known of each, by name.

    Other arguments as `draw_constants` takes them.
    """
    return Constants(
        quantiles={
            (joint, each): quantiles[constant_name(joint, each)]
            for joint in joints
            for each in CONSTANTS
        },
        ground=log_normal(quantiles[GROUND], 1.0 / ground_spread, ground_spread),
        screws={screw: quantiles[friction_name(screw)] for screw in screws},
    )


def drawn_laws(stack: Stack, constants: Constants) -> dict[str, ContactLaw]:
    """Return the law of every joint that lifts and slips, with (s,) constants."""
    laws = {}
    for joint in stack.joints:
        if not isinstance(joint.law, SurfaceLaw | StrutLaw):
            continue
        surface, nominal = joint.law.surface, joint.law.contact
        drawn = {
            constant: log_normal(
                constants.quantiles[joint.name, constant],
                *getattr(surface.spread, constant),
            )
            for constant in CONSTANTS
        }
        if isinstance(joint.law, StrutLaw):
            closure = drawn.pop("closure_um") * MM_PER_UM
            laws[joint.name] = joint.law.contact_of(closure, **drawn)
            continue
        count = len(constants.ground)
        kept = np.full(count, nominal.friction)
        laws[joint.name] = ContactLaw(
            closure=joint.law.faces * drawn["closure_um"] * MM_PER_UM,
            exponent=drawn["exponent"],
            tangential_ratio=drawn["tangential_ratio"],
            friction=kept if joint.law.keyed else drawn["friction"],
        )
    return laws


def some_sets(laws: Mapping[str, ContactLaw], sets: slice) -> dict[str, ContactLaw]:
    """Return laws for some of the sets."""
    return {
        name: ContactLaw(
            **{c: np.asarray(getattr(law, c))[sets] for c in LAW_CONSTANTS}
        )
        for name, law in laws.items()
    }

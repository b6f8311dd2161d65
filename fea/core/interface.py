"""A stack seen from its joints: what is between the pads, condensed exactly.

With the parts' elastic unknowns eliminated, the jumps c of all joints and stretches of
all links obey c = C f - A l + G a, where l are the tractions and tensions, f the forces
at the tip and wherever else a stack is pushed or watched, a the rigid motions of the
parts; and G' l = R' f. A is the flexibility of the parts as their joints feel it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.linalg import cho_factor, cho_solve

from fea.core.pad_functions import function_count
from fea.core.stack import Stack, split
from geometry.pad import FloatArray


@dataclass(frozen=True, kw_only=True)
class Interface:
    """The condensed stack.

    Parameters
    ----------
    slices : joint or link name to its place among the m coefficients
    inverse : (m, m) inverse of the flexibility A
    rigid : (m, r) G, coefficients under rigid motions of the parts
    tip : (m, f) C, coefficients under unit forces [mm/N]; the first three act at the
        tip, and mostly there are no more
    tip_rigid : (f, r) motion along those forces under rigid motions
    tip_own : (f, f) motion along them under unit forces, pads free [mm/N]
    """

    slices: Mapping[str, slice]
    inverse: FloatArray
    rigid: FloatArray
    tip: FloatArray
    tip_rigid: FloatArray
    tip_own: FloatArray

    @property
    def size(self) -> int:
        """Number of coefficients."""
        return len(self.inverse)

    @property
    def forces(self) -> int:
        """Number of forces, those at the tip included."""
        return int(self.tip.shape[1])

    @cached_property
    def stiffness(self) -> FloatArray:
        """Of the parts against coefficients and rigid motions. (m + r, m + r)."""
        coupling = self.inverse @ self.rigid
        return np.block(
            [[self.inverse, -coupling], [-coupling.T, self.rigid.T @ coupling]]
        )


def condense(
    stack: Stack, degrees: Mapping[str, int], elsewhere: FloatArray | None = None
) -> Interface:
    """Condense a stack to its joints.

    Parameters
    ----------
    stack : assembled
    degrees : joint name to degree of the polynomials kept on its pad, at most that of
        the reduction; a strut keeps the three coefficients that it has
    elsewhere : (k, n) motion along further forces, from the stack's unknowns
    """
    blocks = {}
    for joint in stack.joints:
        kept = 3 * function_count(degrees[joint.name])
        blocks[joint.name] = stack.jumps[joint.name][:kept]
    blocks |= {link.name: stack.stretches[link.name][None] for link in stack.links}
    ends = np.cumsum([len(rows) for rows in blocks.values()])
    slices = {
        name: slice(end - len(rows), end)
        for (name, rows), end in zip(blocks.items(), ends, strict=True)
    }
    rows = np.vstack(list(blocks.values()))
    elastic, rigid, give = split(stack)
    bent = rows[:, elastic] * give
    flexibility = bent @ rows[:, elastic].T
    factor = cho_factor(flexibility, lower=True)
    inverse = cho_solve(factor, np.eye(len(rows)))
    acting = stack.tip_rows
    if elsewhere is not None:
        acting = np.vstack([acting, elsewhere])
    tip = acting[:, elastic]
    return Interface(
        slices=slices,
        inverse=(inverse + inverse.T) / 2.0,
        rigid=rows[:, rigid],
        tip=bent @ tip.T,
        tip_rigid=acting[:, rigid],
        tip_own=(tip * give) @ tip.T,
    )

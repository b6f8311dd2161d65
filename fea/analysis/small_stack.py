"""A stack in a basis small enough to solve for every set of joint constants.

Sets differ in what is between the pads only, so the parts are projected once. The basis
starts from the answers to every traction that a joint can carry, with which the static
answer of any set is exact, and one inverse iteration on their lowest modes; of these
are kept the combinations that make up the modes of a few sets far apart.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve, eigh, solve_triangular

from fea.core.contact_model import ContactModel
from fea.core.independent import independent
from fea.core.stack import Stack
from geometry.pad import FloatArray

DEPENDENT = 1e-10  # energy over the largest, below which a vector repeats others
ITERATED = 40  # lowest modes that are iterated once
# Of the basis. The demos' frequencies below 2 kHz are then off by 0.04 %, and the peaks
# of the receptance by 0.1 %; with 80 vectors by 0.2 and 0.6 %.
SIZE = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class PointStiffness:
    """What is between the pads, in s sets of constants.

    Parameters
    ----------
    springs : (s,) factor on all spring joints
    points : (s, 3 p) at the points of all contacts, each along first, second, normal,
        with the point's area [N/mm]
    """

    springs: FloatArray
    points: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallStack:
    """A stack projected onto b vectors of unit mass.

    Parameters
    ----------
    matrices : (n_member, b, b) stiffness of parts, links and spring joints
    rows : (3 p, b) jumps at the points of all contacts
    tip : (f, b) motion of the tip, and of what else is watched
    """

    matrices: FloatArray
    rows: FloatArray
    tip: FloatArray

    def stiffness(self, members: FloatArray, points: FloatArray) -> FloatArray:
        """Stiffness (b, b) with factors (n_member,) and stiffness (3 p,) at points."""
        # A product with its own transpose takes half of the time.
        scaled = np.sqrt(points)[:, None] * self.rows
        between = scaled.T @ scaled
        return np.asarray(np.tensordot(members, self.matrices, 1) + between)

    def energies(
        self, members: FloatArray, points: FloatArray, vectors: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Twice the energy of n vectors (b, n), by member and at points.

        Factors and stiffness as in `stiffness`; (n_member, n), (3 p, n).
        """
        bent = np.einsum("bn,kbn->kn", vectors, self.matrices @ vectors)
        jumps = self.rows @ vectors
        return members[:, None] * bent, points[:, None] * jumps**2


def linear_members(stack: Stack, model: ContactModel) -> tuple[str, ...]:
    """Names of the members that `SmallStack.matrices` has, in its order."""
    return (
        *(part.name for part in stack.parts),
        *(link.name for link in stack.links),
        *(spring.name for spring in model.springs),
    )


def member_factors(
    stack: Stack, model: ContactModel, springs: FloatArray
) -> FloatArray:
    """Factors on these members: 1 but for spring joints. (s,) to (s, n_member)."""
    fixed = np.ones((len(springs), len(stack.parts) + len(stack.links)))
    return np.hstack([fixed, np.repeat(springs[:, None], len(model.springs), axis=1)])


def small_stack(
    stack: Stack,
    model: ContactModel,
    sets: PointStiffness,
    chosen: Sequence[int],
    count: int,
    elsewhere: FloatArray | None = None,
) -> SmallStack:
    """Project a stack for sets of constants, of which some say what is kept.

    Parameters
    ----------
    stack, model : assembled; its joints, with as many functions as the sets have
    sets : all of them
    chosen : those whose modes the basis holds
    count : modes of each
    elsewhere : (k, n) motion that is watched beside the tip's
    """
    watched = stack.tip_rows
    if elsewhere is not None:
        watched = np.vstack([watched, elsewhere])
    middle = np.append(np.mean(sets.springs), sets.points.mean(axis=0))
    wide = _wide_basis(stack, model, middle[0], middle[1:], watched)
    whole = _projected(stack, model, wide, watched)
    factors = member_factors(stack, model, sets.springs)
    found = []
    for number in chosen:
        stiffness = whole.stiffness(factors[number], sets.points[number])
        squared, modes = eigh(stiffness, subset_by_index=(0, count - 1))
        # By their compliance: the soft ones matter most.
        found += [modes / np.sqrt(squared), _static(stiffness, whole.tip)]
    kept, size, _ = np.linalg.svd(np.hstack(found), full_matrices=False)
    kept = kept[:, : min(SIZE, int(np.sum(size > DEPENDENT * size[0])))]
    matrices = kept.T @ whole.matrices @ kept
    return SmallStack(matrices=matrices, rows=whole.rows @ kept, tip=whole.tip @ kept)


def _static(stiffness: FloatArray, tip: FloatArray) -> FloatArray:
    """Answers to forces at the tip, scaled to the size of modes of unit energy."""
    moved = np.linalg.solve(stiffness, tip.T)
    return np.asarray(moved / np.sqrt(np.einsum("ib,bi->i", tip, moved)))


def _wide_basis(
    stack: Stack,
    model: ContactModel,
    springs: float,
    points: FloatArray,
    watched: FloatArray,
) -> FloatArray:
    """Vectors of unit mass that hold every set's static answers. (n, b)."""
    stiffness = stack.stiffness_with(_tangents(model, springs, points))
    factor = cho_factor(stiffness, lower=True)
    rows = [_jump(stack, model, name) for name in stack.jumps]
    loads = np.vstack([watched, *rows]).T
    static = cho_solve(factor, loads)
    static = static @ independent(loads.T @ static, DEPENDENT)
    inertia = stack.mass @ static
    _, modes = eigh(static.T @ inertia, subset_by_index=_last(static.shape[1]))
    iterated = cho_solve(factor, inertia @ modes)
    basis = np.hstack([static, iterated])
    basis = basis @ independent(basis.T @ (stiffness @ basis), DEPENDENT)
    lower = np.linalg.cholesky(basis.T @ (stack.mass @ basis))
    return np.asarray(solve_triangular(lower, basis.T, lower=True).T)


def _last(size: int) -> tuple[int, int]:
    """Places of the largest of so many inverse squared frequencies."""
    return max(0, size - ITERATED), size - 1


def _projected(
    stack: Stack, model: ContactModel, basis: FloatArray, watched: FloatArray
) -> SmallStack:
    matrices = []
    for part in stack.parts:
        own = stack.slices[part.name]
        bent = basis[own.start : own.stop - 6]
        matrices.append(part.material.youngs_modulus_mpa * (bent.T @ bent))
    for link in stack.links:
        stretch = stack.stretches[link.name] @ basis
        matrices.append(link.stiffness * np.outer(stretch, stretch))
    for spring in model.springs:
        jump = _jump(stack, model, spring.name) @ basis
        matrices.append(jump.T @ (spring.stiffness[:, None] * jump))
    rows = []
    for joint in model.contacts:
        jump = _jump(stack, model, joint.name) @ basis
        jump = jump.reshape(len(joint.functions), -1)
        rows.append((joint.functions.T @ jump).reshape(-1, basis.shape[1]))
    return SmallStack(
        matrices=np.array(matrices), rows=np.vstack(rows), tip=watched @ basis
    )


def _jump(stack: Stack, model: ContactModel, name: str) -> FloatArray:
    """Rows of a joint's coefficients, as many as the model has. (3 k, n)."""
    own = model.interface.slices[name]
    return stack.jumps[name][: own.stop - own.start]


def _tangents(
    model: ContactModel, springs: float, points: FloatArray
) -> dict[str, FloatArray]:
    """Tangents of the joints for one set. (3 k, 3 k) each [N/mm³]."""
    found = {each.name: np.diag(springs * each.stiffness) for each in model.springs}
    first = 0
    for joint in model.contacts:
        k, n = joint.functions.shape
        own = points[first : first + 3 * n].reshape(n, 3)
        first += 3 * n
        block = np.einsum("kn,na,ln->akl", joint.functions, own, joint.functions)
        tangent = np.zeros((k, 3, k, 3))
        for axis in range(3):
            tangent[:, axis, :, axis] = block[axis]
        found[joint.name] = tangent.reshape(3 * k, 3 * k)
    return found

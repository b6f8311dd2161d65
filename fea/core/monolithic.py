"""The stack solved in one piece, without reduction: the reference for the tests.

Parts are meshed as the reduction meshes them. A joint is a spring per area between the
displacements of its two sides, integrated exactly over the overlap of their facets:
no polynomial stands between the parts, so what differs from the reduced stack is the
reduction's own error.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import LinearOperator, eigsh
from skfem import MeshTet

from fea.core.elasticity import quadratic_mesh
from fea.core.facet_overlap import PadFacets, facets_on, jump_stiffness, pieces_of
from fea.core.factor import Factor
from fea.core.joint import FootLaw, Joint, Link, PadRef
from fea.core.pad_functions import PadFunctions
from fea.core.plan import PartPlan, StackPlan
from fea.core.solid import stiffness_and_mass
from fea.core.strut import TILT_DEGREE, end_of_strut
from geometry.mesh import IntArray
from geometry.mesher import mesh_part
from geometry.pad import FloatArray, Pad

LINEAR = 3  # functions of degree 0 and 1 on a pad


@dataclass(frozen=True, slots=True, kw_only=True)
class Meshed:
    """A part of the plan with its mesh.

    Parameters
    ----------
    plan : the part
    mesh : as scikit-fem keeps it, in the part's frame
    triangles : pad name to (n_triangle, 3) points
    first_node : number of its first node among all parts' nodes
    """

    plan: PartPlan
    mesh: MeshTet
    triangles: dict[str, IntArray]
    first_node: int

    @property
    def n_node(self) -> int:
        """Number of nodes, corners and edge middles."""
        return int(self.mesh.nvertices + self.mesh.nedges)

    def pad(self, name: str) -> Pad:
        """One of its pads, in the machine frame."""
        pads = (*self.plan.contacts, *self.plan.patches)
        return next(pad for pad in pads if pad.name == name)


class Monolith:
    """All unknowns of a planned stack at once.

    Parameters
    ----------
    plan : the stack
    size : mesh size [mm]

    Raises
    ------
    MeshError, SolveError
        A part cannot be meshed, or nothing holds it.
    """

    def __init__(self, plan: StackPlan, size: float) -> None:
        self._parts = _meshed_parts(plan, size)
        self._n_node = sum(part.n_node for part in self._parts.values())
        self.stiffness, self.mass = self._assembled(plan)
        self.tip_rows = sp.kron(self._mean(plan.tip), np.eye(3), format="csr")

    @property
    def unknowns(self) -> int:
        """Number of displacement unknowns."""
        return 3 * self._n_node

    def compliance(self) -> FloatArray:
        """Motion of the tip under unit forces at the tip. (3, 3) [mm/N]."""
        return np.asarray(self.tip_rows @ self._factor.solve(self.tip_rows.T.toarray()))

    def frequencies(self, count: int) -> FloatArray:
        """Lowest natural frequencies. (n_mode,) [Hz]."""
        solve = LinearOperator(
            self.stiffness.shape,
            matvec=lambda load: self._factor.once(load.reshape(-1, 1)),
            dtype=np.float64,
        )
        squared = eigsh(
            self.stiffness,
            count,
            self.mass,
            sigma=0.0,
            OPinv=solve,
            return_eigenvectors=False,
        )
        return np.asarray(np.sqrt(np.sort(squared)) / (2.0 * np.pi))

    @cached_property
    def _factor(self) -> Factor:
        return Factor(self.stiffness)

    def _assembled(self, plan: StackPlan) -> tuple[sp.csr_matrix, sp.csr_matrix]:
        stiffness, mass = [], []
        for part in self._parts.values():
            material = part.plan.material
            k, m = stiffness_and_mass(part.mesh, material.poissons_ratio)
            stiffness.append(material.youngs_modulus_mpa * k)
            mass.append(material.density_t_mm3 * sp.kron(m, np.eye(3)))
        total = sp.block_diag(stiffness, format="csr")
        for joint in plan.joints:
            law = self._strut_stiffness if joint.strut else self._joint_stiffness
            total = total + law(joint)
        for link in plan.links:
            row = self._stretch(link)
            total = total + link.stiffness * (row.T @ row)
        inertia = sp.block_diag(mass, format="csr")
        for joint in plan.joints:
            if isinstance(joint.law, FootLaw):
                inertia = inertia + self._foot_mass(joint, joint.law)
        return sp.csr_matrix(total), sp.csr_matrix(inertia)

    def _foot_mass(self, joint: Joint, law: FootLaw) -> sp.csr_matrix:
        """Mass that stands on the ground with the pad and moves with it."""
        pad = self._parts[joint.upper.part].pad(joint.upper.pad)
        rows = sp.kron(self._moments(joint.upper, 1), pad.axes, format="csr")
        return sp.csr_matrix(
            rows.T @ sp.diags_array(law.coefficient_mass(LINEAR)) @ rows
        )

    def _joint_stiffness(self, joint: Joint) -> sp.csr_matrix:
        """Springs per area between a joint's two sides, or its one side and ground.

        As stiff everywhere as the law is to a shift; what it adds against a tilt of
        the pad is put on the pad's linear functions.
        """
        refs = [ref for ref in (joint.upper, joint.lower) if ref is not None]
        pad = self._parts[joint.upper.part].pad(joint.upper.pad)
        sides = [self._facets(ref) for ref in refs]
        overlap = jump_stiffness(sides, pieces_of(pad, sides), self._n_node)
        even = joint.law.coefficient_stiffness(1)
        springs = sp.kron(overlap, pad.axes.T @ np.diag(even) @ pad.axes)
        added = joint.law.coefficient_stiffness(LINEAR) - np.tile(even, LINEAR)
        tilting = np.flatnonzero(added)
        if len(tilting) == 0:
            return sp.csr_matrix(springs)
        moments = [self._moments(ref, 1) for ref in refs]
        jump = moments[0] if len(refs) == 1 else moments[0] - moments[1]
        rows = sp.kron(jump, pad.axes, format="csr")[tilting]
        return sp.csr_matrix(springs + rows.T @ sp.diags_array(added[tilting]) @ rows)

    def _strut_stiffness(self, joint: Joint) -> sp.csr_matrix:
        """Spring between a strut's end and what it pushes on."""
        lower, upper = (
            (ref, self._parts[ref.part].pad(ref.pad))
            for ref in (joint.lower, joint.upper)
            if ref is not None
        )
        root, below = (
            sp.kron(self._moments(ref, degree), pad.axes, format="csr")
            for (ref, pad), degree in ((upper, TILT_DEGREE), (lower, 0))
        )
        rows = sp.csr_matrix(end_of_strut(lower[1], upper[1])) @ root - below
        springs = sp.diags_array(joint.law.coefficient_stiffness(1))
        return sp.csr_matrix(rows.T @ springs @ rows)

    def _facets(self, where: PadRef) -> PadFacets:
        part = self._parts[where.part]
        return facets_on(
            part.pad(where.pad),
            part.mesh,
            part.triangles[where.pad],
            np.asarray(part.plan.origin),
            part.first_node,
        )

    def _stretch(self, link: Link) -> sp.csr_matrix:
        """Lengthening of a link. (1, n_dof)."""
        axis = self._parts[link.upper.part].pad(link.upper.pad).normal
        apart = self._mean(link.upper) - self._mean(link.lower)
        return sp.csr_matrix(sp.kron(apart, np.array([axis])))

    def _mean(self, where: PadRef) -> sp.csr_matrix:
        """Weights of the nodes in a pad's mean displacement. (1, n_node)."""
        area = self._parts[where.part].pad(where.pad).area
        # The only function of degree 0 is the constant 1 / sqrt(area).
        return sp.csr_matrix(self._moments(where, 0) / np.sqrt(area))

    def _moments(self, where: PadRef, degree: int) -> sp.csr_matrix:
        """Moments of a pad's functions over all parts' nodes. (n_function, n_node)."""
        part = self._parts[where.part]
        (pad,) = part.plan.own((part.pad(where.pad),))
        functions = PadFunctions(pad, degree)
        own = functions.moments(part.mesh, part.triangles[where.pad]).tocoo()
        place = (own.row, own.col + part.first_node)
        return sp.csr_matrix((own.data, place), (functions.count, self._n_node))


def _meshed_parts(plan: StackPlan, size: float) -> dict[str, Meshed]:
    parts: dict[str, Meshed] = {}
    first_node = 0
    for part in plan.parts:
        pads = [*part.own(part.contacts), *part.own(part.patches)]
        made = mesh_part(part.shape, pads, size, name=part.name, steps=part.refined)
        parts[part.name] = Meshed(
            plan=part,
            mesh=quadratic_mesh(made),
            triangles=made.pads,
            first_node=first_node,
        )
        first_node += parts[part.name].n_node
    return parts

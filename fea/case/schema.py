"""The case file's sections and keys; attributes are plain numbers.

Lengths are in mm, forces in N, pressures in MPa, angles in degrees, stiffnesses in
N/um, those against tilting in kN m/rad, masses in kg, spindle speeds in rev/min and the
feed in mm a revolution, whatever units the file was written in.
"""

from typing import Annotated

from pydantic import Field

from fea.case.calibration_section import Calibration
from fea.case.field_kind import Percent, Quantity, Whole, Words
from fea.case.machine_section import Machine
from fea.case.post_section import Base, Block, Holder, Post
from fea.case.section import MATERIAL, Section
from fea.case.study_section import Study
from fea.case.unit_registry import LENGTH
from fea.case.work_section import Chuck, Cut, Damping, Spindle, Tailstock, Work

# Joints that lift and slip are carried by polynomials of this degree.
LEAST_DEGREE = 3


class Tool(Section):
    """The tool bit: shank and cutting edge in one solid."""

    shank_height: Annotated[float, Quantity(LENGTH, 3.0, 60.0)] = Field(
        description="Of the shank; the cutting edge is level with its top."
    )
    shank_width: Annotated[float, Quantity(LENGTH, 3.0, 60.0)] = Field(
        description="Of the shank."
    )
    length: Annotated[float, Quantity(LENGTH, 15.0, 400.0)] = Field(
        description="Over all."
    )
    overhang: Annotated[float, Quantity(LENGTH, 2.0, 250.0)] = Field(
        description="From the cutting edge to the end of holder or block."
    )
    material: Annotated[str, MATERIAL] = Field(
        description="Of the shank, a key of the materials: steel, hss, carbide."
    )
    tip_patch: Annotated[float, Quantity(LENGTH, 0.3, 20.0)] = Field(
        description="Side of the small square at the cutting edge that takes the force."
    )


class Numerics(Section):
    """How finely it is computed; the defaults are measured ones."""

    mesh_size: Annotated[float, Quantity(LENGTH, 1.0, 25.0)] = Field(
        description="Edge of the largest elements; finer where it matters."
    )
    accuracy: Annotated[float | None, Percent(0.05, 20.0)] = Field(
        default=None,
        description=(
            "Of the tip's motion, what the meshes may leave out by their own estimate; "
            "parts are made finer until they keep to it. Without it they are as "
            "mesh_size asks."
        ),
    )
    degree: Annotated[int, Whole(LEAST_DEGREE, 8)] = Field(
        description="Degree of the polynomials that carry the motion of a contact pad."
    )
    modes: Annotated[int, Whole(0, 80)] = Field(
        description="Natural shapes kept of every part, beside its static ones."
    )


class Case(Section):
    """A whole case: one machine, one tool, one cut, and the two posts to compare."""

    title: Annotated[str, Words(120)] = Field(description="One line, for the report.")
    about: Annotated[str, Words(4000)] = Field(
        default="", description="What the case is and why, for whoever opens it later."
    )
    machine: Machine = Field(description="The lathe below the post.")
    tool: Tool = Field(description="The tool bit, the same in both stacks.")
    post: Post = Field(description="The quick-change post.")
    holder: Holder = Field(description="The tool holder on the quick-change post.")
    block: Block = Field(description="The four-way block.")
    base: Base = Field(description="The seat of post or block on the top slide.")
    work: Work = Field(description="The workpiece: a round bar held in the chuck.")
    spindle: Spindle = Field(
        description="The spindle: its speeds, and how it holds the chuck."
    )
    chuck: Chuck = Field(description="The chuck.")
    tailstock: Tailstock = Field(description="The tailstock, where a centre is used.")
    cut: Cut = Field(description="Kind of cut, feed, edge and depths of cut.")
    damping: Damping = Field(description="What was measured of the damping.")
    calibration: Calibration = Field(
        description="What a fit to measurements found; stoutpost fit writes it."
    )
    numerics: Numerics = Field(description="Mesh and number of unknowns.")
    study: Study = Field(
        default=Study(), description="What `stoutpost study` varies, and to which end."
    )

"""The case's cut and work material as the force model takes them."""

from fea.case.schema import Case
from fea.machining.cut import Cut
from fea.machining.force import cutting_force
from fea.machining.work_material import load_work_materials
from geometry.pad import FloatArray


def cut_of(case: Case) -> Cut:
    """Return feed and edge."""
    return Cut(
        feed_mm=case.cut.feed,
        entering_angle_deg=case.cut.entering_angle,
        nose_radius_mm=case.cut.nose_radius,
        rake_deg=case.cut.rake,
    )


def force_at(case: Case, depth: float) -> FloatArray:
    """Cutting force on the tool at a depth that is really cut. [mm] to (3,) [N]."""
    material = load_work_materials()[case.work.material]
    return cutting_force(material, cut_of(case), depth)

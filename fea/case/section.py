"""Base of every section of the case file."""

from pydantic import BaseModel, ConfigDict

from fea.case.field_kind import Choice
from fea.core.joint_surface import load_joint_surfaces
from fea.core.lubrication import load_lubrications
from fea.core.material import load_materials
from fea.core.property_class import property_class_keys


def _material_keys() -> list[str]:
    return list(dict.fromkeys(row.key for row in load_materials().values()))


MATERIAL = Choice("material", _material_keys, also=load_materials)
SURFACE = Choice("joint surface", load_joint_surfaces)
LUBRICATION = Choice("lubrication", load_lubrications)
PROPERTY_CLASS = Choice("property class", property_class_keys)


class Section(BaseModel):
    """A table of the case file: frozen, and no key but those named is accepted."""

    model_config = ConfigDict(frozen=True, extra="forbid")

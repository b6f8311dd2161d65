from math import inf

import pytest

from fea.core.material import load_materials
from fea.core.strength import safety_factor, screw_stress, strength_note


def test_safety_is_strength_over_stress() -> None:
    assert safety_factor(530.0, 106.0) == pytest.approx(5.0)
    assert safety_factor(530.0, 0.0) == inf


def test_tension_of_a_screw_is_over_its_stress_area() -> None:
    # M12: 84.3 mm² (ISO 898-1), given to three figures.
    assert screw_stress(8430.0, 12.0) == pytest.approx(100.0, rel=1e-3)


@pytest.mark.parametrize("key", ["grey iron", "grey iron 150", "carbide", "hss"])
def test_a_material_that_breaks_is_said_to(key: str) -> None:
    note = strength_note(load_materials()[key])
    assert "breaks rather than yields" in note


@pytest.mark.parametrize("key", ["steel", "nodular iron", "aluminium 6061"])
def test_a_material_that_yields_is_held_to_its_yield(key: str) -> None:
    material = load_materials()[key]
    assert not material.brittle
    assert strength_note(material) == (
        f"von Mises stress against yield at {material.yield_mpa:g} MPa "
        f"({material.name})"
    )

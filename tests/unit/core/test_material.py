import pytest

from fea.core.material import Material, load_materials


def test_every_material_is_physical_and_has_a_source() -> None:
    materials = load_materials().values()
    assert len(materials) > 15
    for material in materials:
        assert 50_000.0 < material.youngs_modulus_mpa < 700_000.0, material.key
        assert 0.2 <= material.poissons_ratio <= 0.35, material.key
        assert 2_500.0 < material.density_kg_m3 < 16_000.0, material.key
        assert 50.0 < material.yield_mpa <= 3_000.0, material.key
        assert material.source, material.key


def test_a_material_goes_by_its_other_names_too() -> None:
    materials = load_materials()
    assert materials["steel 1045"] is materials["steel"]
    assert materials["cast iron"] is materials["grey iron"]
    assert materials["steel"].key == "steel"


def test_density_is_in_tonnes_for_the_mass_matrix() -> None:
    # 7850 kg/m3 is 7.85e-9 t/mm3.
    assert load_materials()["steel"].density_t_mm3 == pytest.approx(7.85e-9, rel=1e-12)


def test_stiffer_grades_of_grey_iron_are_stronger() -> None:
    keys = ("grey iron 150", "grey iron 200", "grey iron", "grey iron 300")
    grades = [load_materials()[key] for key in keys]
    for field in ("youngs_modulus_mpa", "yield_mpa", "density_kg_m3"):
        values = [getattr(grade, field) for grade in grades]
        assert values == sorted(values), field
        assert len(set(values)) == len(values), field


def test_shear_modulus_of_steel_is_near_eighty_thousand() -> None:
    shear = load_materials()["steel"].shear_modulus_mpa
    # Handbooks give 79 to 80 GPa for carbon steel.
    assert shear == pytest.approx(79_500.0, rel=0.01)


def test_the_table_of_materials_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        load_materials()["steel"] = load_materials()["brass"]  # type: ignore[index]
    assert isinstance(load_materials()["steel"], Material)

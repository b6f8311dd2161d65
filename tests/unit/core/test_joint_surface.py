"""Closure of joints against the worked values of the table they are taken from."""

from dataclasses import fields

import pytest

from fea.core.joint_surface import load_joint_surfaces

# C of the book, um/(kgf/cm2)^0.5, for the row in the middle of each class: Ito, Modular
# Design for Machine Tools (2008), table 6-2.
BOOK_C = {"fine scraped": 0.4, "scraped": 0.9, "rough scraped": 1.4, "ground": 0.65}
MPA_PER_KGF_CM2 = 0.0980665


@pytest.mark.parametrize(("key", "book"), BOOK_C.items())
def test_closure_in_the_books_units_is_the_books(key: str, book: float) -> None:
    surface = load_joint_surfaces()[key]
    closure_um = 1000.0 * surface.closure(MPA_PER_KGF_CM2)
    # The table holds four figures.
    assert closure_um == pytest.approx(book, rel=5e-4)


@pytest.mark.parametrize(
    ("key", "pressure", "n_per_um_mm2"),
    [
        # p^(1 - m)/(C m) worked by hand from the converted constants.
        ("scraped", 0.5, 0.492),
        ("scraped", 1.0, 0.696),
        ("scraped", 2.0, 0.984),
        ("ground", 0.5, 0.681),
        ("ground", 1.0, 0.964),
        ("ground", 2.0, 1.363),
    ],
)
def test_unit_stiffness_matches_worked_values(
    key: str, pressure: float, n_per_um_mm2: float
) -> None:
    surface = load_joint_surfaces()[key]
    stiffness = surface.normal_stiffness(pressure)
    # 1 N/um/mm2 is 1000 N/mm3; the worked values have three figures.
    assert stiffness / 1000.0 == pytest.approx(n_per_um_mm2, rel=2e-3)


@pytest.mark.parametrize("key", list(load_joint_surfaces()))
def test_stiffness_is_the_slope_of_pressure_over_closure(key: str) -> None:
    surface = load_joint_surfaces()[key]
    p, step = 1.3, 1e-4
    slope = 2.0 * step / (surface.closure(p + step) - surface.closure(p - step))
    # Central difference: the error is of second order in the step.
    assert surface.normal_stiffness(p) == pytest.approx(slope, rel=1e-7)


def test_rougher_faces_close_more() -> None:
    by_finish = ("fine scraped", "ground", "milled", "turned")
    closures = [load_joint_surfaces()[key].closure(1.0) for key in by_finish]
    assert closures == sorted(closures)


def test_tangential_stiffness_is_below_the_elastic_limit() -> None:
    # 2(1 - nu)/(2 - nu) at nu = 0.3: Johnson, Contact Mechanics, section 7.2.
    for surface in load_joint_surfaces().values():
        ratio = surface.tangential_stiffness(1.0) / surface.normal_stiffness(1.0)
        assert 0.5 <= ratio <= 0.8235, surface.key


def test_every_value_lies_in_its_band_and_has_a_source() -> None:
    surfaces = load_joint_surfaces()
    assert len(surfaces) >= 5
    for surface in surfaces.values():
        assert surface.source, surface.key
        for field in fields(surface.spread):
            low, high = getattr(surface.spread, field.name)
            assert low < getattr(surface, field.name) < high, (surface.key, field.name)

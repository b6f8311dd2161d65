"""Pictures show what they should: skins, projection, load, parts."""

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from fea.analysis.chatter_result import Chatter
from fea.analysis.result import Comparison
from fea.report import scene
from fea.report.gallery import STAGES, gallery
from fea.report.hands import drawing_hands
from fea.report.picture import PictureSet, deformed_figure, parts_figure, prepare
from fea.report.share_bars import member_rows, shares_figure
from fea.report.surface import drawing_scale, surface_of


@pytest.fixture(scope="module")
def common(comparison: Comparison) -> PictureSet:
    return prepare(comparison)


def test_a_skin_is_closed_and_holds_the_volume(comparison: Comparison) -> None:
    for field in comparison.quick_change.fields:
        skin = surface_of(field)
        a, b, c = np.moveaxis(skin.points[skin.triangles], 1, 0)
        volume = np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0
        corners = field.points[field.tetrahedra]
        expected = np.linalg.det(corners[:, 1:] - corners[:, :1]).sum() / 6.0
        assert expected > 0.0
        # the divergence theorem is exact for flat triangles: rounding only
        assert volume == pytest.approx(expected, rel=1e-9)
        assert np.abs(np.cross(b - a, c - a).sum(axis=0)).max() < 1e-6


def test_a_deformation_is_drawn_large_enough_to_see_and_not_more() -> None:
    assert drawing_scale(0.03, 200.0) == pytest.approx(500.0)
    assert drawing_scale(0.0, 200.0) == 1.0


def test_nothing_drawn_is_cropped(comparison: Comparison, common: PictureSet) -> None:
    for surfaces in common.surfaces.values():
        for skin in surfaces:
            pixels = common.view.pixels(skin.deformed(common.scale))
            assert (pixels >= 0.0).all()
            assert (pixels <= common.view.window).all()


def test_up_right_and_left_of_a_picture_are_those_of_the_machine(
    common: PictureSet,
) -> None:
    start, x, y, z = common.view.pixels(np.vstack([np.zeros(3), 10.0 * np.eye(3)]))
    assert z[1] < start[1]
    assert z[0] == pytest.approx(start[0])
    assert x[0] > start[0]
    assert y[0] > start[0]


def test_projection_and_renderer_agree_to_a_pixel(
    comparison: Comparison, common: PictureSet
) -> None:
    surfaces = common.surfaces["quick-change"][:1]
    seen = scene.visible_parts(surfaces, common.view)
    rows, columns = np.nonzero(seen == 1)
    pixels = common.view.pixels(surfaces[0].points)
    found = np.array([columns.min(), rows.min(), columns.max() + 1, rows.max() + 1])
    expected = np.concatenate([pixels.min(axis=0), pixels.max(axis=0)])
    # a pixel belongs to a part when its middle does
    assert np.abs(found - expected).max() <= 1.0


def test_every_part_is_seen_and_the_picture_names_it(
    comparison: Comparison, common: PictureSet
) -> None:
    for stack in (comparison.quick_change, comparison.four_way):
        names = [field.name for field in stack.fields]
        seen = scene.visible_parts(common.surfaces[stack.name], common.view)
        assert set(np.unique(seen)) == set(range(len(names) + 1))
        legend = parts_figure(stack, common).legends[0]
        named = [text.get_text() for text in legend.get_texts()]
        assert named == [f"{n}  {name}" for n, name in enumerate(names, start=1)]


def test_the_deformed_picture_states_scale_force_and_unit(
    comparison: Comparison, common: PictureSet
) -> None:
    figure = deformed_figure(comparison.quick_change, common)
    words = " ".join(text.get_text() for text in figure.texts)
    named = {text.get_text() for text in figure.axes[0].texts}
    words += " ".join(named)
    assert f"drawn {common.scale:g} × true size" in words
    assert "cutting force 603 N" in words
    assert {"radial", "axial", "vertical"} <= named
    assert figure.axes[1].get_xlabel() == "movement (µm)"


def test_the_load_is_drawn_at_the_tip(
    comparison: Comparison, common: PictureSet
) -> None:
    surfaces = common.surfaces["quick-change"]
    arrow = np.array([[-8.0, -12.0, 40.0], [0.0, 0.0, 0.0]])
    image = scene.deformed_picture(surfaces, common.view, 1.0, 30.0, arrow)
    red, green, blue = np.moveaxis(image.astype(int), 2, 0)
    # no colour of the scale is as red, the load's arrow is
    rows, columns = np.nonzero((red > 2 * green) & (blue < 20))
    tail, head = common.view.pixels(arrow)
    tip = np.array([columns[rows.argmax()], rows.max()])
    assert np.linalg.norm(tip - head) < 0.05 * np.linalg.norm(tail - head)
    assert rows.min() < tail[1] + 0.05 * np.linalg.norm(tail - head)


def test_bars_are_as_long_as_the_motion_they_stand_for(comparison: Comparison) -> None:
    figure = shares_figure(comparison)
    drawn = sum(bar.get_width() for bar in figure.axes[1].patches)
    motions = [
        float(np.linalg.norm(stack.load_n)) / stack.stiffness_n_per_um
        for stack in (comparison.quick_change, comparison.four_way)
    ]
    # all members of both stacks are drawn: rounding only
    assert drawn == pytest.approx(sum(motions), rel=1e-9)
    names = [label.get_text() for label in figure.axes[1].get_yticklabels()]
    assert names == [name for _, name in member_rows(comparison)]


def test_a_part_without_a_colour_is_refused(
    comparison: Comparison, common: PictureSet
) -> None:
    strange = replace(common.surfaces["four-way"][0], name="turret")
    with pytest.raises(LookupError, match="'turret' has no colour"):
        scene.parts_picture((strange,), common.view)


def test_importing_the_report_loads_no_drawing_library() -> None:
    code = (
        "import sys, fea.report.write; "
        "print([m for m in ('pyvista', 'vtkmodules', 'matplotlib', 'meshio', 'jinja2')"
        " if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def test_pictures_drawn_in_other_processes_are_the_same(
    comparison: Comparison, chatter: Chatter
) -> None:
    heard: list[str] = []
    with drawing_hands(2) as hands:
        images = gallery(comparison, chatter, heard.append, hands)
    assert heard == list(STAGES)
    alone = gallery(comparison, chatter, heard.append)
    assert [image.name for image in images] == [image.name for image in alone]
    plots = [(image.svg, image.alt, image.caption) for image in images if image.svg]
    assert plots
    assert plots == [(i.svg, i.alt, i.caption) for i in alone if i.svg]
    assert [image.gif for image in images] == [image.gif for image in alone]


def test_one_worker_draws_by_itself() -> None:
    with drawing_hands(1) as hands:
        assert hands is None

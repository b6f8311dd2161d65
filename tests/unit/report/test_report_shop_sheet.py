"""The shop sheet's drawing can be read, and its numbers are those of the case."""

from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from fea.case.case_file import CaseReading, read_case
from fea.case.wording import Units
from fea.report import shop_sheet_drawing
from fea.report.shop_sheet_drawing import Drawing, draw_sheet
from fea.report.shop_sheet_parts import sheet_parts
from fea.report.shop_sheet_pins import NO_PIN, pin_sentences, pin_table
from fea.report.shop_sheet_setups import RECESS, setups
from fea.report.shop_sheet_sizes import Sizes
from fea.report.shop_sheet_tables import (
    limit_table,
    play_sentence,
    screw_table,
    stock_table,
    wedge_sentences,
)

if TYPE_CHECKING:
    from matplotlib.figure import Figure

CASES = Path(__file__).parents[3] / "cases"
# Room for tails of letters, over the height of a line.
TAILS = 0.2
METRIC, INCH = Sizes(units=Units.MM), Sizes(units=Units.INCH)
OFFSET = """title = "offset"
machine.centre_height = "150 mm"
machine.tool_height = "42 mm"
tool.shank_height = "12 mm"
post.dovetail = { width = "30 mm", angle = "45 deg", offset_along = "6 mm" }
post.clamping.way = "draw"
"""


@pytest.fixture(scope="module")
def readings(tmp_path_factory: pytest.TempPathFactory) -> dict[str, CaseReading]:
    path = tmp_path_factory.mktemp("cases") / "offset.toml"
    path.write_text(OFFSET, encoding="utf-8")
    names = ("garden_railway", "telescope_mounts")
    found = {name: read_case(CASES / f"{name}.toml") for name in names}
    return found | {"offset": read_case(path)}


def boxes(figure: "Figure") -> list[tuple[str, Any]]:
    """Every text with its box, in dots."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    renderer = FigureCanvasAgg(figure).get_renderer()
    texts = [text for text in figure.axes[0].texts if text.get_text()]
    return [(text.get_text(), text.get_window_extent(renderer)) for text in texts]


def lines_of(figure: "Figure") -> list[np.ndarray]:
    """Points close together along everything that is drawn, in dots."""
    axes = figure.axes[0]
    found = []
    for line in axes.lines:
        points = axes.transData.transform(line.get_xydata())
        shown = line.get_clip_path() or line.clipbox
        dense = np.vstack([np.linspace(a, b, 200) for a, b in pairwise(points)])
        low, high = shown.min, shown.max
        within = np.all((dense >= low) & (dense <= high), axis=1)
        found.append(dense[within])
    return found


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("name", ["garden_railway", "telescope_mounts", "offset"])
def test_no_text_of_the_drawing_lies_on_another_on_a_line_or_off_the_paper(
    readings: dict[str, CaseReading],
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    units: Units,
) -> None:
    kept = []

    def keep(figure: "Figure") -> Drawing:
        kept.append(figure)
        return Drawing(svg="", pdf=b"")

    monkeypatch.setattr(shop_sheet_drawing, "_saved", keep)
    case = readings[name].case
    draw_sheet(sheet_parts(case, units), Sizes(units=units), "footer")
    (figure,) = kept
    texts, lines = boxes(figure), lines_of(figure)
    assert len(texts) > 20
    paper = figure.bbox
    for i, (text, box) in enumerate(texts):
        assert paper.containsx(box.x0), text
        assert paper.containsx(box.x1), text
        assert paper.containsy(box.y0), text
        assert paper.containsy(box.y1), text
        # Boxes hold the room for letters with tails, which digits have not.
        core = box.padded(-TAILS * min(box.width, box.height))
        for other, its in texts[i + 1 :]:
            assert not _cross(core, its), (text, other)
        for line in lines:
            inside = (line > [core.x0, core.y0]) & (line < [core.x1, core.y1])
            assert not inside.all(axis=1).any(), text


def _cross(one: Any, other: Any) -> bool:
    """Whether two boxes share more than the room for tails of letters."""
    wide = min(one.x1, other.x1) - max(one.x0, other.x0)
    high = min(one.y1, other.y1) - max(one.y0, other.y0)
    narrowest = min(min(b.width, b.height) for b in (one, other))
    return bool(min(wide, high) > 2.0 * TAILS * narrowest)


def test_readings_are_those_of_the_limits_of_the_widths(
    readings: dict[str, CaseReading],
) -> None:
    parts = sheet_parts(readings["garden_railway"].case, Units.MM)
    # 42 h7 at 60 degrees, 9 deep, over 6 mm: 42 - 2 x 9 cot 60 + 6 x 2.73205.
    male, female = pin_table(parts, METRIC).rows
    assert male[1:] == ("6 mm", "48.000", "47.975")
    # 42 + 2 x 0.5 cot 60 - 16.3923, H7.
    assert female[1:] == ("6 mm", "26.210", "26.185")
    words = " ".join(pin_sentences(parts, METRIC))
    assert "root = x − 16.392" in words
    assert "wide top = x − 6.000" in words
    assert "wide bottom = y + 16.392" in words


def test_who_reads_inches_gets_pins_in_inches_and_brackets(
    readings: dict[str, CaseReading],
) -> None:
    case = readings["telescope_mounts"].case
    parts = sheet_parts(case, Units.INCH)
    male = pin_table(parts, INCH).rows[0]
    assert male[1] == "3/16 in"
    millimetres, inches = male[2].split(" ")
    assert float(inches.strip("[]")) * 25.4 == pytest.approx(
        float(millimetres), abs=0.002
    )
    assert "[2.000]" in INCH.length(50.8)
    assert "[" not in METRIC.length(50.8)


def test_a_dovetail_too_narrow_for_pins_says_so(
    readings: dict[str, CaseReading],
) -> None:
    case = readings["garden_railway"].case
    dovetail = case.post.dovetail.model_copy(update={"width": 14.0})
    solid = {"way": "draw", "recess": None, "taper": None}
    clamping = case.post.clamping.model_copy(update=solid)
    post = case.post.model_copy(update={"dovetail": dovetail, "clamping": clamping})
    parts = sheet_parts(case.model_copy(update={"post": post}), Units.MM)
    assert parts.female_pin is None
    assert NO_PIN in pin_table(parts, METRIC).rows[1]
    assert draw_sheet(parts, METRIC, "").svg.startswith("<?xml")


def test_limits_and_play_follow_from_the_fits(
    readings: dict[str, CaseReading],
) -> None:
    case = readings["garden_railway"].case
    parts = sheet_parts(case, Units.MM)
    rows = limit_table(parts, METRIC).rows
    assert [row[1] for row in rows] == ["15 H12", "42 h7", "42.58 H7"]
    assert "0 to 0.050, taken up by the wedge" in play_sentence(case, parts, METRIC)
    piston = readings["telescope_mounts"].case
    said = play_sentence(piston, sheet_parts(piston, Units.MM), METRIC)
    # Half of 0.05 mm times the tangent of 60 degrees.
    assert "up to 0.043 off the face" in said


def test_torques_are_those_of_the_case_and_only_of_screws_of_the_post(
    readings: dict[str, CaseReading],
) -> None:
    rows = screw_table(readings["garden_railway"].case, METRIC).rows
    assert [row[1].replace("\u00a0", " ") for row in rows] == [
        "45 N m",
        "3.6 N m",
        "3.7 N m",
    ]
    assert rows[0][2].replace("\u00a0", " ") == "19.6 kN"


def test_the_wedge_falls_by_its_tangent(readings: dict[str, CaseReading]) -> None:
    (said,) = wedge_sentences(readings["garden_railway"].case, METRIC)
    # tan 7 degrees = 0.122785, over 100 mm and over the body's 62 mm.
    for number in ("1 in 8.14", "12.278 over 100", "7.613 over"):
        assert number in said
    assert not list(wedge_sentences(readings["telescope_mounts"].case, METRIC))


def test_stock_is_larger_than_the_part_by_what_is_squared_away(
    readings: dict[str, CaseReading],
) -> None:
    case = readings["garden_railway"].case
    rows = stock_table(case, sheet_parts(case, Units.MM), METRIC).rows
    assert [row[0] for row in rows] == [
        "post body, steel 1045",
        "holder, steel",
        "moving flank, steel 1045",
    ]
    assert rows[0][1].replace("\u00a0", " ") == "74 × 83 × 66"
    masses = [[float(text.split("\u00a0")[0]) for text in row[2:]] for row in rows]
    assert all(stock > part for stock, part in masses)


def test_setups_warn_of_what_comes_out_mirrored_and_of_the_recess(
    readings: dict[str, CaseReading],
) -> None:
    case = readings["offset"].case
    steps = setups(case, sheet_parts(case, Units.MM), METRIC)
    assert any("6 off the middle, toward the work" in step for step in steps)
    assert RECESS not in steps
    wedged = readings["garden_railway"].case
    steps = setups(wedged, sheet_parts(wedged, Units.MM), METRIC)
    assert RECESS in steps
    assert not any("mirrored" in step for step in steps)

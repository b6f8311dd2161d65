"""Charts, moving pictures and files of chatter, read back."""

import csv
from dataclasses import replace
from io import BytesIO
from math import inf, isfinite
from pathlib import Path

import numpy as np
import pytest
from PIL import Image as Pillow

from fea.analysis.chatter_result import Chatter, Regime, StackChatter
from fea.report.chatter_axes import spread, top_mm
from fea.report.chatter_chart import limits_figure
from fea.report.chatter_file import COLUMNS, write_limits
from fea.report.chatter_map import LINES, map_figure
from fea.report.chatter_modes import FRAMES, mode_images, set_stage
from fea.report.chatter_summary import ChatterSummary, chatter_summary
from fea.report.chatter_words import Limiter
from fea.report.image import Image

ASKED_MM = 2.0


@pytest.fixture(scope="module")
def modes(chatter: Chatter) -> tuple[Image, ...]:
    return mode_images(chatter)


def stacks(chatter: Chatter) -> tuple[StackChatter, StackChatter]:
    return chatter.quick_change, chatter.four_way


def read(rows: list[dict[str, str]], column: str) -> list[float]:
    """Empty cells are limits without end."""
    return [float(row[column]) if row[column] else inf for row in rows]


def test_the_file_of_limits_reads_back(chatter: Chatter, tmp_path: Path) -> None:
    write_limits(chatter, tmp_path / "chatter.csv")
    with (tmp_path / "chatter.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert tuple(rows[0]) == COLUMNS
    assert not any(cell in ("inf", "nan") for row in rows for cell in row.values())
    for stack in stacks(chatter):
        for whose, limits in (("1", stack.lathe), ("0", stack.chart)):
            mine = [
                row
                for row in rows
                if (row["stack"], row["lathe_speed"]) == (stack.name, whose)
            ]
            # six significant digits are written
            assert read(mine, "speed_rpm") == pytest.approx(limits.speed_rpm, rel=1e-5)
            assert read(mine, "limit_mm") == pytest.approx(limits.limit_mm, rel=1e-5)
            for end, name in zip(limits.band_mm, ("low", "high"), strict=True):
                assert read(mine, f"limit_{name}_mm") == pytest.approx(end, rel=1e-5)
            rings = [row["frequency_hz"] != "" for row in mine]
            assert rings == np.isfinite(limits.frequency_hz).tolist()
    assert any(row["limit_mm"] == "" for row in rows)


def test_the_summary_of_chatter_reads_back(chatter: Chatter) -> None:
    text = chatter_summary(chatter, ASKED_MM).model_dump_json()
    found = ChatterSummary.model_validate_json(text)
    new = chatter.quick_change
    assert found.quick_change.chosen.limit_mm == new.chosen.limit_mm[0]
    assert found.quick_change.regime is Regime.CHATTER
    assert found.four_way.regime is Regime.SPEED_DEPENDENT
    assert found.quick_change.limited_by is Limiter.TOOL
    assert [limit.speed_rpm for limit in found.four_way.lathe] == list(
        chatter.four_way.lathe.speed_rpm
    )
    assert [limit.limit_mm for limit in found.four_way.lathe] == [
        limit if isfinite(limit) else None for limit in chatter.four_way.lathe.limit_mm
    ]
    limiting = found.quick_change.modes[found.quick_change.limiting_mode]
    assert limiting.frequency_hz == new.modes[new.limiting_mode].frequency_hz
    assert sum(share.fraction for share in limiting.shares) == pytest.approx(
        sum(share.fraction for share in new.modes[0].shares)
    )
    assert [each.gain for each in found.advice] == [a.gain for a in chatter.advice]


def test_a_mode_moves_through_one_period_and_comes_back(
    modes: tuple[Image, ...],
) -> None:
    assert [image.gif_name for image in modes] == [
        "mode_quick_change.gif",
        "mode_four_way.gif",
    ]
    for image in modes:
        assert image.gif is not None
        film = Pillow.open(BytesIO(image.gif))
        assert film.n_frames == FRAMES >= 8
        assert film.info["loop"] == 0
        frames = []
        for number in range(film.n_frames):
            film.seek(number)
            frames.append(np.asarray(film.convert("RGB")).astype(int))
        half = FRAMES // 2
        away = [np.abs(frame - frames[0]).sum() for frame in frames]
        assert max(away) == away[half]
        assert away[1:] == away[:0:-1]
        assert np.diff(away[: half + 1]).min() > 0


def test_the_still_picture_shows_the_far_end(modes: tuple[Image, ...]) -> None:
    for image in modes:
        assert image.gif is not None
        still = np.asarray(Pillow.open(BytesIO(image.png))).astype(int)
        first = np.asarray(Pillow.open(BytesIO(image.gif)).convert("RGB")).astype(int)
        # a palette of 256 colours is a little off
        assert np.abs(still - first).mean() < 4.0
        assert first[0, 0].tolist() == [255, 255, 255]


def test_nothing_that_swings_leaves_the_picture(chatter: Chatter) -> None:
    stage = set_stage(stacks(chatter))
    for surfaces in stage.surfaces.values():
        for way in (-stage.scale, stage.scale):
            ends = [stage.view.pixels(skin.deformed(way)) for skin in surfaces]
            pixels = np.concatenate(ends)
            assert (pixels >= 0.0).all()
            assert (pixels <= stage.view.window).all()


def test_the_caption_of_a_mode_tells_note_way_and_members(
    modes: tuple[Image, ...],
) -> None:
    words = modes[0].caption
    assert "with the quick-change post: 640 Hz, about D#5, damping 3.10 %" in words
    assert "The tip goes up and toward work" in words
    assert "tool bit 14 %" in words


def test_the_lathes_speeds_are_points_at_their_limits(chatter: Chatter) -> None:
    figure = limits_figure(chatter, ASKED_MM)
    top = top_mm(chatter, ASKED_MM)
    for axes, stack in zip(figure.axes, stacks(chatter), strict=False):
        marks = {
            tuple(spot)
            for line in axes.lines
            if line.get_marker() in ("o", "s", "^")
            for spot in line.get_xydata().tolist()
        }
        expected = np.minimum(stack.lathe.limit_mm, top)
        assert marks == set(zip(stack.lathe.speed_rpm, expected, strict=True))
        assert axes.get_ylim() == (0.0, top)
    words = [text.get_text() for text in figure.legends[0].get_texts()]
    assert {"chatters", "depends on the speed", "safe at any speed"} < set(words)
    assert "the case: 450 rev/min" in words


def test_a_picture_holds_the_case_and_stays_finite(chatter: Chatter) -> None:
    endless = np.array([[inf], [inf]])
    quiet = {
        stack.name: replace(
            stack,
            smallest_mm=inf,
            smallest_band_mm=endless[:, 0],
            chosen=replace(stack.chosen, limit_mm=np.array([inf]), band_mm=endless),
            chart=replace(stack.chart, limit_mm=np.full(240, inf)),
        )
        for stack in stacks(chatter)
    }
    silent = replace(
        chatter, quick_change=quiet["quick-change"], four_way=quiet["four-way"]
    )
    assert ASKED_MM < top_mm(silent, ASKED_MM) <= chatter.four_way.deepest_mm
    assert top_mm(silent, 9.0) > 9.0
    assert limits_figure(silent, ASKED_MM).axes[0].get_ylim()[1] < 6.0


@pytest.mark.parametrize("limit", [0.5, inf])
def test_panels_have_their_room_whether_or_not_a_limit_is_beyond_the_picture(
    chatter: Chatter, limit: float
) -> None:
    alike = np.full(len(chatter.four_way.lathe.speed_rpm), limit)
    lathe = replace(chatter.four_way.lathe, limit_mm=alike)
    changed = replace(chatter, four_way=replace(chatter.four_way, lathe=lathe))
    figure = limits_figure(changed, ASKED_MM)
    # a layout that finds no room warns, and a warning is an error
    figure.savefig(BytesIO(), format="png")
    assert min(axes.get_position().height for axes in figure.axes) > 0.15


def test_lines_of_chance_are_drawn_where_that_chance_is_reached(
    chatter: Chatter,
) -> None:
    figure = map_figure(chatter, ASKED_MM)
    lines = [len(axes.collections) - 1 for axes in figure.axes[:2]]
    assert lines == [len(LINES)] * 2
    never = replace(
        chatter.quick_change.map,
        probability=np.zeros_like(chatter.quick_change.map.probability),
    )
    quiet = replace(chatter, quick_change=replace(chatter.quick_change, map=never))
    assert len(map_figure(quiet, ASKED_MM).axes[0].collections) == 1


def test_labelled_speeds_stand_apart() -> None:
    speeds = [100.0, 105.0, 200.0, 210.0, 400.0]
    assert spread(speeds, np.log(1.5)) == [100.0, 200.0, 400.0]
    assert spread(speeds, 0.0) == speeds


def test_the_maps_legend_names_lines_that_are_there_each_with_its_own_style(
    chatter: Chatter,
) -> None:
    def entries(of: Chatter) -> dict[str, str]:
        legend = map_figure(of, ASKED_MM).legends[0]
        words = (text.get_text() for text in legend.get_texts())
        # the dashes themselves: "--" stands for any pattern
        styles = (repr(line._unscaled_dash_pattern) for line in legend.get_lines())
        return dict(zip(words, styles, strict=True))

    every = entries(chatter)
    assert {"5 % chance", "50 % chance", "95 % chance"} < set(every)
    assert len(every) == 5
    assert len(set(every.values())) == 5
    unlikely = [
        replace(
            stack,
            map=replace(stack.map, probability=0.8 * stack.map.probability),
        )
        for stack in (chatter.quick_change, chatter.four_way)
    ]
    quiet = replace(chatter, quick_change=unlikely[0], four_way=unlikely[1])
    assert set(every) - set(entries(quiet)) == {"95 % chance"}

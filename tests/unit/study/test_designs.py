"""Which designs a study computes."""

from pathlib import Path

import numpy as np
import pytest
from small_study import OFFSET, WIDTH, grid, small_study

from fea.study.designs import designs_of
from geometry.errors import InputError

THREE = f"""
[study]
designs = 16
[study.variables]
"{WIDTH}" = {{ from = "30 mm", to = "54 mm" }}
"{OFFSET}" = {{ from = "-8 mm", to = "8 mm" }}
"post.clamping.way" = ["wedge", "solid"]
"""


def test_a_grid_holds_every_combination_once_in_the_order_of_the_file(
    tmp_path: Path,
) -> None:
    reading = small_study(tmp_path, grid(["40 mm", "44 mm"], ["0 mm", "1 mm", "0 mm"]))
    found = [tuple(each.values.values()) for each in designs_of(reading.case.study)]
    assert found == [
        ("40 mm", "0 mm"),
        ("40 mm", "1 mm"),
        ("44 mm", "0 mm"),
        ("44 mm", "1 mm"),
    ]


def test_a_range_is_stepped_through_with_both_ends(tmp_path: Path) -> None:
    study = f"""
[study.variables]
"{WIDTH}" = {{ from = "30 mm", to = "2 in", count = 4 }}
"""
    designs = designs_of(small_study(tmp_path, study).case.study)
    widths = [each.values[WIDTH] for each in designs]
    assert widths == ["30 mm", "36.9333 mm", "43.8667 mm", "50.8 mm"]
    assert [each.number for each in designs] == [1, 2, 3, 4]


def test_beyond_two_variables_designs_fill_the_ranges_evenly(tmp_path: Path) -> None:
    designs = designs_of(small_study(tmp_path, THREE).case.study)
    assert len(designs) == 16
    for key, low, high in ((WIDTH, 30.0, 54.0), (OFFSET, -8.0, 8.0)):
        values = np.array([float(str(d.values[key]).split()[0]) for d in designs])
        # A Latin hypercube: each sixteenth of a range holds one design.
        sixteenth = np.floor((values - low) / (high - low) * 16)
        assert sorted(sixteenth) == list(range(16))
    ways = [each.values["post.clamping.way"] for each in designs]
    assert ways.count("wedge") == ways.count("solid") == 8


def test_the_same_study_has_the_same_designs(tmp_path: Path) -> None:
    first, second = (designs_of(small_study(tmp_path, THREE).case.study) for _ in "ab")
    assert first == second


def test_where_the_case_says_no_number_there_are_ten_a_variable(
    tmp_path: Path,
) -> None:
    study = THREE.replace("designs = 16\n", "")
    assert len(designs_of(small_study(tmp_path, study).case.study)) == 30


def test_a_case_that_varies_nothing_is_told_how(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"varies nothing; add \[study.variables\]"):
        designs_of(small_study(tmp_path, "").case.study)

"""A calibrated case is the case's own text with what was found, each table once."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from fea.analysis.draw import GROUND
from fea.case.case_file import reading_of
from fea.measurement.calibrated_case import calibrated_text
from fea.measurement.fitted_values import Meaning
from fea.measurement.posterior import Gaussian

CASE = """\
title = "Öl und Späne"   # a comment that stays
machine.centre_height = "150 mm"
machine.tool_height = "42 mm"
tool.shank_height = "12 mm"

[post.dovetail]
width = "42 mm"  # so that holders of two posts fit
"""
NUMERICS = '\n[numerics]\nmesh_size = "20 mm"\n'
FOUND = Gaussian(
    middle=np.array([-0.5]), directions=np.array([[0.9]]), spread=np.array([0.2])
)
MEANING = Meaning(name=GROUND, unit="", value=lambda quantile: 1.0 + quantile)


def calibrated(text: str, damping: float | None) -> str:
    case = reading_of(Path("case.toml"), text).case
    return calibrated_text(text, case, FOUND, [MEANING], damping)


@pytest.mark.parametrize(
    "damping",
    [
        "",
        "\n[damping]\n",
        "\n[damping]  # to be tapped\n\n",
        "\ndamping = {}\n",
        "\n[damping]\n# ratio = 0.02\n" + NUMERICS,
    ],
    ids=["none", "empty", "comment", "inline", "before another"],
)
@pytest.mark.parametrize(
    "calibration",
    [
        "",
        "\n[calibration]\n",
        "\n[calibration]\n\n[calibration.constants]\n",
        "\n[calibration.constants]\n",
        "\ncalibration = { spread = [] }\n",
        "\n[calibration]\nspread = []",
    ],
    ids=["none", "empty", "both empty", "inner", "inline", "spread"],
)
def test_no_table_stands_twice(damping: str, calibration: str) -> None:
    inline = [each for each in (damping, calibration) if "= {" in each]
    tables = [each for each in (damping, calibration) if "= {" not in each]
    text = "".join([*inline, CASE, *tables])
    written = calibrated(text, 0.0312)
    # The parser refuses what is there twice.
    table = tomllib.loads(written)
    assert table["damping"] == {"ratio": 0.0312}
    assert table["calibration"] == {"spread": [0.2], "constants": {GROUND: [-0.5, 0.9]}}
    others = {"damping": None, "calibration": None}
    assert {**table, **others} == {**tomllib.loads(text), **others}
    case = reading_of(Path("case.toml"), written).case
    assert case.damping.ratio == 0.0312
    assert case.calibration.constants == {GROUND: (-0.5, 0.9)}


@pytest.mark.parametrize(
    "text",
    [CASE, CASE + NUMERICS, CASE.rstrip("\n"), CASE.replace("\n", "\r\n")],
    ids=["plain", "section last", "no last newline", "of another system"],
)
def test_what_the_owner_wrote_stays_word_by_word(text: str) -> None:
    assert calibrated(text, None).startswith(text.rstrip())
    assert calibrated(text, 0.03).startswith(text.rstrip())


def test_a_damping_that_the_case_states_stays() -> None:
    table = tomllib.loads(calibrated(CASE + "\n[damping]\nratio = 0.02\n", 0.0312))
    assert table["damping"] == {"ratio": 0.02}

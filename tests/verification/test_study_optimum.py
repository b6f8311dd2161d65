"""The design that a search ends at, against a grid over the same ranges by brute force.

Both solve the true model, coarsely meshed; no formula stands between them. Torques are
varied, because no part has to be made anew for them.
"""

from pathlib import Path

import pytest
from small_study import small_study

from fea.study.run import Finished
from fea.study.search import search

WEDGE, STUD = "post.clamping.torque", "machine.stud.torque"
GRID = f"""
[study.variables]
"{WEDGE}" = {{ from = "1 N m", to = "4 N m", count = 5 }}
"{STUD}" = {{ from = "15 N m", to = "45 N m", count = 5 }}
"""
# A third key, of one value, makes it a search and changes nothing else.
SEARCH = f"""
[study]
designs = 9
[study.variables]
"{WEDGE}" = {{ from = "1 N m", to = "4 N m" }}
"{STUD}" = {{ from = "15 N m", to = "45 N m" }}
"post.dovetail.width" = ["42 mm"]
[study.aims]
stiffness = "most"
"""


def solved(folder: Path, study: str, cache: Path, workers: int = 2) -> list[Finished]:
    folder.mkdir()
    reading = small_study(folder, study)
    return list(search(reading, folder, cache=cache, workers=workers))


def stiffness(one: Finished) -> float:
    return one.outcome.row["stiffness_n_per_um"]


def torque(one: Finished, key: str) -> float:
    return float(str(one.design.values[key]).split()[0])


def test_the_search_ends_where_brute_force_does(
    tmp_path: Path, cache_folder: Path
) -> None:
    brute = max(solved(tmp_path / "grid", GRID, cache_folder), key=stiffness)
    tried = solved(tmp_path / "search", SEARCH, cache_folder)
    found = max(tried, key=stiffness)
    assert len(tried) <= 9 + 12
    # The grid's best is stiffest at the wedge's end and inside the stud's range.
    assert torque(brute, WEDGE) == 4.0
    assert 15.0 < torque(brute, STUD) < 45.0
    # The search looks as finely as a hundredth of a range, the grid at every fourth.
    assert torque(found, WEDGE) == pytest.approx(4.0, abs=0.03)
    assert torque(found, STUD) == pytest.approx(torque(brute, STUD), abs=7.5)
    assert stiffness(found) >= stiffness(brute)
    # From the grid's best to the top it is less than to that one's neighbour on the
    # grid, which is 2e-4 off.
    assert stiffness(found) == pytest.approx(stiffness(brute), rel=2e-4)
    # What is tried next never depends on which worker was faster.
    alone = solved(tmp_path / "alone", SEARCH, tmp_path / "cache", workers=1)
    assert alone == tried

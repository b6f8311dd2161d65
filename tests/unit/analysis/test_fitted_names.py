"""A constant that neither stack has is refused, whoever reads the case."""

from collections.abc import Callable
from pathlib import Path

import pytest

import fea
from fea.analysis.build import plan_stack
from fea.analysis.clamping_scatter import expected_scatter
from fea.analysis.fitted_names import NEAREST, fitted_names
from fea.analysis.sound_case import read_case
from fea.analysis.stack_names import FOUR_WAY, QUICK_CHANGE
from fea.case.schema import Case
from fea.case.table_spread import ground_spread
from fea.measurement.unknowns import EYE, unknowns_of
from geometry.errors import InputError

CASES = sorted((Path(__file__).parents[3] / "cases").glob("*.toml"))
DEMO = next(path for path in CASES if path.stem == "garden_railway")
STACKS = (QUICK_CHANGE, FOUR_WAY)
WEDGE_ONLY = ("taper", "recess")
Written = Callable[..., Path]


@pytest.fixture
def written(tmp_path: Path) -> Written:
    """Write the demo with fitted constants of these names."""

    def write(*names: str) -> Path:
        rows = "".join(f'"{name}" = [0.1]\n' for name in names)
        path = tmp_path / "calibrated.toml"
        path.write_text(
            f"{DEMO.read_text(encoding='utf-8')}\n[calibration.constants]\n{rows}",
            encoding="utf-8",
        )
        return path

    return write


@pytest.mark.parametrize("path", CASES, ids=[path.stem for path in CASES])
def test_a_fit_finds_no_name_that_is_refused(path: Path) -> None:
    case = read_case(path).case
    plans = [plan_stack(case, name) for name in STACKS]
    scatters = [expected_scatter(case, plan).values() for plan in plans]
    screws = [each.screw for scatter in scatters for each in scatter]
    assert screws
    # A plan has the joints, links and materials of the stack that is made of it.
    unknowns = unknowns_of(plans, screws, ground_spread(case))  # type: ignore[arg-type]
    # The eye is the observer's and in no stack; it is not written.
    assert set(unknowns.names) - {EYE} == set(fitted_names(case))


def test_every_known_name_is_read(coarse_case: Case, written: Written) -> None:
    names = fitted_names(coarse_case)
    case = read_case(written(*names)).case
    assert set(case.calibration.constants) == set(names)


def test_a_wrong_name_is_refused_with_its_line_and_the_nearest(
    written: Written,
) -> None:
    path = written("ground: stiffness", "way near wrok: closure_um")
    line = len(path.read_text(encoding="utf-8").splitlines())
    with pytest.raises(InputError) as refused:
        read_case(path)
    said = str(refused.value)
    assert said.startswith(
        f'calibrated.toml, line {line}: calibration.constants."way near wrok: '
    )
    near = said.partition("nearest are ")[2]
    assert near.startswith('"way near work: closure_um", "')
    assert near.partition(". ")[0].count('"') == 2 * NEAREST
    assert refused.value.exit_code == 2


def test_several_wrong_names_are_counted(written: Written) -> None:
    with pytest.raises(InputError, match="nor 2 others"):
        read_case(written("a: friction", "b: friction", "c: friction"))


def test_a_joint_of_another_way_of_clamping_is_refused(written: Written) -> None:
    path = written("piston: closure_um")
    with pytest.raises(InputError, match="changed after the fit, fit it anew"):
        fea.load_case(path)
    text = path.read_text(encoding="utf-8").replace('way = "wedge"', 'way = "piston"')
    kept = [each for each in text.splitlines() if not each.startswith(WEDGE_ONLY)]
    path.write_text("\n".join(kept), encoding="utf-8")
    assert fea.load_case(path).calibration.constants == {"piston: closure_um": (0.1,)}


def test_an_expected_case_draws_no_stack_to_be_read(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("fea.analysis.fitted_names.plan_stack", None)
    assert not read_case(DEMO).case.calibration.constants

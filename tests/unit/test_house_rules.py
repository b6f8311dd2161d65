"""The rules of DEVELOPERS.md that a machine can check."""

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SOURCES = sorted([*ROOT.glob("geometry/**/*.py"), *ROOT.glob("fea/**/*.py")])
TESTS = sorted(ROOT.glob("tests/**/*.py"))
TABLES = sorted([*ROOT.glob("geometry/**/*.toml"), *ROOT.glob("fea/**/*.toml")])
CASES = ROOT.glob("cases/*.*")
HIDDEN = [*ROOT.glob(".ci/*"), *ROOT.glob(".setup/*")]
DOCUMENTS = [*ROOT.glob("*.md"), *ROOT.glob("*.toml"), *CASES, *HIDDEN]
PICTURES = {".png"}
TEXTS = sorted(
    path
    for path in [*SOURCES, *TESTS, *TABLES, *DOCUMENTS]
    if path.suffix not in PICTURES
)

# An import points to the same layer or to one further up in this list.
LAYERS = (
    "geometry",
    "fea.core",
    "fea.machining",
    "fea.case",
    "fea.analysis",
    "fea.study",
    "fea.measurement",
    "fea.report",
    "fea.app",
)
# What a person or Python enters by: they may import every layer, and no layer them.
ENTRANCES = {"fea.__init__", "fea.__main__"}
COLLECTED = ("tests/unit/", "tests/verification/", "tests/end_to_end/")
LONGEST_FILE = 300
LONGEST_FUNCTION = 40
LARGEST_PICTURE_KB = 300
CHECKS = {"pytest.raises", "pytest.warns"}
MACHINE_PATH = re.compile(r"(?<![\w.~)])/(?:home|root|work|tmp|Users|opt|mnt)/\w")


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def layer_of(module: str) -> str | None:
    return next((p for p in LAYERS if f"{module}.".startswith(f"{p}.")), None)


def imported(tree: ast.AST) -> Iterator[str]:
    """Every name that is imported, anywhere in a file, with its module."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            dots = "." * node.level
            yield from (f"{dots}{node.module}.{alias.name}" for alias in node.names)


def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def code_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function from its `def` on, without its docstring."""
    lines = (function.end_lineno or 0) - function.lineno + 1
    first = function.body[0]
    if ast.get_docstring(function) is not None:
        lines -= (first.end_lineno or 0) - first.lineno + 1
    return lines


def has_check(function: ast.AST, checks: set[str]) -> bool:
    """Whether anything in a function can fail: an assertion, or a call to a check."""
    for node in ast.walk(function):
        if isinstance(node, ast.Assert) and not isinstance(node.test, ast.Constant):
            return True
        if isinstance(node, ast.Call) and ast.unparse(node.func) in checks:
            return True
    return False


@pytest.mark.parametrize("path", SOURCES, ids=name_of)
def test_a_module_belongs_to_a_layer(path: Path) -> None:
    module = module_of(path)
    assert layer_of(module) or module in ENTRANCES, "name its package in LAYERS"


@pytest.mark.parametrize("path", SOURCES, ids=name_of)
def test_imports_point_down_the_layers(path: Path) -> None:
    home = layer_of(module_of(path))
    names = set(imported(parsed(path)))
    assert not {name for name in names if name.startswith(".")}, "import by full name"
    ours = {name for name in names if name.split(".")[0] in {"fea", "tests"}}
    unlayered = {name for name in ours if layer_of(name) is None}
    assert not unlayered, f"import from the layer, not from {sorted(unlayered)}"
    targets = {layer for layer in map(layer_of, names) if layer is not None}
    if home is not None:
        upward = {t for t in targets if LAYERS.index(t) > LAYERS.index(home)}
        assert not upward, f"{home} must not import {sorted(upward)}"


@pytest.mark.parametrize("path", [*SOURCES, *TESTS], ids=name_of)
def test_a_file_is_short(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE


@pytest.mark.parametrize("path", SOURCES, ids=name_of)
def test_a_function_is_short(path: Path) -> None:
    long = {f.name for f in functions(path) if code_lines(f) > LONGEST_FUNCTION}
    assert not long, f"more than {LONGEST_FUNCTION} lines of code: {sorted(long)}"


@pytest.mark.parametrize("path", TESTS, ids=name_of)
def test_every_test_is_collected_and_contains_a_check(path: Path) -> None:
    tests = [f for f in functions(path) if f.name.startswith("test_")]
    is_collected = path.name.startswith("test_") and name_of(path).startswith(COLLECTED)
    assert is_collected or not tests, "move its tests to where pytest looks"
    assert tests or not path.name.startswith("test_"), "a test file without a test"
    helpers = {f.name for f in functions(path) if has_check(f, CHECKS)}
    empty = {test.name for test in tests if not has_check(test, CHECKS | helpers)}
    assert not empty, f"no check in {sorted(empty)}"


@pytest.mark.parametrize("path", TABLES, ids=name_of)
def test_every_row_of_a_data_table_has_a_source(path: Path) -> None:
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    rows = [
        row
        for name, entry in table.items()
        if not name.endswith("source")
        for row in (entry if isinstance(entry, list) else [entry])
    ]
    assert rows
    unsourced = [row for row in rows if not str(row.get("source", "")).strip()]
    assert not unsourced, "say who says so, or 'common practice, no source'"


@pytest.mark.parametrize("path", TEXTS, ids=name_of)
def test_no_file_names_a_folder_of_one_machine(path: Path) -> None:
    found = MACHINE_PATH.findall(path.read_text(encoding="utf-8"))
    assert not found


@pytest.mark.parametrize("path", sorted(ROOT.glob("cases/*.png")), ids=name_of)
def test_a_kept_picture_is_small(path: Path) -> None:
    assert path.stat().st_size <= LARGEST_PICTURE_KB * 1000


def test_the_rules_look_at_files() -> None:
    assert len(SOURCES) > len(LAYERS)
    assert len(TESTS) > len(COLLECTED)
    assert {layer_of(module_of(path)) for path in SOURCES} >= set(LAYERS)
    assert any(path.parent.name == ".ci" for path in TEXTS)
    assert TABLES


def test_the_files_that_developers_are_sent_to_exist() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = re.findall(r"`((?:fea|geometry|tests|cases)/[\w/]*(?:\.\w+)?)`", text)
    assert named
    assert not [name for name in named if not (ROOT / name).exists()]

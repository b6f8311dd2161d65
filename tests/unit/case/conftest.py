from collections.abc import Callable
from pathlib import Path

import pytest

from fea.case.case_file import CaseReading, read_case


@pytest.fixture
def read(tmp_path: Path) -> Callable[[str], CaseReading]:
    """Read a case from its text."""

    def read_text(text: str) -> CaseReading:
        path = tmp_path / "lathe.toml"
        path.write_text(text, encoding="utf-8")
        return read_case(path)

    return read_text

"""Runs the command on a case that is to be refused."""

from pathlib import Path

import pytest

from fea.app.command import main

GOOD = """title = "bad"
machine.centre_height = "150 mm"
machine.tool_height = "42 mm"
tool.shank_height = "12 mm"
post.dovetail.width = "42 mm"
"""
# The first line after the good ones.
ADDED = "line 6"


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> list[str]:
    """Run the command; return its message's lines, sure that it failed well."""
    before = sorted(Path().rglob("*"))
    with pytest.raises(SystemExit) as done:
        main(arguments)
    printed = capsys.readouterr()
    assert done.value.code == 2
    assert printed.out == ""
    assert "Traceback" not in printed.err
    assert sorted(Path().rglob("*")) == before, "nothing may be written"
    lines = printed.err.splitlines()
    assert all(line.startswith("stoutpost: ") for line in lines)
    return lines


def written(text: str | bytes) -> str:
    """Write a case file; return its name."""
    content = text if isinstance(text, bytes) else text.encode()
    Path("bad.toml").write_bytes(content)
    return "bad.toml"

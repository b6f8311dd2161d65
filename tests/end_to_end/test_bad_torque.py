"""A torque that cannot be turned into a force is one clear message that says why."""

from pathlib import Path

import pytest
from bad_case import ADDED, GOOD, refused, written


@pytest.mark.parametrize("command", ["check", "report"])
@pytest.mark.parametrize(
    ("added", "said"),
    [
        (
            'machine.stud.torque = "45 N"',
            ("is a force, but a torque is wanted", '"45 N m" or "33 lbf ft"'),
        ),
        (
            'machine.stud = { torque = "45 N m", preload = "20 kN" }',
            (
                'machine.stud.preload = "20 kN" and machine.stud.torque = "45 N m"',
                "give the torque or the force, not both",
            ),
        ),
        (
            'post.clamping = { torque = "4 N m", force = "9 kN" }',
            ("post.clamping.force", "post.clamping.torque", "not both"),
        ),
        (
            'block.screws = { torque = "4 N m", force = "9 kN" }',
            ("block.screws.force", "block.screws.torque", "not both"),
        ),
        (
            'post.clamping = { torque = "4 N m", way = "solid" }',
            ('post.clamping.torque = "4 N m"', "nothing is tightened", "remove torque"),
        ),
        (
            'post.clamping = { taper = "7 deg", way = "piston" }',
            ("post.clamping.taper = 7 deg", "has a wedge; remove taper"),
        ),
        (
            'machine.stud.torque = "4000 N m"',
            ("makes machine.stud.preload", "from 200 to 400000 N", "correct the torq"),
        ),
        (
            'machine.stud.torque = "250 N m"',
            (
                "machine.stud.torque = 250 N m",
                "machine.stud.property_class = 8.8",
                "along the screw break it",
                "tighten it less",
            ),
        ),
        (
            "machine.stud.property_class = 8.8",
            ("is no known property class", "did you mean '8.8'?"),
        ),
        (
            'holder.screws.lubrication = "oild"',
            ("is no known lubrication", "did you mean 'oiled'?"),
        ),
    ],
)
def test_a_torque_that_makes_no_force_names_file_line_key_and_remedy(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    command: str,
    added: str,
    said: tuple[str, ...],
) -> None:
    monkeypatch.chdir(tmp_path)
    name = written(f"{GOOD}{added}\n")
    [line] = refused(capsys, command, name)
    assert list(tmp_path.iterdir()) == [tmp_path / name]
    assert line.startswith(f"stoutpost: bad.toml, {ADDED}: ")
    for part in said:
        assert part in line

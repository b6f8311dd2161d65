"""How long `stoutpost check` takes, beside what importing its libraries alone takes.

Run from the project's root:

    python -m tests.benchmarks.check_start [CASE] [--times N]

Each command runs in a process of its own, all of them in turn; the ratio is that of the
medians to the second line's, which no change of this project moves.
"""

import argparse
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

CASE = Path("cases/garden_railway.toml")
TIMES = 15


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("case", nargs="?", type=Path, default=CASE)
    parser.add_argument("--times", type=int, default=TIMES)
    given = parser.parse_args()
    commands = {
        "python alone": ["-c", "pass"],
        "its libraries": ["-c", "import click, numpy; from pydantic import BaseModel"],
        "stoutpost check": ["-m", "fea", "check", str(given.case)],
    }
    taken: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(given.times):
        for name, arguments in commands.items():
            taken[name].append(_seconds(arguments))
    libraries = median(taken["its libraries"])
    print("                   median  least   most  ratio")
    for name, times in taken.items():
        middle = median(times)
        print(
            f"{name:16s}  {middle:5.2f} s  {min(times):5.2f}  {max(times):5.2f}"
            f"  {middle / libraries:5.2f}"
        )


def _seconds(arguments: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


if __name__ == "__main__":
    main()

"""Progress of a long command: a bar with the name of the stage, or the time left."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import (
    BarColumn,
    Progress,
    TextColumn,
    TimeElapsedColumn,
    TimeRemainingColumn,
)


@contextmanager
def stages(count: int) -> Iterator[Callable[[str], None]]:
    """Show a bar of that many stages; what it gives is called as each one begins."""
    columns = (
        BarColumn(bar_width=24),
        TextColumn("{task.completed:.0f}/{task.total:.0f}"),
        TimeElapsedColumn(),
        TextColumn("{task.description}"),
    )
    with Progress(*columns, console=Console(stderr=True)) as progress:
        task = progress.add_task("reading the case", total=count)
        begun = 0

        def on_stage(name: str) -> None:
            nonlocal begun
            progress.update(task, description=name, completed=begun)
            begun += 1

        yield on_stage
        progress.update(task, description="done", completed=count)


@contextmanager
def countdown(count: int, noun: str) -> Iterator[Callable[[], None]]:
    """Show a bar of alike pieces with the time left; call what it gives for each."""
    columns = (
        BarColumn(bar_width=24),
        TextColumn("{task.completed:.0f}/{task.total:.0f} {task.description}"),
        TimeElapsedColumn(),
        TextColumn("left"),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True)) as progress:
        task = progress.add_task(noun, total=count)
        yield lambda: progress.advance(task)
        # A search may be content before it has had all that it was allowed.
        progress.update(task, total=progress.tasks[task].completed)

"""How far a long job is, on stderr, and only when somebody watches.

Decides: nothing of the work.
Conventions: work is counted in milliseconds of sound; silent when stderr is no terminal.
Public: `Tick`, `meter`.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Tick = Callable[[int, int], None]


def _silent(done: int, total: int) -> None:
    del done, total


@contextmanager
def meter(label: str) -> Iterator[Tick]:
    """Show a bar with the time left; yields the function to call with (done, total)."""
    if not sys.stderr.isatty():
        yield _silent
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(label, total=None)

        def tick(done: int, total: int) -> None:
            bar.update(task, completed=done, total=total)

        yield tick

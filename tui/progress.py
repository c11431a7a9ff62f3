"""A bar for what takes its time, on standard error, where that is a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from core.sources.recording import Recording
from tui.speaking import is_terminal, printable


@contextmanager
def bar(title: str, total: float = 1.0) -> Iterator[Callable[[float], None]]:
    """What to tell how much of `total` is done. `title` may be a file's name: it stays text, brackets and all."""
    if not is_terminal("stderr"):
        yield lambda _: None
        return
    # Only here: with no terminal nobody waits for it.
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}", markup=False), BarColumn(), TaskProgressColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        task = shown.add_task(printable(title), total=total)
        yield lambda done: shown.update(task, completed=done)


@contextmanager
def reading_bar(recording: Recording) -> Iterator[Callable[[], None]]:
    """What to call whenever some more of it has been read."""
    with bar(recording.path.name) as show:
        yield lambda: show(recording.fraction)

"""Keeps something on the disk while it grows, in a thread of its own: neither receiver nor screen waits for it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from queue import SimpleQueue

from core.errors import InputError
from core.file_lock import locked

CLOSE_S = 2.0

Job = Callable[[], None]


class DiskKeeper:
    """What keepers have in common. The methods belong to one thread; the jobs that they ask for are done in another."""

    def __init__(self, what: str) -> None:
        """`what`: is kept, in a word."""
        self._what = what
        self._jobs: SimpleQueue[tuple[str, Job] | None] = SimpleQueue()
        self._lock = ExitStack()
        self._thread: threading.Thread | None = None
        self._troubles: dict[str, str] = {}
        """By kind. Never changed, always replaced: another thread may be reading it."""

    @property
    def trouble(self) -> str:
        """Why something could not be saved; empty while all is."""
        return next(iter(self._troubles.values()), "")

    def end(self) -> None:
        """Save all that is left, and stop; waits for the disk two seconds at most."""
        if self._thread is not None:
            self._save_rest()
            self._jobs.put(None)
            self._thread.join(CLOSE_S)
        self._thread = None
        self._lock.close()

    def _save_rest(self) -> None:
        """Ask for what has not been saved yet."""
        raise NotImplementedError

    def _is_ours(self, path: Path) -> bool:
        """Whether this file may be written: until the end no other program may. False is a trouble."""
        self._troubles = {}
        try:
            self._lock.enter_context(locked(path, tries=1))
        except InputError:
            told = f"another fixboard keeps its {self._what} in this folder; this one is not saved"
            self._troubles = {"lock": told}
            return False
        return True

    def _begin_saving(self) -> None:
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name=self._what, daemon=True)
            self._thread.start()

    def _ask(self, kind: str, job: Job) -> None:
        """`kind`: of what is saved. A trouble lasts until a job of its kind succeeds."""
        self._jobs.put((kind, job))

    def _run(self) -> None:
        while (asked := self._jobs.get()) is not None:
            kind, job = asked
            try:
                job()
                self._troubles = {one: told for one, told in self._troubles.items() if one != kind}
            except Exception as error:  # a fault here must be seen, and must not end the saving of the rest
                self._troubles = {**self._troubles, kind: str(error)}

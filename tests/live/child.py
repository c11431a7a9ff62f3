"""A program that a test has started, as its parent knows it."""

from __future__ import annotations

import os
import signal

from tests.live.rig import until


class Child:
    """To be derived from: whoever starts it sets `pid`."""

    pid: int
    status: int | None = None
    """As `os.waitpid` gives it, once the process is gone."""

    def signal(self, number: signal.Signals) -> None:
        """Send one."""
        os.kill(self.pid, number)

    def has_ended(self) -> bool:
        """Whether the process is gone; its status is then known."""
        if self.status is None:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            self.status = status if pid else None
        return self.status is not None

    def end(self) -> None:
        """At once, if it has not ended by itself."""
        if not self.has_ended():
            os.kill(self.pid, signal.SIGKILL)
            until(self.has_ended)

"""A pseudo-terminal: for programs that can read a serial port and nothing else."""

from __future__ import annotations

import errno
import os
import select
import stat
from contextlib import ExitStack, suppress
from pathlib import Path
from selectors import BaseSelector

from core.errors import InputError
from core.feeding.address import FeedAddress
from core.feeding.refusals import refused
from core.feeding.waiting import Waiting
from core.file_lock import lock_file, locked

_TERMINALS = ("/dev/pts/", "/dev/tty")
"""How pseudo-terminals are called: Linux, the BSDs; macOS (from memory)."""


class PtyOutlet:
    """An Outlet that one program reads at a time. While none has it open nothing is kept: who comes gets the newest."""

    def __init__(self, address: FeedAddress) -> None:
        """Opens it, and makes the link if one is named. Raises InputError saying what to do."""
        self.address = address
        self.dropped = 0
        self._waiting = Waiting()
        self._had_reader = False
        self._is_new = False
        try:
            self._master, self._device = _opened()
        except OSError as error:
            raise refused(address, error) from error
        self._link: Path | None = None
        self._held = ExitStack()
        try:
            self._link = Path(address.device).expanduser() if address.device else None
            if self._link:
                _point(self._link, self._device, self._held)
        except (OSError, ValueError, RuntimeError) as error:  # RuntimeError: ~somebody, who has no home here
            os.close(self._master)
            self._held.close()
            raise refused(address, error) from error

    @property
    def where(self) -> str:
        """What another program opens as its serial port."""
        return str(self._link or self._device)

    @property
    def clients(self) -> int | None:
        """One at most."""
        return int(self._has_reader())

    @property
    def has_pending(self) -> bool:
        """It does not wake the feed when it can take more."""
        return bool(len(self._waiting))

    def watch(self, selector: BaseSelector) -> None:
        """Looked at when something is sent: not every system can wait for a pseudo-terminal."""

    def send(self, data: bytes, now_s: float) -> None:
        """To whoever has it open."""
        if not self._looks_for_reader():
            self._waiting.shed(now_s)
            return
        self._discard_input()
        self.dropped += self._waiting.add_newest(data, now_s)
        with suppress(OSError):  # closed at this moment
            self._waiting.send(self._write, now_s)

    def newcomers(self, greeting: bytes, now_s: float) -> None:
        """Whoever has opened it since."""
        if self._looks_for_reader() and self._is_new:
            self._is_new = False
            self._waiting.add(greeting, now_s)

    def close(self) -> None:
        """Hang up; the link goes if it is still ours."""
        if self._master >= 0:
            if self._link and self._link.is_symlink() and str(self._link.readlink()) == self._device:
                self._link.unlink(missing_ok=True)
            os.close(self._master)
            self._master = -1
            self._held.close()

    def _looks_for_reader(self) -> bool:
        has = self._has_reader()
        if has and not self._had_reader:
            self._waiting, self._is_new = Waiting(), True
        self._had_reader = has
        return has

    def _has_reader(self) -> bool:
        """A pseudo-terminal that nobody has open is hung up (poll(2), POLLHUP)."""
        if self._master < 0:
            return False
        if not hasattr(select, "poll"):  # nobody can tell on such a system: then it is written as if somebody read
            return True
        poll = select.poll()
        poll.register(self._master, select.POLLOUT)
        return not any(event & select.POLLHUP for _, event in poll.poll(0))

    def _write(self, data: bytes) -> int:
        try:
            return os.write(self._master, data)
        except BlockingIOError:
            return 0

    def _discard_input(self) -> None:
        """What the program writes to its serial port is for a receiver, and there is none."""
        try:
            os.read(self._master, 4096)
        except OSError:
            return


def _opened() -> tuple[int, str]:
    """The near end, not blocking, and the name of the far end, set to pass every byte as it is."""
    if not hasattr(os, "openpty"):
        raise OSError(errno.ENOSYS, "no pseudo-terminals here")
    import tty  # Windows has none

    master, far = os.openpty()
    try:
        tty.setraw(far)
        os.set_blocking(master, False)
        return master, os.ttyname(far)
    finally:
        os.close(far)


def _point(link: Path, device: str, held: ExitStack) -> None:
    """Never in the place of anything but a link that a crash has left: one to nothing, or to what is our own now.

    The number of a pseudo-terminal is soon another's, so a link of ours may lead to somebody's terminal by then. That
    it is ours is told by the hidden file beside it, which a feed that runs holds locked.
    """
    os.scandir(link.parent).close()  # before the lock would make a folder that was mistyped
    mark = link.with_name(f"{link.name}.link")
    if os.path.lexists(link) and not (link.is_symlink() and (_leads_nowhere(link, device) or lock_file(mark).exists())):
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(link))
    try:
        is_held = held.enter_context(locked(mark, tries=1))
    except InputError as error:
        raise FileExistsError(errno.EEXIST, str(error), str(link)) from error
    if link.is_symlink() and (_leads_nowhere(link, device) or (is_held and _leads_to_a_terminal(link))):
        link.unlink()
    link.symlink_to(device)


def _leads_nowhere(link: Path, device: str) -> bool:
    return not link.exists() or str(link.readlink()) == device


def _leads_to_a_terminal(link: Path) -> bool:
    return stat.S_ISCHR(link.stat().st_mode) and str(link.readlink()).startswith(_TERMINALS)

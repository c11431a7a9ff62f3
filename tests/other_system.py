"""Makes this process take itself for one on Windows or on macOS, as far as another system's Python can.

Only our own modules are deceived: they are forgotten and come anew, with stand-ins for the modules of the system.
Python's library and those of others keep what they hold. What is imitated is what our code could trip over: modules
and names that are not there, `msvcrt`, files that are open and so can be neither moved nor removed, names that are
taken, files in text mode, folders that cannot be opened (all from Python's documentation of `os` and `msvcrt`, and the
behaviour of the C runtime, from memory). It is no Windows: a test on one counts more than all that is shown here.
"""

from __future__ import annotations

import errno
import importlib
import os
import sys
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from types import ModuleType
from typing import Any

ROOT = Path(__file__).parents[1]
ROOMS = ("core", "tui", "replays")
UNIX_MODULES = ("fcntl", "grp", "pty", "pwd", "resource", "syslog", "termios", "tty")
NOT_ON_WINDOWS: Mapping[str, Collection[str]] = {
    "os": (
        "O_CLOEXEC", "O_DIRECTORY", "O_NOCTTY", "O_NOFOLLOW", "O_NONBLOCK", "O_SYNC", "chown", "fchmod", "fchown",
        "fork", "getegid", "geteuid", "getgid", "getloadavg", "getpgid", "getuid", "lchown", "mkfifo", "openpty",
        "pread", "pwrite", "set_blocking", "setsid", "statvfs", "sysconf", "ttyname", "uname",
    ),
    "select": ("epoll", "poll"),
    "signal": (
        "SIGALRM", "SIGCHLD", "SIGCONT", "SIGHUP", "SIGKILL", "SIGPIPE", "SIGTSTP", "SIGUSR1", "SIGWINCH",
        "pthread_sigmask",
    ),
    "socket": ("AF_UNIX", "SO_REUSEPORT", "TCP_USER_TIMEOUT"),
    "time": ("CLOCK_REALTIME", "clock_gettime", "clock_settime", "tzset"),
}  # fmt: skip
NOT_ON_MACOS: Mapping[str, Collection[str]] = {
    "os": ("posix_fadvise", "sched_getaffinity"),
    "select": ("epoll",),
    "socket": ("TCP_USER_TIMEOUT",),
}
LATE = ("serial.tools.list_ports",)
"""What libraries import when they are asked, by the system that they find then."""
_BINARY = 1 << 30
"""No flag of this system: taken off before it is told."""


def modules() -> list[str]:
    """Every module of ours, by its dotted name, but for the one that runs the program as it is imported."""
    found = [path for room in ROOMS for path in (ROOT / room).rglob("*.py") if path.name != "__main__.py"]
    names = [_dotted(path) for path in found]
    return sorted(".".join(parts) for parts in names if all(part.isidentifier() for part in parts))


def _dotted(path: Path) -> tuple[str, ...]:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return parts[:-1] if parts[-1] == "__init__" else parts


def pretend(system: str) -> None:
    """From now on. `system`: as sys.platform; win32, darwin, or this one's, which changes nothing."""
    if system == sys.platform:
        return
    for name in (*modules(), *LATE):  # whatever they need of others is there then, made for the system that it runs on
        importlib.import_module(name)
    for name in [name for name in sys.modules if name.partition(".")[0] in ROOMS]:
        del sys.modules[name]
    sys.platform = system
    missing = NOT_ON_WINDOWS if system == "win32" else NOT_ON_MACOS
    instead = _windows() if system == "win32" else {}
    for name, names in missing.items():
        sys.modules[name] = _StandIn(sys.modules[name], names, instead.get(name, {}))


class _StandIn(ModuleType):
    """A module without some of its names, and with some of another kind."""

    def __init__(self, real: ModuleType, missing: Collection[str], instead: Mapping[str, object]) -> None:
        super().__init__(real.__name__)
        self.__dict__.update(instead)
        self._real, self._missing = real, frozenset(missing)

    def __getattr__(self, name: str) -> Any:
        if name in self._missing:
            raise AttributeError(f"{self.__name__} has no {name} on this system")
        return getattr(self._real, name)


def _windows() -> Mapping[str, Mapping[str, object]]:
    sys.modules["msvcrt"] = _msvcrt()
    for name in UNIX_MODULES:
        sys.modules[name] = None  # type: ignore[assignment]  # the documented way to have an import fail
    _hold_open_files()
    return {"os": {"name": "nt", "O_BINARY": _BINARY, "link": _link, **_TextMode().calls()}}


def _msvcrt() -> ModuleType:
    """Its locks: of a range of bytes, held by an open file until that is closed; refused with EACCES."""
    import fcntl

    def locking(handle: int, mode: int, count: int) -> None:
        assert (mode, count) == (made.__dict__["LK_NBLCK"], 1)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise PermissionError(errno.EACCES, "Permission denied") from error

    made = ModuleType("msvcrt")
    made.__dict__.update(locking=locking, LK_NBLCK=2)
    return made


def _hold_open_files() -> None:
    """For pathlib, which has asked for `os` long since: the calls are exchanged in the module itself."""

    def closed(path: Any) -> None:
        if os.path.realpath(path) in _open_files():
            raise PermissionError(errno.EACCES, "another process has it open", str(path))

    def careful(call: Callable[..., None], *, may_replace: bool) -> Callable[..., None]:
        def moved(source: Any, target: Any, **more: Any) -> None:
            closed(source)
            if os.path.lexists(target):
                if not may_replace:
                    raise FileExistsError(errno.EEXIST, "it is there already", str(target))
                closed(target)
            call(source, target, **more)

        return moved

    def removing(call: Callable[..., None]) -> Callable[..., None]:
        def removed(path: Any, **more: Any) -> None:
            closed(path)
            call(path, **more)

        return removed

    os.replace = careful(os.replace, may_replace=True)
    os.rename = careful(os.rename, may_replace=False)
    os.unlink = removing(os.unlink)
    os.remove = removing(os.remove)


def _open_files() -> set[str]:
    found = set()
    for handle in os.listdir("/proc/self/fd"):  # noqa: PTH208  # pathlib must not be asked here
        try:
            found.add(os.readlink(f"/proc/self/fd/{handle}"))  # noqa: PTH115
        except FileNotFoundError:  # that of the listing
            continue
    return found


def _link(source: Any, target: Any, *, follow_symlinks: bool = True) -> None:
    if not follow_symlinks:
        raise NotImplementedError("link: follow_symlinks unavailable on this platform")
    os.link(source, target)


class _TextMode:
    """Files by number, which the C runtime takes for text unless it is told otherwise."""

    def __init__(self) -> None:
        self._texts: set[int] = set()

    def calls(self) -> Mapping[str, object]:
        """What stands in `os` for our modules."""
        return {"open": self._open, "close": self._close, "write": self._write, "read": self._read}

    def _open(self, path: Any, flags: int, *more: Any, **named: Any) -> int:
        if Path(path).is_dir():
            raise PermissionError(errno.EACCES, "Permission denied", str(path))
        handle = os.open(path, flags & ~_BINARY, *more, **named)
        (self._texts.discard if flags & _BINARY else self._texts.add)(handle)
        return handle

    def _close(self, handle: int) -> None:
        self._texts.discard(handle)
        os.close(handle)

    def _write(self, handle: int, data: bytes | memoryview) -> int:
        whole = bytes(data)
        os.write(handle, whole.replace(b"\n", b"\r\n") if handle in self._texts else whole)
        return len(whole)

    def _read(self, handle: int, most: int) -> bytes:
        data = os.read(handle, most)
        return data.replace(b"\r\n", b"\n") if handle in self._texts else data

"""Disks for the recorder's tests: one that remembers, one that fails when told to, one that hangs, one that forgets."""

from __future__ import annotations

import gzip
import os
import threading
from dataclasses import dataclass, field
from pathlib import Path

from core.fix import Fix
from core.logbook import Recorder, RecorderOptions
from core.logbook_files import FileLayer, OpenFile, RealFiles
from core.model import FixModel
from core.sources.recording import open_recording
from core.sources.source import Arrival
from core.sources.wall import WallAnchor
from tests.wire import burst

NOON_MS = 1_935_662_400_000
"""4 May 2031, 12:00 UTC: an invented day."""
ANCHOR = WallAnchor(NOON_MS, 0.0)
PLENTY = 10**15
BURSTS = [burst(n) for n in range(50)]


class MemoryFile:
    """What has been written, and how much of it is safe."""

    def __init__(self, disk: Disk, path: Path) -> None:
        self._disk = disk
        self.path = path
        self.data = bytearray()
        self.safe = 0
        self.closed = False

    def write(self, data: bytes) -> None:
        """Append."""
        self._disk.happens("write")
        self.data += data
        self._disk.log.append(("write", bytes(data)))

    def sync(self) -> None:
        """Make safe."""
        self._disk.happens("sync")
        self.safe = len(self.data)
        self._disk.log.append(("sync", b""))

    def close(self) -> None:
        """Close."""
        self.closed = True
        self._disk.happens("close")


@dataclass
class Disk:
    """A FileLayer in memory."""

    files: dict[Path, MemoryFile] = field(default_factory=dict)
    log: list[tuple[str, bytes]] = field(default_factory=list)
    faults: dict[tuple[str, int], Exception] = field(default_factory=dict)
    """What goes wrong: by kind of call and which of them, from 1."""
    calls: dict[str, int] = field(default_factory=dict)
    free: int = PLENTY
    hung: threading.Event | None = None
    """While this is there and not set, sync does not return."""

    def happens(self, kind: str) -> None:
        """Count, hang, fail."""
        self.calls[kind] = self.calls.get(kind, 0) + 1
        if kind == "sync" and self.hung:
            self.hung.wait()
        fault = self.faults.get((kind, self.calls[kind]))
        if fault:
            raise fault

    def create(self, path: Path) -> OpenFile:
        """A new one."""
        self.happens("create")
        if path in self.files:
            raise FileExistsError(path)
        self.files[path] = MemoryFile(self, path)
        return self.files[path]

    def free_bytes(self, folder: Path) -> int:
        """As told."""
        del folder
        self.happens("free")
        return self.free

    def compress(self, path: Path) -> Path:
        """Never asked for here."""
        raise AssertionError(path)

    def content(self) -> bytes:
        """All files in their order."""
        return b"".join(bytes(file.data) for file in self.files.values())


class FailingFiles(RealFiles):
    """The real file system, until a compression fails."""

    def compress(self, path: Path) -> Path:
        """No room for a copy."""
        path.with_name(path.name + ".gz.part").write_bytes(b"half")
        path.with_name(path.name + ".gz.part").unlink()
        raise OSError(28, os.strerror(28))


def recorder(files: FileLayer | None = None, folder: Path | None = None, **options: object) -> Recorder:
    """One that has begun; without a guard for free space, and patient, since arrivals' clocks run fast in tests."""
    wanted = {"least_free": 0, "longest_stall_s": 1e9, **options}
    made = Recorder(RecorderOptions(folder or Path("recordings"), **wanted), ANCHOR, files)  # type: ignore[arg-type]
    made.start()
    return made


def offer(to: Recorder, *data: bytes, start_s: float = 0.0, step_s: float = 0.1) -> None:
    """Hand over pieces that arrive one after the other."""
    for n, piece in enumerate(data):
        to.offer(Arrival(piece, start_s + n * step_s))


def replayed(*files: Path) -> tuple[list[Fix], list[float]]:
    """Fixes and times of recordings, as a replay has them."""
    model, times, found = FixModel(), [], []
    for file in files:
        recording = open_recording(file)
        for piece in recording.pieces():
            found += model.feed(piece.data, piece.at_s)
            times.append(piece.at_s)
        recording.close()
    return found + model.finish(), times


def files_in(folder: Path) -> list[Path]:
    """In the order of recording: names begin with their time."""
    return sorted(folder.iterdir(), key=lambda path: (path.name[:17], len(path.name), path.name))


def read(path: Path) -> bytes:
    """Plain or compressed."""
    return gzip.decompress(path.read_bytes()) if path.suffix == ".gz" else path.read_bytes()

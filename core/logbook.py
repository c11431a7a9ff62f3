"""The recorder: what the receiver says goes to disk, whatever happens to the screen, the terminal or the power.

It runs in a thread of its own: the reader hands bytes over and never waits. Files are plain NMEA 0183 with TAG blocks,
only ever appended to, written out and synced every second; so a crash costs the last second at most, never the file.
When writing fails, or the disk does not answer, the recorder stops, says why, and everything else goes on.
"""

from __future__ import annotations

import queue
import re
import threading
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import Enum
from pathlib import Path

from core.logbook_files import SYNC_S, CurrentFile, FileLayer, RealFiles
from core.nmea.tagging import Tagger
from core.sources.source import Arrival
from core.sources.wall import WallAnchor

LARGEST_FILE = 64 * 1024 * 1024
"""About sixteen hours of a receiver at 1 Hz with four systems."""
LEAST_FREE = 100 * 1024 * 1024
"""Left on the disk for everybody else."""
MOST_WAITING = 32 * 1024 * 1024
"""Bytes that may wait for a slow disk before the recorder gives up: an hour and more of any receiver."""
LONGEST_STALL_S = 20.0
"""A disk that takes nothing for this long counts as dead; sticks that are busy erasing stall for some seconds."""
LONGEST_GAP_S = 15.0
"""Between two offers, as far as a stall counts it: less than a stall, or waking up would be one."""
_UNSAFE = re.compile(r"[^A-Za-z0-9.-]+")


class RecorderState(Enum):
    """What the recorder is doing."""

    OFF = "not recording"
    RECORDING = "recording"
    FAILED = "recording stopped"


@dataclass(frozen=True, slots=True)
class RecorderStatus:
    """For the screen."""

    state: RecorderState = RecorderState.OFF
    path: Path | None = None
    """The file being written, or the last one."""
    bytes_written: int = 0
    """Of all files of this run."""
    reason: str = ""
    """Why it stopped, and what to do."""


NOT_RECORDING = RecorderStatus()


@dataclass(frozen=True, slots=True)
class RecorderOptions:
    """How to record."""

    folder: Path
    label: str = "receiver"
    """Goes into the file names, made safe for them."""
    exact: bool = False
    """Bytes exactly as received, without times of arrival."""
    compress: bool = False
    """Compress each file once it is complete."""
    largest_file: int = LARGEST_FILE
    least_free: int = LEAST_FREE
    longest_stall_s: float = LONGEST_STALL_S


class Recorder:
    """Records arrivals until it is stopped."""

    def __init__(self, options: RecorderOptions, anchor: WallAnchor, files: FileLayer | None = None) -> None:
        """`anchor`: ties the arrivals' monotonic clock to the time of day."""
        self._options = options
        self._anchor = anchor
        self._files = files or RealFiles()
        self._queue: queue.SimpleQueue[Arrival | None] = queue.SimpleQueue()
        self._waiting = _Waiting()
        self._tagger = Tagger()
        self._file: CurrentFile | None = None
        self._path: Path | None = None
        self._written = 0
        self._reason = ""
        self._ended = False
        self._packer: threading.Thread | None = None
        self._thread = threading.Thread(target=self._run, name="recorder", daemon=True)

    @property
    def status(self) -> RecorderStatus:
        """The state now; from any thread."""
        return RecorderStatus(self._state(), self._path, self._written, self._reason)

    def _state(self) -> RecorderState:
        if self._reason:
            return RecorderState.FAILED
        return RecorderState.OFF if self._ended else RecorderState.RECORDING

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def offer(self, arrival: Arrival) -> None:
        """Hand over bytes; never waits. After a failure, or the end, they go nowhere."""
        if self._reason or self._ended:
            return
        self._waiting.offered(arrival)
        if self._waiting.size > MOST_WAITING or self._waiting.stalled_s(arrival.at_s) > self._options.longest_stall_s:
            self._fail("the disk does not keep up: record to another one")
        else:
            self._queue.put(arrival)

    def stop(self, timeout_s: float = 5.0) -> RecorderStatus:
        """Write what is waiting, close the file; how it ended. Waits `timeout_s` at most, and again for compressing."""
        self._queue.put(None)
        _join(self._thread, timeout_s)
        if self._thread.is_alive():
            self._fail("the disk does not answer: the end of the recording may be missing")
        _join(self._packer, timeout_s)
        return self.status

    def _run(self) -> None:
        """Whatever happens in here is said: a recorder that ends in silence would be found out at home."""
        try:
            while self._next():
                pass
            self._finish_file(self._tagger.finish())
        except OSError as error:
            self._fail(f"{error.strerror or error}: make room or choose another folder, then start again")
        except Exception as error:
            self._fail(f"{type(error).__name__}: {error}: please report it")
        self._let_go()
        self._ended = True

    def _next(self) -> bool:
        """One arrival, or none in time. Nothing that was written is more than a second away from the disk."""
        try:
            arrival = self._queue.get(timeout=self._may_wait_s())
        except queue.Empty:
            self._sync()
            return not self._reason
        if arrival is None or self._reason:
            return False
        self._write(arrival)
        self._waiting.taken(arrival)
        if self._may_wait_s() <= 0.0:
            self._sync()
        return True

    def _may_wait_s(self) -> float:
        return self._file.may_wait_s(self._waiting.newest_s) if self._file else SYNC_S

    def _write(self, arrival: Arrival) -> None:
        unix_ms = self._anchor.unix_at(arrival.at_s)
        data = arrival.data if self._options.exact else self._tagger.feed(arrival.data, unix_ms)
        moment = datetime.fromtimestamp(unix_ms / 1000, tz=UTC)
        if self._file and self._file.is_due(moment, self._options.largest_file):
            data = self._turn_the_page(self._file, data)
        if self._file is None:
            self._file = self._new_file(moment)
        self._append(self._file, data, arrival.at_s)

    def _append(self, file: CurrentFile, data: bytes, at_s: float) -> None:
        file.write(data, at_s)
        self._path = file.path
        self._written += len(data)

    def _turn_the_page(self, file: CurrentFile, data: bytes) -> bytes:
        """End the file with the line that it is in, if `data` has its end; what is left for the next file."""
        cut = file.cut(data, self._options.largest_file)
        if cut is None:
            return data
        self._written += cut
        self._finish_file(data[:cut])
        return data[cut:]

    def _new_file(self, moment: datetime) -> CurrentFile:
        self._check_room(self._options.folder)
        label = _UNSAFE.sub("-", self._options.label).strip("-.")[:40] or "receiver"
        for number in range(1, 1000):
            ending = f"-{number}" if number > 1 else ""
            path = self._options.folder / f"{moment:%Y-%m-%d_%H%M%S}_{label}{ending}.nmea"
            try:
                return CurrentFile(path, self._files.create(path), f"{moment:%Y-%m-%d}")
            except FileExistsError:
                continue
        raise OSError(f"{self._options.folder} holds a thousand recordings of this second already")

    def _sync(self) -> None:
        if self._file and self._file.sync():
            self._check_room(self._options.folder)

    def _check_room(self, folder: Path) -> None:
        while not folder.exists() and folder != folder.parent:
            folder = folder.parent
        if self._files.free_bytes(folder) < self._options.least_free:
            raise OSError(f"less than {self._options.least_free // 1024**2} MB are left on the disk")

    def _finish_file(self, rest: bytes) -> None:
        if self._file:
            self._file.write(rest, self._waiting.newest_s)
            self._file.sync()
            self._let_go()
            if self._options.compress and self._path:
                self._compress(self._path)

    def _let_go(self) -> None:
        """Close the file, whatever state it and the disk are in."""
        file, self._file = self._file, None
        if file:
            try:
                file.close()
            except OSError as error:
                self._fail(f"{error.strerror or error}: the end of {file.path.name} may be missing")

    def _compress(self, path: Path) -> None:
        """Beside the recorder: it takes seconds, in which what arrives would not be written."""
        before = self._packer

        def pack() -> None:
            _join(before)
            try:
                packed = self._files.compress(path)
            except OSError:
                return  # no room for a copy: the plain file is complete, and stays
            if self._path == path:
                self._path = packed

        self._packer = threading.Thread(target=pack, name="packer", daemon=True)
        self._packer.start()

    def _fail(self, reason: str) -> None:
        self._reason = self._reason or reason


def _join(thread: threading.Thread | None, timeout_s: float | None = None) -> None:
    if thread and thread.is_alive():
        thread.join(timeout_s)


class _Waiting:
    """How much waits for the disk, and since when. Offered in one thread and taken in another, without a lock.

    Each figure is written by one of the two threads only. Stalls are counted without what is beyond `LONGEST_GAP_S`
    between two offers: while the whole program stood still (stopped, or its computer asleep) no disk was asked.
    """

    def __init__(self) -> None:
        self._offered = self._taken = 0
        self._offered_s: float | None = None
        self._asleep_s = 0.0
        self._since_s = self._reached_s = 0.0
        self.newest_s = 0.0

    @property
    def size(self) -> int:
        return self._offered - self._taken

    def offered(self, arrival: Arrival) -> None:
        before_s = arrival.at_s if self._offered_s is None else self._offered_s
        self._asleep_s += max(0.0, arrival.at_s - before_s - LONGEST_GAP_S)
        self._offered_s = arrival.at_s
        if self.size <= 0:
            self._since_s = arrival.at_s - self._asleep_s
        self._offered += len(arrival.data)

    def taken(self, arrival: Arrival) -> None:
        self.newest_s = arrival.at_s
        self._reached_s = max(self._reached_s, arrival.at_s - self._asleep_s)
        self._taken += len(arrival.data)

    def stalled_s(self, now_s: float) -> float:
        """For how long nothing has been taken, though there was something."""
        return now_s - self._asleep_s - max(self._since_s, self._reached_s)

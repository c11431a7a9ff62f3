"""A day on the board without growth: the process's memory, objects, threads and files while the hours go by.

Run from the project's folder, Linux only:

    python -m tests.benchmarks.soak replay [--hours 24] [--pace max]    a recording, all that a replay has switched on
    python -m tests.benchmarks.soak live [--hours 24] [--hz 150]        a pty as the serial line, recording, trip kept

The recording is invented (14 sentences a second, a walker, a tunnel every hour). Live, so many of its seconds are sent
in each second of the room: the receiver's clock, and with it track and trip, goes as fast. Pages are turned all the
time. What is held is compared at equal times of the day: after the first hours, when all that is bounded is full, only
the trail may grow, by its points.
"""

from __future__ import annotations

import argparse
import json
import os
import select
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path
from statistics import mean
from typing import Any

from tests.benchmarks.digest import SKIES, moving, sky
from tests.benchmarks.process import cpu_s
from tests.benchmarks.seeking import more_sky
from tests.benchmarks.terminal import Terminal
from tests.build import gga, lines, rmc

HOUR_S = 3600
SETTLED_H = 4.0
"""After which all that is bounded is full: an hour of figures, the events, the tracks in the sky."""
TUNNEL_S = 120
PAGES = (b"1", b"2", b"3", b"4", b"5", b"6", b"7", b"8", b"9", b"v", b"e", b"p", b"i", b"C", b"A", b"0")
TURN_S = 1.5
"""Between two pages."""
SWITCHED_ON = (b"m", b"\x1b", b"g", b"S")
"""Keys at the start: a mark, guidance to it, averaging."""
PATIENCE_S = 3600.0
LAST_WORDS = 4000
"""Bytes of them."""
STANDING = 12
"""Samples, of five seconds, after which a day that stands still is taken to be over: others use the machine too."""


def seconds_of(hours: float) -> Iterator[bytes]:
    """One second of sentences after the other."""
    skies = [sky(n) + more_sky(n) for n in range(SKIES)]
    for second in range(int(hours * HOUR_S)):
        in_tunnel = second % HOUR_S >= HOUR_S - TUNNEL_S
        yield (lost(second) if in_tunnel else moving(second)) + skies[second // 60 % SKIES]


def lost(second: int) -> bytes:
    """Without a fix."""
    day = f"{4 + second // 86_400:02d}0531"
    return lines(rmc(second % 86_400, day, status="V", more="N"), gga(second % 86_400, "0"))


class Quiet(Terminal):
    """Takes what is drawn and looks at none of it: a picture of each frame costs more than the frame."""

    is_looking = False
    last_words = b""
    """The end of what it has written: of one that has ended, why."""

    def read(self, timeout_s: float) -> bool:
        """Take what comes."""
        if self.is_looking:
            return super().read(timeout_s)
        if not select.select([self._handle], [], [], timeout_s)[0]:
            return False
        with suppress(OSError):  # it has ended
            data = os.read(self._handle, 65_536)
            self.written += len(data)
            self.last_words = (self.last_words + data)[-LAST_WORDS:]
        return True

    def say_if_ended(self) -> None:
        """Raises RuntimeError with its status and its last words if it no longer runs: a day is not over so."""
        pid, status = os.waitpid(self.pid, os.WNOHANG)
        if pid:
            said = self.last_words.decode("utf-8", "backslashreplace")
            raise RuntimeError(f"the board ended with {os.waitstatus_to_exitcode(status)}, having said\n{said}")

    def look(self) -> list[str]:
        """What it says of itself now: the first rows of a page drawn anew."""
        self.is_looking = True
        for page in (b"6", b"0"):
            self.press(page)
            self.run(3.0)
        return [row.rstrip() for row in self._screen.display[:3]]


@contextmanager
def line(hours: float, hz: float) -> Iterator[str]:
    """A pty that sends so many seconds of the recording a second; its name."""
    master, slave = os.openpty()
    subprocess.run(["stty", "-F", os.ttyname(slave), "raw", "-echo"], check=True)
    thread = threading.Thread(target=_send, args=(master, hours, hz), name="receiver", daemon=True)
    thread.start()
    yield os.ttyname(slave)


def _send(handle: int, hours: float, hz: float) -> None:
    """Blocking: a board that is behind holds the line up."""
    due = time.monotonic() + 3.0
    for data in seconds_of(hours):
        time.sleep(max(0.0, due - time.monotonic()))
        due = max(due, time.monotonic() - 1.0) + 1.0 / hz
        rest = data
        while rest:
            rest = rest[os.write(handle, rest) :]


def soaked(arguments: list[str], hours: float) -> list[dict[str, Any]]:
    """The samples of a board that runs until the day is over."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "samples"
        path.touch()
        os.environ["PYTHONPATH"] = str(Path(__file__).parents[2])
        terminal = Quiet([sys.executable, "-m", "tests.benchmarks.soak_inside", str(path), *arguments])
        begun_s = time.monotonic()
        terminal.run(5.0)
        for key in SWITCHED_ON:
            terminal.press(key)
            terminal.run(1.0)
        samples = _until_over(terminal, path, hours * HOUR_S)
        used_s, taken_s = cpu_s(terminal.pid), time.monotonic() - begun_s
        print(f"{taken_s:.0f} s, {used_s / taken_s:.0%} of a core, {terminal.written / 1e6:.1f} MB drawn")
        print(*terminal.look(), sep="\n")
        _say_kept(Path(terminal.folder))
        terminal.close()
    return samples


def _until_over(terminal: Quiet, path: Path, length_s: float) -> list[dict[str, Any]]:
    """Turning pages; the end is where nothing has gone on for a while."""
    begun_s, turn = time.monotonic(), 0
    samples: list[dict[str, Any]] = []
    while time.monotonic() - begun_s < PATIENCE_S:
        terminal.press(PAGES[turn % len(PAGES)])
        turn += 1
        terminal.run(TURN_S)
        terminal.say_if_ended()
        samples = [json.loads(line) for line in path.read_text("ascii").splitlines()]
        if turn % 20 == 0 and samples:
            print(_line(samples[-1]), flush=True)
        last = [passed_s(one) for one in samples[-STANDING:]]
        if len(last) == STANDING and last[0] == last[-1] > 0.5 * length_s:
            break
    return samples


def _say_kept(folder: Path) -> None:
    for file in sorted(folder.rglob("*")):
        if file.is_file():
            print(f"  {file.relative_to(folder)}: {file.stat().st_size / 1e6:.2f} MB")


def passed_s(sample: dict[str, Any]) -> float:
    """Of the day, by the receiver's clock."""
    return float(sample["media_s"] if sample["media_s"] is not None else sample["passed_s"])


def _line(sample: dict[str, Any]) -> str:
    return (
        f"{passed_s(sample) / HOUR_S:5.1f} h: {sample['rss_kb'] / 1024:6.1f} MB, {sample['objects']:8,} objects, "
        f"{sample['threads']} threads, {sample['fds']} files, {sample['points']:6,} points"
    )


def slope(pairs: list[tuple[float, float]]) -> float:
    """Of the straight line that fits best."""
    x_mean, y_mean = mean(x for x, _ in pairs), mean(y for _, y in pairs)
    return sum((x - x_mean) * (y - y_mean) for x, y in pairs) / sum((x - x_mean) ** 2 for x, _ in pairs)


def point_bytes() -> float:
    """What the trail keeps of a point in memory, measured over fifty thousand."""
    import tracemalloc

    from core.fix import Position, Utc
    from core.track import TrackLog, TrackPoint

    log, count = TrackLog(), 50_000
    tracemalloc.start()
    before = tracemalloc.get_traced_memory()[0]
    log.load(
        [
            TrackPoint(
                Position(10.5 + n / 1e5, -20.25 - n / 1e5),
                n + 0.5,
                Utc(n * 1000, date(2031, 5, 4)),
                n / 10,
                begins=False,
            )
            for n in range(count)
        ]
    )
    held = tracemalloc.get_traced_memory()[0] - before
    tracemalloc.stop()
    return held / count


def report(samples: list[dict[str, Any]]) -> None:
    """Print the hours, and what grew."""
    shown = -1
    for sample in samples:
        hour = int(passed_s(sample) // HOUR_S)
        if hour > shown:
            shown = hour
            print(_line(sample))
    late = [one for one in samples if passed_s(one) >= SETTLED_H * HOUR_S]
    if len(late) < 3:
        print("too short to tell growth")
        return
    hours = [passed_s(one) / HOUR_S for one in late]
    for name, unit in (("rss_kb", "kB"), ("objects", ""), ("points", ""), ("threads", ""), ("fds", "")):
        found = slope(list(zip(hours, (float(one[name]) for one in late), strict=True)))
        print(f"after {SETTLED_H:g} h {name:8} grows by {found:10.2f} {unit} an hour")
    print("objects more at the end than then, by type:")
    for kind in late[-1]["kinds"]:
        now = late[-1]["kinds"][kind]
        print(f"  {kind:24} {now - late[0]['kinds'].get(kind, 0):+9,} of {now:,}")


def main() -> None:
    """Print what is held as the hours go by."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("how", choices=("replay", "live"))
    options.add_argument("--hours", type=float, default=24.0)
    options.add_argument("--pace", default="max")
    options.add_argument("--hz", type=float, default=150.0)
    chosen = options.parse_args()
    print(f"a point of the trail takes {point_bytes():.0f} bytes")
    feeds = ["--feed", "udp:29471", "--feed", "pty"]
    if chosen.how == "live":
        with line(chosen.hours, chosen.hz) as device:
            report(soaked(["live", device, "--baud", "9600", "--record", *feeds], chosen.hours))
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "day.nmea"
        with path.open("wb") as stream:
            stream.writelines(seconds_of(chosen.hours))
        report(soaked(["replay", str(path), "--pace", chosen.pace, *feeds], chosen.hours))


if __name__ == "__main__":
    main()

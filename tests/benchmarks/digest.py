"""Time and memory of the digest of a long recording, beside what pynmea2 takes for parsing it alone.

Run from the project's folder: `python -m tests.benchmarks.digest [HOURS]` (24 by default). The recording is synthetic:
1 Hz, ten sentences an epoch, a walk round a point in open ocean, written to a temporary folder. Each side runs in a
process of its own, so that its peak of memory is its own.
"""

from __future__ import annotations

import math
import sys
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from tests.benchmarks.sides import compared, one_side
from tests.build import clock, gsa, gsv, line, lines

DAY_S = 86_400
SKIES = 60
"""Different sets of GSA and GSV sentences, one a minute, over and over."""


def epochs(hours: float) -> Iterator[bytes]:
    """One second of sentences after the other."""
    skies = [sky(n) for n in range(SKIES)]
    for second in range(int(hours * 3600)):
        yield moving(second) + skies[second // 60 % SKIES]


def sky(n: int) -> bytes:
    """Six sentences: what is used and what is in view."""
    cno = 30 + n % 15
    used = lines(gsa(1, 2, 3, 4, 5, 6, system="1"), gsa(65, 66, 67, 68, system="2"))
    gps = lines(gsv(1, 2, 1, 2, 3, 4, cno=cno), gsv(2, 2, 5, 6, 7, 8, cno=cno + 1))
    return used + gps + lines(gsv(1, 2, 65, 66, 67, 68, talker="GL"), gsv(2, 2, 69, 70, talker="GL", cno=cno))


def moving(second: int) -> bytes:
    """RMC, GGA, VTG and GST of a walker who goes round in an hour."""
    angle = second / 3600 * 2 * math.pi
    where = f"10{30 + math.sin(angle):07.4f},N,020{15 + math.cos(angle):07.4f},W"
    time, day = clock(second % DAY_S), f"{4 + second // DAY_S:02d}0531"
    speed, course = "6.3", f"{math.degrees(angle) % 360:.1f}"
    return b"".join(
        (
            line(f"GNRMC,{time},A,{where},{speed},{course},{day},,,A"),
            line(f"GNGGA,{time},{where},1,10,1.0,12.5,M,30.0,M,,"),
            line(f"GNVTG,{course},T,,M,{speed},N,11.7,K,A"),
            line(f"GNGST,{time},7.5,,,,1.5,2.5,3.5"),
        )
    )


def ours(path: Path) -> int:
    """`fixboard digest` without its printing; how many epochs."""
    from core.digest import digest
    from core.sources.recording import open_recording

    recording = open_recording(path)
    found = digest(recording.blocks(), True, lambda: None)
    recording.close()
    return int(found["epochs"])


def theirs(path: Path) -> int:
    """Every line parsed, nothing kept; how many sentences."""
    import pynmea2

    count = 0
    with path.open(encoding="ascii", errors="replace") as stream:
        for text in stream:
            with suppress(pynmea2.ParseError):
                pynmea2.parse(text)
                count += 1
    return count


SIDES = {"ours": ours, "pynmea2": theirs}


def main(hours: float) -> None:
    """Print the size of the recording and a line a side."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "day.nmea"
        with path.open("wb") as stream:
            stream.writelines(epochs(hours))
        print(f"{hours:g} h at 1 Hz: {path.stat().st_size / 1e6:.1f} MB, {int(hours * 3600) * 10:,} sentences")
        taken = compared("tests.benchmarks.digest", path, {"ours": "epochs", "pynmea2": "sentences"})
        print(f"ratio {taken['ours'].seconds / taken['pynmea2'].seconds:.2f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--side"]:
        one_side(SIDES[sys.argv[2]], Path(sys.argv[3]))
    else:
        main(float(sys.argv[1]) if len(sys.argv) > 1 else 24.0)

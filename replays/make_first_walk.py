"""Writes the bundled demonstration recording, first_walk.nmea.gz: `python -m replays.make_first_walk`.

Invented throughout, seeded, and the same bytes at every run; first_walk.md says what to watch for. Its place is to
give the demo something to show until recordings come from a fuller simulator.
"""

from __future__ import annotations

import gzip
import sys
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from replays._receiver import Receiver, tracked
from replays._sentences import Second, Seen, epoch, texts
from replays._sky import Look, sky
from replays._walk import CAR, walk

SWITCHED_ON = datetime(2027, 5, 15, 9, 14, 3, tzinfo=UTC)
"""An invented morning."""
SEED = 20_270_517
"""One of a dozen tried: with it the first fix stays 2D for some seconds, long enough to be seen."""
TIME_KNOWN_S = 11
"""Seconds until a first satellite has told the time and the date."""
BANNER = (
    "Invented demonstration recording",
    "No receiver and no such place: Quennet",
    "Made by replays/make_first_walk.py",
)


def _report(receiver: Receiver, looks: Mapping[str, Look]) -> list[Seen]:
    """What the receiver can say of the satellites: a direction only with an ephemeris, C/N0 only while tracked."""
    return [
        Seen(
            channel.name,
            looks[channel.name].azimuth_deg if channel.placed else None,
            looks[channel.name].elevation_deg if channel.placed else None,
            channel.cno_dbhz if channel.tracked else None,
        )
        for channel in tracked(receiver.channels, looks)
    ]


def seconds() -> Iterator[Second]:
    """The session, second by second."""
    receiver = Receiver(Random(SEED))  # A generator of test data, nothing secret.
    for elapsed, moment in enumerate(walk()):
        utc = SWITCHED_ON + timedelta(seconds=elapsed)
        since_midnight = (utc - utc.replace(hour=0, minute=0, second=0)).total_seconds()
        looks = {one.name: one for one in sky(CAR, since_midnight)}
        solution = receiver.step(looks, moment)
        yield Second(utc if elapsed >= TIME_KNOWN_S else None, solution, _report(receiver, looks))


def recording() -> bytes:
    """The whole recording, plain, lines ended by CR LF."""
    lines = [*texts(BANNER), *(line for second in seconds() for line in epoch(second))]
    return "".join(f"{line}\r\n" for line in lines).encode("ascii")


def main() -> int:
    """Write the recording beside this module; the compressed header holds no time and no name, to stay the same."""
    target = Path(__file__).with_name("first_walk.nmea.gz")
    target.write_bytes(gzip.compress(recording(), mtime=0))
    print(f"{target.name}: {target.stat().st_size} bytes", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())

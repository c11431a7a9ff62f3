"""The computer's clock is set, back and forth, beside a receiver that runs; and its day is not that of UTC."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from core.accuracy import ErrorModel
from core.clock import JUMPS_KEPT, ClockMeter, Clocks, ClockSetup
from core.epochs import EpochReader
from core.export_plan import Format
from core.judgement import Judgement
from core.model import FixModel
from core.nmea.tagging import tag_block
from core.outing import Outing
from core.session_files import session_of, sessions_in
from core.session_summary import summarise
from core.sources.recording import open_recording
from core.sources.wall import WallAnchor
from core.trust import Verdict
from tests.build import clock, lines
from tests.exported import exported
from tests.faults.time_streams import COUNT, epoch, place
from tests.logbooks import record, walk
from tui.session_words import local

BEGAN_MS = 1_938_000_000_000
"""2031-05-31, what a computer's clock says that is right."""
BEGINS_S = 43_200
HOUR_MS = 3_600_000
YEARS_MS = 56 * 365 * 24 * HOUR_MS + 5 * HOUR_MS
"""Not whole days: a computer that was away for so many of them would look the same."""

SET: dict[str, Callable[[int], int]] = {
    "from 1970 to now": lambda n: n * 1000 - BEGAN_MS if n < 60 else n * 1000,
    "on by an hour": lambda n: n * 1000 + HOUR_MS * (n >= 60),
    "on by a quarter of an hour": lambda n: n * 1000 + 900_001 * (n >= 60),
    "back by an hour": lambda n: n * 1000 - HOUR_MS * (n >= 60),
    "back by a tenth": lambda n: n * 1000 - 1100 * (n >= 60),
    "back and forth every second": lambda n: n * 1000 + HOUR_MS * (n % 2),
    "back and forth by decades": lambda n: n * 1000 + YEARS_MS * (n // 7 % 2),
    "on by half a day and back": lambda n: n * 1000 + 12 * HOUR_MS * (40 <= n < 80),
}
"""What the computer's clock says in the n-th second, against when it was right."""


def said(n: int) -> tuple[str, str]:
    return clock(BEGINS_S + n), "310531"


def stamped(host_ms: Callable[[int], int]) -> bytes:
    """The walk, a TAG block before every sentence."""
    made = []
    for n in range(COUNT):
        block = tag_block(BEGAN_MS + host_ms(n))
        made += [block + one for one in epoch(n, said(n)).splitlines(keepends=True)]
    return b"".join(made)


@pytest.mark.parametrize("name", SET)
def test_a_recording_lasts_as_long_as_the_satellites_say_whatever_the_computer_s_clock_did(
    tmp_path: Path, name: str
) -> None:
    path = tmp_path / "one.nmea"
    path.write_bytes(stamped(SET[name]))
    at_s = [piece.at_s for piece in open_recording(path).pieces()]
    assert at_s == pytest.approx([float(n) for n in range(COUNT)])
    epochs = [one.at_s for one in EpochReader(open_recording(path), True).epochs()]
    assert epochs == pytest.approx([float(n) for n in range(COUNT)])
    summary = summarise(session_of(path, datetime(2031, 6, 30, tzinfo=UTC)))
    assert (summary.duration_s, summary.epochs_with_fix) == (COUNT - 1, COUNT)
    _, outcome = exported(path, Format.GPX)
    assert (outcome.points, outcome.segments) == (COUNT, 1)


@pytest.mark.parametrize("hours", [1, 23, 24, 48, 24 * 30])
def test_a_computer_that_was_away_for_hours_or_days_is_believed(tmp_path: Path, hours: int) -> None:
    """The satellites' time of day went on as well, or by whole days."""
    path = tmp_path / "one.nmea"
    data = []
    for n, seconds in enumerate((0, 1, hours * 3600, hours * 3600 + 1)):
        data.append(tag_block(BEGAN_MS + seconds * 1000) + epoch(n, (clock((BEGINS_S + seconds) % 86_400), "")))
    path.write_bytes(b"".join(data))
    assert [piece.at_s for piece in open_recording(path).pieces()] == [0.0, 1.0, hours * 3600.0, hours * 3600.0 + 1]


def test_without_a_fix_nobody_vouches_for_the_receiver_s_time(tmp_path: Path) -> None:
    """A receiver that was switched off and goes on from the time that it had kept: the computer knows better."""
    path = tmp_path / "one.nmea"
    void = [f"GNRMC,{clock(BEGINS_S + n)},V,,,,,,,,,,N" for n in range(4)]
    hosts = [0, 1000, 5 * HOUR_MS, 5 * HOUR_MS + 1000]
    path.write_bytes(b"".join(tag_block(BEGAN_MS + ms) + lines(body) for ms, body in zip(hosts, void, strict=True)))
    assert [piece.at_s for piece in open_recording(path).pieces()] == [0.0, 1.0, 18_000.0, 18_001.0]


@pytest.mark.parametrize("name", SET)
def test_gone_to_at_any_piece_the_rest_has_the_same_times(tmp_path: Path, name: str) -> None:
    path = tmp_path / "one.nmea"
    path.write_bytes(stamped(SET[name]))
    recording = open_recording(path)
    marks, pieces = [recording.mark()], []
    for piece in recording.pieces():
        pieces.append(piece)
        marks.append(recording.mark())
    for number in (1, 59, 60, 61, 90):
        again = open_recording(path)
        again.go_to(marks[number])
        assert [*again.pieces()] == pieces[number:]


def test_a_dead_reckoned_position_is_no_fix_to_tell_time_by(tmp_path: Path) -> None:
    path = tmp_path / "one.nmea"
    bodies = [f"GNGGA,{clock(BEGINS_S + n)},{place(n)},6,09,1.0,12.5,M,30.0,M,," for n in range(3)]
    hosts = [0, 1000, HOUR_MS]
    path.write_bytes(b"".join(tag_block(BEGAN_MS + ms) + lines(body) for ms, body in zip(hosts, bodies, strict=True)))
    assert [piece.at_s for piece in open_recording(path).pieces()] == [0.0, 1.0, 3600.0]


@pytest.mark.parametrize("monotonic_s", [0.0, -5.0, 1e9, 1e-9])
def test_times_of_arrival_follow_the_clock_that_nobody_sets(monotonic_s: float) -> None:
    anchor = WallAnchor(BEGAN_MS, 100.0)
    assert anchor.unix_at(100.0 + monotonic_s) == BEGAN_MS + round(monotonic_s * 1000)
    assert WallAnchor(0, 0.0).unix_at(-1.0) == 0


@pytest.mark.parametrize("name", SET)
def test_a_clock_that_is_set_beside_a_live_receiver_changes_nothing_but_what_is_said_of_it(name: str) -> None:
    """Arrivals are on the clock that nobody sets."""
    second = 0
    model = FixModel(judgement=Judgement(ErrorModel()), outing=Outing())
    model.clock = ClockMeter(ClockSetup(lambda: Clocks((BEGAN_MS + SET[name](second)) / 1000, float(second))))
    for second in range(COUNT):  # the clocks above read it
        model.feed(epoch(second, said(second)), float(second))
        json.dumps(model.snapshot().clock.as_json(), allow_nan=False)
    model.finish()
    state = model.snapshot()
    assert (state.trip.totals.gaps, state.trip.totals.jumps, state.counts.epochs_with_fix) == (0, 0, COUNT)
    assert [sample.at_s for sample in state.samples] == [float(n) for n in range(COUNT)]
    assert state.trust.verdict is Verdict.FIRM
    assert 1 <= len(state.clock.jumps) <= JUMPS_KEPT
    assert "set by" in state.clock.jumps[-1].words


# Days that are not those of UTC


@pytest.fixture
def in_zone(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    """This computer in another zone, for one test."""
    if not hasattr(time, "tzset"):
        pytest.skip("tzset, which changes the zone of a process, is POSIX")

    def move(zone: str) -> None:
        monkeypatch.setenv("TZ", zone)
        time.tzset()

    yield move
    monkeypatch.undo()
    time.tzset()


@pytest.mark.parametrize("zone", ["UTC", "Pacific/Kiritimati", "Pacific/Pago_Pago", "Europe/Berlin"])
def test_recordings_are_named_and_paged_by_the_day_of_utc_wherever_the_computer_is(
    tmp_path: Path, in_zone: Callable[[str], None], zone: str
) -> None:
    in_zone(zone)
    began = datetime(2031, 5, 4, 23, 59, 0, tzinfo=UTC)
    made = record(tmp_path, began, walk(began, 120))
    assert [path.name[:17] for path in made] == ["2031-05-04_235900", "2031-05-05_000000"]
    (session,) = sessions_in(tmp_path, datetime(2031, 6, 30, tzinfo=UTC))
    summary = summarise(session)
    assert (summary.epochs, summary.duration_s) == (120, 119.0)
    assert summary.begins_ms == round(began.timestamp() * 1000)


@pytest.mark.parametrize(
    ("zone", "shown"),
    [
        ("Pacific/Kiritimati", "2031-05-05 13:59 UTC+1400"),
        ("Pacific/Pago_Pago", "2031-05-04 12:59 UTC-1100"),
        ("Pacific/Chatham", "2031-05-05 12:44 UTC+1245"),
        ("UTC", "2031-05-04 23:59 UTC+0000"),
    ],
)
def test_a_local_time_is_shown_with_its_own_day_and_offset(
    in_zone: Callable[[str], None], zone: str, shown: str
) -> None:
    in_zone(zone)
    assert local(datetime(2031, 5, 4, 23, 59, tzinfo=UTC)) == shown


def test_the_hour_that_a_clock_repeats_is_told_apart_by_its_offset(in_zone: Callable[[str], None]) -> None:
    """Berlin, 2031-10-26 (tzdata): 02:30 comes twice."""
    in_zone("Europe/Berlin")
    first = datetime(2031, 10, 26, 0, 30, tzinfo=UTC)
    assert [local(first + timedelta(hours=n)) for n in range(2)] == [
        "2031-10-26 02:30 UTC+0200",
        "2031-10-26 02:30 UTC+0100",
    ]


@pytest.mark.parametrize("zone", ["UTC", "Pacific/Kiritimati", "Pacific/Pago_Pago"])
@pytest.mark.parametrize("year", [1, 9999])
def test_the_ends_of_the_calendar_have_a_local_time_or_none(
    in_zone: Callable[[str], None], zone: str, year: int
) -> None:
    in_zone(zone)
    edge = datetime(1, 1, 1, tzinfo=UTC) if year == 1 else datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC)
    assert local(edge) == "" or "UTC" in local(edge)

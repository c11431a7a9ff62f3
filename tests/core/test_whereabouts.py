"""Where one was at a time: exact, between two fixes, in gaps, outside, over midnight, by local clocks, without dates.

A walk due north at 1.5 m/s along a meridian: where it was at any instant is known in closed form.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import pytest

from core.asked_times import instants, read_time, read_times
from core.errors import InputError
from core.fix import Position
from core.places.geodesic import distance_m
from core.session_question import Ways, answers, session_for
from core.sessions import Entry, Logbook
from core.trust import Verdict
from core.whereabouts import FixThen, Whereabouts, _along, _Sought
from tests.logbooks import LATER, LONGITUDE_DEG, NOON, aged, epoch, latitude, record, walk

MIDNIGHT = datetime(2031, 5, 5, tzinfo=UTC)
SETTLED = 20
"""Seconds after which the verdict is believed."""


def utc(moment: datetime) -> datetime:
    """A computer whose zone is UTC."""
    return moment.replace(tzinfo=UTC)


def in_zone(zone: timezone | ZoneInfo) -> Callable[[datetime], datetime]:
    return lambda moment: moment.replace(tzinfo=zone).astimezone(UTC)


def entry_of(folder: Path) -> Entry:
    (entry,) = Logbook(folder).entries(LATER)
    return Logbook(folder).summarised(entry)


def asked(folder: Path, text: str, to_utc: Callable[[datetime], datetime] = utc) -> list[Whereabouts]:
    return answers(read_times(text), entry_of(folder), Ways(to_utc))


def one(folder: Path, text: str) -> Whereabouts:
    (found,) = asked(folder, text)
    return found


def off_m(found: Whereabouts, seconds: float) -> float:
    assert found.position is not None
    return distance_m(found.position, Position(latitude(seconds), LONGITUDE_DEG))


# Positions


def test_at_a_fix_it_is_that_fix(tmp_path: Path) -> None:
    record(tmp_path, NOON, walk(NOON, 60))
    found = one(tmp_path, "12:00:30")
    assert off_m(found, 30) < 0.01
    assert (found.age_s, found.how) == (0.0, "a fix of that moment")
    assert found.error_95_m == pytest.approx(1.730818 * 1.0 * 4.0, abs=0.01)  # core.accuracy: HDOP 1 at 4 m


def test_between_two_fixes_it_lies_on_the_line_between_them(tmp_path: Path) -> None:
    record(tmp_path, NOON, walk(NOON, 60))
    found = one(tmp_path, "12:00:30.25")
    assert off_m(found, 30.25) < 0.01
    assert (found.age_s, found.how) == (0.25, "between two fixes 1 s apart")
    later = one(tmp_path, "12:00:30.75")
    assert off_m(later, 30.75) < 0.01
    assert later.age_s == 0.25


def test_nothing_is_interpolated_over_ten_seconds_or_more(tmp_path: Path) -> None:
    """Without fixes from 30 to 38: 29 and 38 are nine seconds apart. From 30 to 39 they are ten."""
    record(tmp_path / "short", NOON, walk(NOON, 60, gap=(30, 38)))
    bridged = one(tmp_path / "short", "12:00:33")
    assert (bridged.how, bridged.age_s) == ("the nearer fix, 4 s earlier", 4.0)  # 38 is doubtful: just back
    assert off_m(bridged, 29) < 0.01
    record(tmp_path / "long", NOON, walk(NOON, 60, gap=(30, 39)))
    found = one(tmp_path / "long", "12:00:37")
    assert found.how.startswith("in a gap of 10 s: the nearer fix, 2 s later")
    assert off_m(found, 39) < 0.01
    assert (found.age_s, found.error_95_m) == (2.0, None)


def test_in_a_gap_the_nearer_fix_is_given_with_both_ages(tmp_path: Path) -> None:
    record(tmp_path, NOON, walk(NOON, 400, gap=(100, 300)))
    found = one(tmp_path, "12:02:00")
    assert found.how == "in a gap of 3 min 21 s: the nearer fix, 21 s earlier"
    assert off_m(found, 99) < 0.01
    as_json = found.as_json()
    assert as_json["before"] == {**_dict(as_json["before"]), "age_s": 21.0, "utc": "2031-05-04T12:01:39.000Z"}
    assert as_json["after"] == {**_dict(as_json["after"]), "age_s": -180.0, "utc": "2031-05-04T12:05:00.000Z"}
    assert as_json["error_95_m"] is None


def _dict(value: object) -> dict[str, object]:
    assert isinstance(value, dict)
    return value


def test_outside_the_session_there_is_no_position_but_the_nearest_fix_is_named(tmp_path: Path) -> None:
    record(tmp_path, NOON, walk(NOON, 60))
    before, after = asked(tmp_path, "11:00, 13:00")
    assert (before.position, before.age_s, after.position, after.error_95_m) == (None, None, None, None)
    assert before.how == "before this session: the nearest fix came 1 h 00 min later"
    assert after.how == "after this session: the nearest fix came 59 min 01 s earlier"
    assert before.before is None
    assert before.after is not None
    assert before.after.unix_ms == NOON.timestamp() * 1000


def test_inside_but_before_the_first_fix_is_said_otherwise(tmp_path: Path) -> None:
    record(tmp_path, NOON, walk(NOON, 120, gap=(0, 60)))
    found = one(tmp_path, "12:00:10")
    assert (found.position, found.how) == (None, "before its first fix: the nearest fix came 50 s later")
    near = one(tmp_path, "12:00:57")
    assert near.how.startswith("before its first fix, 3 s later")
    assert (near.age_s, near.error_95_m) == (3.0, None)
    assert off_m(near, 60) < 0.01


def test_a_doubtful_fix_is_called_so_and_never_interpolated_from(tmp_path: Path) -> None:
    heard = [(float(n), epoch(NOON + timedelta(seconds=n), n, hdop=9.0)) for n in range(30)]
    record(tmp_path, NOON, heard)
    assert one(tmp_path, "12:00:20").how == "a fix of that moment, doubtful"
    found = one(tmp_path, "12:00:20.4")
    assert (found.how, found.error_95_m) == ("the nearer fix, 0.4 s earlier, doubtful", None)
    assert off_m(found, 20) < 0.01


def test_without_any_fix_there_is_no_answer(tmp_path: Path) -> None:
    record(tmp_path, NOON, walk(NOON, 20, gap=(0, 20)))
    found = one(tmp_path, "12:00:10")
    assert (found.position, found.how) == (None, "no fix in this session")


def test_along_a_line_over_the_antimeridian_and_by_the_pole() -> None:
    """Halfway over the antimeridian on the equator is 180; over the pole it is the pole: by symmetry."""
    over = _along(Position(0.0, 179.9998), Position(0.0, -179.9998), 0.5)
    assert abs(over.longitude_deg) == pytest.approx(180.0, abs=1e-9)
    pole = _along(Position(89.9999, 10.0), Position(89.9999, -170.0), 0.5)
    assert pole.latitude_deg == pytest.approx(90.0, abs=1e-9)


def test_the_nearest_fixes_are_found_whatever_the_order() -> None:
    """A receiver's clock may step back in the middle of a session."""
    fixes = [FixThen(ms, Position(ms / 1e3, 0.0), None, Verdict.FIRM) for ms in (100, 900, 300, 700, 500)]
    for order in (fixes, fixes[::-1], sorted(fixes)):
        sought = _Sought("x", 600)
        for fix in order:
            sought.take(fix)
        assert sought.before
        assert sought.after
        assert (sought.before.unix_ms, sought.after.unix_ms) == (500, 700)


# Times


def test_a_time_without_a_date_is_of_the_session_and_over_midnight_of_the_day_that_lies_inside(tmp_path: Path) -> None:
    began = MIDNIGHT - timedelta(seconds=60)
    record(tmp_path, began, walk(began, 120))
    late, early = asked(tmp_path, "23:59:30, 0:00:30")
    assert off_m(late, 30) < 0.01
    assert off_m(early, 90) < 0.01
    assert early.as_json()["utc"] == "2031-05-05T00:00:30.000Z"


def test_a_session_of_more_than_a_day_gives_both_readings() -> None:
    span = (NOON, NOON + timedelta(hours=26))
    found = instants(read_time("13:00"), span, utc)
    assert found == [NOON + timedelta(hours=1), NOON + timedelta(hours=25)]
    assert instants(read_time("15:00"), span, utc) == [NOON + timedelta(hours=3)]
    assert instants(read_time("2031-05-05 13:00"), span, utc) == [NOON + timedelta(hours=25)]


@pytest.mark.parametrize("hours", [-11, -5, 2, 5, 13])
def test_a_local_time_is_of_the_local_day(hours: int) -> None:
    """Of a session of three hours, each minute said by the local clock is found again, whatever the zone."""
    zone = timezone(timedelta(hours=hours, minutes=30))
    for began in (NOON, MIDNIGHT - timedelta(hours=1)):
        span = (began, began + timedelta(hours=3))
        for minutes in range(0, 181, 7):
            moment = began + timedelta(minutes=minutes)
            text = f"{moment.astimezone(zone):%H:%M} local"
            assert instants(read_time(text), span, in_zone(zone)) == [moment]


def test_the_hour_that_a_clock_repeats_has_two_readings_and_one_that_it_skips_none(tmp_path: Path) -> None:
    """Central Europe: from summer time on 26 October 2031 at 01:00 UTC, to it on 30 March 2031 (rules of 1996)."""
    try:
        zone = ZoneInfo("Europe/Berlin")
    except ZoneInfoNotFoundError:
        pytest.skip("this system has no time zones")
    autumn = datetime(2031, 10, 25, 22, 0, tzinfo=UTC)
    twice = instants(read_time("2:30 local"), (autumn, autumn + timedelta(hours=6)), in_zone(zone))
    assert twice == [datetime(2031, 10, 26, 0, 30, tzinfo=UTC), datetime(2031, 10, 26, 1, 30, tzinfo=UTC)]
    assert read_time("2031-03-30 02:30 local").readings(autumn.date(), in_zone(zone)) == []
    record(tmp_path, NOON, walk(NOON, 5))
    (found,) = asked(tmp_path, "2031-03-30 02:30 local", in_zone(zone))
    assert (found.position, found.as_json()["utc"]) == (None, None)
    assert found.how == "there was no such time: the clocks were put forward over it"


def test_a_session_without_any_date_is_asked_by_the_time_of_day_alone(tmp_path: Path) -> None:
    foreign = tmp_path / "old.nmea"
    foreign.write_bytes(b"".join(data for _, data in walk(MIDNIGHT - timedelta(seconds=60), 120, day=False)))
    aged(foreign, NOON)
    late, early, dated = asked(tmp_path, "23:59:30, 00:00:30, 2031-05-05 00:00:30")
    assert off_m(late, 30) < 0.01
    assert off_m(early, 90) < 0.01
    assert early.as_json()["utc"] == "T00:00:30.000Z"
    assert (dated.position, dated.how) == (
        None,
        "this session knows no date: ask by the time of day alone, UTC",
    )


def test_fixes_before_the_date_was_known_are_found_by_it(tmp_path: Path) -> None:
    began = MIDNIGHT - timedelta(seconds=30)
    heard = [(float(n), epoch(began + timedelta(seconds=n), n, day=n >= 50)) for n in range(60)]
    foreign = tmp_path / "old.nmea"
    foreign.write_bytes(b"".join(data for _, data in heard))
    aged(foreign, NOON)
    found = one(tmp_path, "2031-05-04 23:59:50")
    assert off_m(found, 20) < 0.01


def test_a_rolled_over_session_is_found_by_the_true_date(tmp_path: Path) -> None:
    record(tmp_path, NOON, walk(NOON - timedelta(days=7168), 60))
    found = one(tmp_path, "2031-05-04 12:00:30")
    assert off_m(found, 30) < 0.01


@pytest.mark.parametrize(
    ("text", "at", "day", "local"),
    [
        ("14:32", "14:32:00", None, False), ("4:05", "04:05:00", None, False), ("14:32:10", "14:32:10", None, False),
        ("14:32Z", "14:32:00", None, False), (" 14:32 Local ", "14:32:00", None, True),
        ("14:32L", "14:32:00", None, True), ("14:32 UTC", "14:32:00", None, False),
        ("2031-05-04 14:32", "14:32:00", "2031-05-04", False),
        ("2031-05-04T14:32:10Z", "14:32:10", "2031-05-04", False),
        ("T12:00:00.250Z", "12:00:00.250000", None, False), ("12:00:00.5", "12:00:00.500000", None, False),
    ],
)  # fmt: skip
def test_times_are_read(text: str, at: str, day: str | None, local: bool) -> None:
    found = read_time(text)
    assert found.at.isoformat() == at
    assert (found.day.isoformat() if found.day else None) == day
    assert found.is_local is local
    assert found.text == text.strip()


@pytest.mark.parametrize(
    "text",
    ["", "noon", "25:00", "14:60", "14:32:61", "2031-02-29 14:32", "14.32", "1432", "-14:32", "\x1b[31m", "14:32 " * 30,
     "١٤:٣٢", "2031-05-04", "14:32 BST", "99999-05-04 14:32", "14:32,15:10 yesterday"],
)  # fmt: skip
def test_what_is_no_time_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(InputError, match=r"14:32|time of any day"):
        read_times(text)


def test_thousands_of_times_are_refused() -> None:
    assert len(read_times("14:32," * 200)) == 200
    with pytest.raises(InputError, match="200 at most"):
        read_times("14:32," * 201)


def test_the_ends_of_the_calendar_are_no_failure(tmp_path: Path) -> None:
    record(tmp_path, NOON, walk(NOON, 5))
    far = timezone(timedelta(hours=14))
    for found in asked(tmp_path, "0001-01-01 00:00, 9999-12-31 23:59, 0001-01-01 00:00 local", in_zone(far)):
        assert found.position is None


# Which session


def test_the_session_that_holds_most_of_the_times_is_asked_else_the_newest(tmp_path: Path) -> None:
    for hour in (0, 2, 4):
        moment = NOON + timedelta(hours=hour)
        record(tmp_path, moment, walk(moment, 60))
    empty = NOON + timedelta(hours=6)
    record(tmp_path, empty, walk(empty, 10, gap=(0, 10)))
    book = Logbook(tmp_path)
    entries = [book.summarised(entry) for entry in book.entries(LATER)]
    picked = [session_for(read_times(text), entries, utc).number for text in ("14:00:30", "12:00:10,12:00:20,14:00:30")]
    assert picked == [2, 1]
    assert session_for(read_times("2031-05-04 12:00:30"), entries, utc).number == 1
    assert session_for(read_times("3:00"), entries, utc).number == 3
    for text, nearest in (
        ("2031-05-04 12:50", 1),
        ("2031-05-04 13:10", 2),
        ("2031-05-01 00:00", 1),
        ("2032-01-01 00:00", 3),
    ):
        assert session_for(read_times(text), entries, utc).number == nearest
    with pytest.raises(InputError, match="no session"):
        session_for(read_times("3:00"), entries[3:], utc)


def test_a_session_that_cannot_be_read_says_why(tmp_path: Path) -> None:
    (tmp_path / "empty.nmea").write_bytes(b"")
    aged(tmp_path / "empty.nmea", NOON)
    with pytest.raises(InputError, match=r"empty\.nmea is empty"):
        asked(tmp_path, "12:00")


@pytest.mark.parametrize("pace_ms", [200, 1000, 3000])
def test_every_instant_agrees_with_the_closed_form(tmp_path: Path, pace_ms: int) -> None:
    """Simulation with known truth: at any instant of a steady walk, at any rate, within 2 cm."""
    heard = [
        (n * pace_ms / 1000, epoch(NOON + timedelta(milliseconds=n * pace_ms), n * pace_ms / 1000))
        for n in range(60_000 // pace_ms)
    ]
    record(tmp_path, NOON, heard)
    instants_s = [25 + 0.37 * n for n in range(60)]
    text = ",".join(f"{NOON + timedelta(seconds=s):%H:%M:%S}.{round(s * 1000) % 1000:03d}" for s in instants_s)
    for found, seconds in zip(asked(tmp_path, text), instants_s, strict=True):
        assert off_m(found, seconds) < 0.02

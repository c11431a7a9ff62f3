"""Dates in the logbook: the ends of the calendar, rollovers in mid-session, and days that are not those of UTC."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from core.asked_times import ToUtc, read_time
from core.session_clock import Dates, iso
from core.session_files import session_of
from core.session_question import Ways, answers
from core.session_summary import Summary, from_json, summarise
from core.sessions import Entry
from tests.build import lines
from tests.faults.time_streams import BY_NAME, CASES, COUNT, place, stream
from tui.session_words import until, when, when_local

NOW = datetime(2031, 6, 1, tzinfo=UTC)


def summed(path: Path, data: bytes) -> Entry:
    path.write_bytes(data)
    session = session_of(path, NOW)
    return Entry(1, session, summary=summarise(session))


def dated(time: str, day: str, n: int) -> bytes:
    """An epoch with a date of four digits."""
    return lines(f"GNZDA,{time},{day},00,00", f"GNGGA,{time},{place(n)},1,09,1.0,12.5,M,30.0,M,,")


def undated(time: str, n: int) -> bytes:
    return lines(f"GNGGA,{time},{place(n)},1,09,1.0,12.5,M,30.0,M,,")


LAST_DAY = "31,12,9999"
LAST_SECOND_MS = 253_402_300_799_000
ENDS = {
    "its leap second": [dated(time, LAST_DAY, n) for n, time in enumerate(("235958", "235959", "235960"))],
    "epochs after it that tell no date": [
        dated("235959", LAST_DAY, 0),
        *[undated(f"0000{n:02d}", n) for n in range(30)],
    ],
    "a day's epochs before it": [undated("000000", 0), undated("100000", 1), dated("235959", LAST_DAY, 2)],
    "hours without a fix after it": [dated("120000", LAST_DAY, 0), undated("233000", 1), undated("110000", 2)],
}


@pytest.mark.parametrize("name", ENDS)
def test_the_end_of_the_calendar_is_shown_as_far_as_there_are_days(tmp_path: Path, name: str) -> None:
    entry = summed(tmp_path / "end.nmea", b"".join(ENDS[name]))
    assert entry.summary is not None
    json.dumps(entry.as_json(), allow_nan=False)
    assert when(entry)[:4] == "9999"
    assert until(entry.summary)[:4] == "9999"
    when_local(entry)
    asked = read_time("9999-12-31 23:59:59")
    (found,) = answers([asked], entry, Ways(lambda moment: moment.replace(tzinfo=UTC)))
    json.dumps(found.as_json(), allow_nan=False)
    assert found.unix_ms == LAST_SECOND_MS


@pytest.mark.parametrize("unix_ms", [253_402_300_800_000, 10**40, -62_135_596_800_001, -(10**30)], ids=str)
@pytest.mark.parametrize("which", ["begins_ms", "ends_ms"])
def test_a_kept_summary_that_lies_outside_the_calendar_is_none(which: str, unix_ms: int) -> None:
    kept = Summary(begins_ms=0, ends_ms=0, dates=Dates.RECEIVER).as_json() | {which: unix_ms}
    with pytest.raises((ValueError, OverflowError)):
        from_json(kept)


def test_the_first_and_last_instants_of_the_calendar_are_kept() -> None:
    summary = Summary(begins_ms=-62_135_596_800_000, ends_ms=253_402_300_799_999, dates=Dates.RECEIVER)
    assert from_json(json.loads(json.dumps(summary.as_json()))) == summary


@pytest.mark.parametrize("name", [case.name for case in CASES])
def test_a_session_lasts_as_long_as_it_did_whatever_its_clock_does(tmp_path: Path, name: str) -> None:
    entry = summed(tmp_path / "one.nmea", stream(BY_NAME[name]))
    summary = entry.summary
    assert summary is not None
    assert (summary.epochs, summary.epochs_with_fix, summary.duration_s) == (COUNT, COUNT, COUNT - 1)
    assert summary.begins_ms is not None
    assert summary.ends_ms is not None
    assert summary.begins_ms <= summary.ends_ms, (iso(summary.begins_ms, summary.dates), until(summary))


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("year's end", ("2031-12-31T23:59:00.000Z", "2032-01-01T00:00:59.000Z", Dates.RECEIVER)),
        ("into a leap day", ("2028-02-28T23:59:00.000Z", "2028-02-29T00:00:59.000Z", Dates.RECEIVER)),
        ("a leap second", ("2016-12-31T23:59:01.000Z", "2017-01-01T00:00:59.000Z", Dates.RECEIVER)),
        ("no date at all", ("T23:59:00.000Z", "T00:00:59.000Z", Dates.NONE)),
        (
            "a date told every tenth second only",
            ("2031-05-04T23:59:00.000Z", "2031-05-05T00:00:59.000Z", Dates.RECEIVER),
        ),
        ("1980 until it knows", ("2031-05-04T21:59:00.000Z", "2031-05-04T22:00:59.000Z", Dates.RECEIVER)),
        (
            "the week count rolls over and the receiver does not know",
            ("2038-11-20T23:59:00.000Z", "2038-11-21T00:00:59.000Z", Dates.MENDED),
        ),
    ],
)
def test_a_session_is_dated_by_what_can_be_believed(tmp_path: Path, name: str, wanted: tuple[str, str, Dates]) -> None:
    entry = summed(tmp_path / "one.nmea", stream(BY_NAME[name]))
    said = entry.as_json()
    assert entry.summary is not None
    assert (said["begins"], said["ends"], entry.summary.dates) == wanted


def test_a_first_date_that_is_wrong_does_not_move_the_right_ones(tmp_path: Path) -> None:
    """Only what is a whole rollover early is taken for one."""
    data = [dated("120000", "04,05,2041", 0), *[dated(f"12000{n}", "04,05,2031", n) for n in range(1, 9)]]
    entry = summed(tmp_path / "one.nmea", b"".join(data))
    assert entry.summary is not None
    assert until(entry.summary) == "2031-05-04 12:00:08"


# Days that are not those of UTC. Offsets: the zone database that Python comes with (tzdata).

ZONES = {
    "Pacific/Kiritimati": (14, "2031-05-05"),
    "Pacific/Pago_Pago": (-11, "2031-05-04"),
    "Pacific/Chatham": (12.75, "2031-05-05"),
    "Asia/Kathmandu": (5.75, "2031-05-05"),
    "America/St_Johns": (-2.5, "2031-05-04"),
}
"""Offset from UTC in May, hours, and the local day while it is 2031-05-04T23:59Z and after."""


def to_utc_of(zone: str) -> ToUtc:
    return lambda moment: moment.replace(tzinfo=ZoneInfo(zone)).astimezone(UTC)


@pytest.mark.parametrize("zone", ZONES)
def test_a_local_time_over_midnight_is_found_by_its_own_day(tmp_path: Path, zone: str) -> None:
    hours, day = ZONES[zone]
    entry = summed(tmp_path / "one.nmea", stream(BY_NAME["midnight"]))
    local = datetime(2031, 5, 4, 23, 59, 30) + timedelta(hours=hours)
    assert f"{local:%Y-%m-%d}" == day
    ways = Ways(to_utc_of(zone))
    for asked in (f"{local:%Y-%m-%d %H:%M:%S} local", f"{local:%H:%M:%S} local"):
        (found,) = answers([read_time(asked)], entry, ways)
        assert found.unix_ms is not None
        assert iso(found.unix_ms, found.dates) == "2031-05-04T23:59:30.000Z"
        assert found.position is not None


@pytest.mark.parametrize(
    ("night", "asked", "readings"),
    [
        # The hour that is lived through twice, and the one that is skipped.
        (("Europe/Berlin", datetime(2031, 10, 26, 1)), "02:59 local", 2),
        (("Europe/Berlin", datetime(2031, 10, 26, 1)), "2031-10-26 02:59 local", 2),
        (("Europe/Berlin", datetime(2031, 3, 30, 1)), "2031-03-30 02:30 local", 0),
        # Half an hour only (Lord Howe), and a whole day that a zone skipped (Apia, 2011-12-30).
        (("Australia/Lord_Howe", datetime(2031, 4, 5, 15)), "2031-04-06 01:59 local", 2),
        (("Pacific/Apia", datetime(2011, 12, 30, 10)), "2011-12-30 12:00 local", 0),
        (("Pacific/Apia", datetime(2011, 12, 30, 10)), "2011-12-29 23:59 local", 1),
    ],
    ids=str,
)
def test_on_the_night_that_clocks_change_every_reading_is_given_and_none_is_made_up(
    tmp_path: Path, night: tuple[str, datetime], asked: str, readings: int
) -> None:
    zone, moment = night
    times = [moment + timedelta(minutes=n) for n in range(-90, 90)]
    data = [dated(f"{time:%H%M%S}", f"{time:%d,%m,%Y}", n % 60) for n, time in enumerate(times)]
    entry = summed(tmp_path / "one.nmea", b"".join(data))
    found = answers([read_time(asked)], entry, Ways(to_utc_of(zone)))
    assert len([one for one in found if one.unix_ms is not None]) == readings
    assert all("no such time" in one.how for one in found) is (readings == 0)


@pytest.mark.parametrize("began", ["0001-01-01_000000", "0001-02-14_000000", "9999-12-31_235959", "9999-11-20_000000"])
@pytest.mark.parametrize("day", ["04,05,2031", "31,12,9999", "06,01,1980", "22,08,1999", ""])
def test_a_file_named_for_the_end_of_the_calendar_is_read_all_the_same(tmp_path: Path, began: str, day: str) -> None:
    """A computer whose clock was lost gives such names; the receiver's dates are then 1024 weeks wrong many times."""
    data = [dated(f"12000{n}", day, n) if day else undated(f"12000{n}", n) for n in range(9)]
    entry = summed(tmp_path / f"{began}_gps.nmea", b"".join(data))
    assert entry.summary is not None
    assert entry.summary.epochs == 9
    json.dumps(entry.as_json(), allow_nan=False)
    when(entry), until(entry.summary), when_local(entry)


def test_host_times_from_one_end_of_the_calendar_to_the_other_leave_a_session_that_can_be_shown(tmp_path: Path) -> None:
    stamps = [b"0001-01-01T00:00:00Z ", b"9999-12-31T23:59:59Z "]
    data = (
        stamps[0]
        + undated("115900", 0)
        + stamps[1]
        + undated("115901", 1)
        + stamps[1]
        + dated("120000", "04,05,2031", 2)
    )
    entry = summed(tmp_path / "one.nmea", data)
    assert entry.summary is not None
    json.dumps(entry.as_json(), allow_nan=False)
    assert until(entry.summary) == "2031-05-04 12:00:00"

"""Faults of readers that fuzzing and bombs have found, each with the smallest input that showed it."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

import pytest

from core.chapter_file import chapters_path
from core.errors import FixboardError, InputError, UsageError
from core.export_plan import every, since
from core.fix import Position, Utc
from core.formats.given_track import GivenPoint, GivenTrack, is_track, read_track
from core.formats.gpx_document import read_document
from core.latency import stated
from core.places.found import HIGHEST_M
from core.places.reading import read
from core.plain_files import read_plain
from core.rehearsal.scenario import read_scenario
from core.route_memory import recalled
from core.session_cache import VERSION, SummaryCache
from core.session_files import CACHE, Session, SessionFile
from core.session_summary import Summary, from_json
from core.settings import read_settings
from core.shown import shown
from core.site import SiteAverager
from core.site_file import SiteFile
from core.site_keeper import SiteKeeper, _mark_in
from core.sources.given_recording import GivenRecording
from core.sources.names import source_name
from core.station_lists.frequencies import frequency_hz, shift_hz
from core.toml_text import parsed
from core.track_rule import parse_rule
from core.trip_file import TripFile
from core.waypoint import Waypoint
from tests.cli.running import posix
from tests.faults.fuzz_readers_files import NOW
from tui.argument_values import count

HUGE = "9" * 400
"""JSON reads it as an integer that no float can hold."""


def settings_of(tmp_path: Path, text: str) -> Any:
    path = tmp_path / "settings.toml"
    path.write_text(text, encoding="utf-8", newline="")
    return read_settings(path)


# Places


@pytest.mark.parametrize("u", ["99999999", "9" * 150])
def test_an_uncertainty_beyond_the_earth_says_no_more_than_anywhere(u: str) -> None:
    (found,) = read(f"geo:47.5,11.25;u={u}")
    assert found.radius_m == pytest.approx(20_003_932.0)


@pytest.mark.parametrize("text", ["geo:47.5,11.25,{}", "+47.5+011.25+{}CRSWGS_84/"])
def test_a_height_beyond_space_is_left_out(text: str) -> None:
    (low,), (high,) = read(text.format("99999")), read(text.format("9" * 120))
    assert low.ellipsoidal_height_m == 99_999.0 < HIGHEST_M
    assert (high.position, high.ellipsoidal_height_m) == (low.position, None)


# What is typed


@pytest.mark.parametrize("text", ["000000001999999999999", "0000000001"])
def test_a_count_is_bounded_by_all_its_digits(text: str) -> None:
    with pytest.raises(argparse.ArgumentTypeError):
        count(text)


@pytest.mark.parametrize("text", ["every 89.99999999999999 deg", "every 1.565535 km or 1.5210 hours", "every 0.1 min"])
def test_a_rule_for_the_track_is_read_again_as_it_was_written(text: str) -> None:
    assert parse_rule(str(parse_rule(text))) == parse_rule(text)


@pytest.mark.parametrize("text", ["0,000430 kHz", "0.0000004 MHz"])
def test_less_than_a_hertz_is_no_frequency(text: str) -> None:
    assert frequency_hz(text) is None


def test_a_shift_beyond_all_radio_is_none() -> None:
    assert shift_hz("999999999 GHz") is None
    assert shift_hz("-300 GHz") == (-300_000_000_000, -1)


@pytest.mark.parametrize("read_it", [every, since, stated, source_name, count])
def test_a_refusal_does_not_repeat_a_page(read_it: Any) -> None:
    with pytest.raises((FixboardError, argparse.ArgumentTypeError)) as caught:
        read_it("tcp:" + "\x1b[31m 9" * 1000)
    assert len(str(caught.value)) < 250
    assert str(caught.value).isprintable()


def test_a_value_in_a_message_is_short_whatever_it_is() -> None:
    assert shown("x" * 10**6) == "'" + "x" * 39 + "..."
    assert shown(int("1" + "0" * 4000) ** 2) == "a number without end"
    assert shown([1, 2]) == "[1, 2]"


# Files that fixboard reads


@pytest.mark.parametrize("name", ["\\ud800", "\\udc80x"])
def test_half_a_character_smuggled_in_by_an_odd_encoding_is_refused(name: str) -> None:
    data = (
        '<?xml version="1.0" encoding="unicode_escape"?><gpx xmlns="http://www.topografix.com/GPX/1/1">'
        f'<wpt lat="1" lon="2"><name>{name}</name></wpt></gpx>'
    )
    with pytest.raises(InputError, match="not well-formed"):
        read_document(data.encode(), "places.gpx")


@pytest.mark.parametrize("time", ["9999-12-31T23:59:59.999Z", "0001-01-01T00:00:00Z"])
def test_a_track_at_the_end_of_the_calendar_is_played(tmp_path: Path, time: str) -> None:
    path = tmp_path / "x.gpx"
    path.write_text(
        '<gpx><trk><trkseg><trkpt lat="1" lon="2"><time>2031-05-04T12:00:00Z</time></trkpt>'
        f'<trkpt lat="1.1" lon="2"><time>{time}</time></trkpt></trkseg></trk></gpx>'
    )
    pieces = list(GivenRecording(path, read_track(path)).pieces())
    assert [piece.at_s >= 0.0 for piece in pieces] == [True, True]


def test_points_of_a_track_are_played_one_after_the_other_at_that_end() -> None:
    last = NOW.replace(year=9999, month=12, day=31, hour=23, minute=59, second=59, microsecond=998_000)
    points = tuple(GivenPoint(Position(1.0, 2.0), None, last.replace(microsecond=n)) for n in (998_000, 999_999))
    assert len(list(GivenRecording(Path("x"), GivenTrack(points)).pieces())) == 2


@pytest.mark.parametrize(
    "line",
    [
        f"[before_dark]\nmargin_min = 0x{'f' * 5000}",
        f"[before_dark]\nmargin_min = {HUGE * 12}",
        f"[feed]\nrate_hz = 0x{'f' * 400}",
        "a." * 100_000 + "a = 1",
        f'"{"x" * 100_000}" = 1',
        "a = " + "[" * 100_000,
    ],
)
def test_settings_of_any_size_are_refused_in_a_line(tmp_path: Path, line: str) -> None:
    with pytest.raises(InputError) as caught:
        settings_of(tmp_path, line)
    words = str(caught.value).replace(str(tmp_path), "")
    assert len(words) < 300
    assert "settings.toml" in words


def test_settings_with_a_mark_of_three_bytes_and_any_line_ends_are_read(tmp_path: Path) -> None:
    for text in ("\ufeff[recorder]\nalways = true\n", "[recorder]\ralways = true\r", "[recorder]\r\nalways = true\r\n"):
        assert settings_of(tmp_path, text).recorder.always


def test_the_line_of_a_mistake_is_counted_as_editors_count(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="line 3: allways"):
        settings_of(tmp_path, '[track]\nrule = "every \u2028 10 s"\nallways = 1\n')
    with pytest.raises(InputError, match="line 2: "):
        read_scenario('title = "a\u2028b"\nx = 1', "x.toml")


@pytest.mark.parametrize("depth", [2, 99])
def test_keys_as_deep_as_anybody_writes_them_are_read(depth: int) -> None:
    assert parsed(f"{'.'.join('a' * depth)} = 1")
    assert parsed(f"words = '{'one. two. ' * 40}{'.' * 100} www.{'x.' * 50}'")


@pytest.mark.parametrize("key", ["a" * 101, "b" * 50_000])
def test_a_key_that_would_fill_the_memory_is_refused_with_its_line(key: str) -> None:
    for text in (f"x = 1\n{'.'.join(key)} = 1", f"x = 1\n[{' . '.join(key)}]", f"x = 1\ny = {{{'.'.join(key)} = 1}}"):
        with pytest.raises(ValueError, match="at line 2"):
            parsed(text)
    with pytest.raises(ValueError, match="at line 1"):
        parsed(".".join(['"a"'] * len(key)) + " = 1")


# What fixboard keeps: whoever edits it by hand must not be able to keep the board from starting


@pytest.mark.parametrize("row", [f'["Hut", {HUGE}, 2]', '["Hut", true, false]', f'["Q", 1, 2, "station", {HUGE}]'])
def test_a_leg_of_a_route_that_no_float_holds_is_none(row: str) -> None:
    hut = Waypoint("Hut", Position(10.0, -20.0))
    found = recalled(f'[["Hut", 10.0, -20.0], {row}]', [hut, Waypoint("Hut", Position(1.0, 1.0))])
    assert found.legs == (hut,)


def test_a_station_of_a_route_has_a_place_of_floats() -> None:
    (leg,) = recalled('[["Q", 1, 2, "station", 3]]', []).legs
    assert [type(one) for one in (*leg.position, leg.error_95_m)] == [float, float, float]


NO_NAMES = ["a\0b", "\ud800", "/", ".", "..", "x" * 5000]


@pytest.mark.parametrize("name", NO_NAMES)
def test_a_name_that_is_none_is_an_empty_track(tmp_path: Path, name: str) -> None:
    assert TripFile(tmp_path).points(name) == []
    assert SiteFile(tmp_path).counted(name) == []


@pytest.mark.parametrize("name", NO_NAMES)
def test_an_averaging_is_taken_up_whatever_its_file_says_was_ended(tmp_path: Path, name: str) -> None:
    (tmp_path / "averaging.json").write_text(json.dumps({"finished": name}))
    keeper = SiteKeeper(SiteFile(tmp_path))
    try:
        keeper.begin(SiteAverager(), NOW)
    finally:
        keeper.end()


@pytest.mark.parametrize("text", ["1e308", "-100001", "9" * 40])
def test_a_height_that_can_be_none_costs_no_place(tmp_path: Path, text: str) -> None:
    (tmp_path / "trip.csv").write_text(f"2031-05-04T14:32:10.000Z,10.5,-20.25,{text},1\n")
    (tmp_path / "averaging.csv").write_text(f",0.0,10.5,-20.25,{text},{text},autonomous,3.5,\n")
    (point,), (counted,) = TripFile(tmp_path).points(), SiteFile(tmp_path).counted()
    assert (point.position, point.altitude_m) == ((10.5, -20.25), None)
    assert (counted.altitude_m, counted.separation_m) == (None, None)


@pytest.mark.parametrize(
    "line", [",1e300,0,0,,,autonomous,,\n", ",1,0,0,,,autonomous,-3,\n", ",1,0,0,,,autonomous,1e9,\n"]
)
def test_a_fix_with_a_figure_that_can_be_none_is_passed_over(tmp_path: Path, line: str) -> None:
    (tmp_path / "averaging.csv").write_text(line)
    assert SiteFile(tmp_path).counted() == []


def test_a_time_without_a_zone_is_utc_whatever_the_computers_zone(tmp_path: Path) -> None:
    (tmp_path / "trip.csv").write_text("2031-05-04T14:32:10,10.5,-20.25,,1\n0001-01-01T00:00:00,10.5,-20.25,,1\n")
    first, second = TripFile(tmp_path).points()
    assert first.utc == Utc(((14 * 60 + 32) * 60 + 10) * 1000, NOW.date())
    assert second.utc is not None


@pytest.mark.parametrize(
    ("key", "value"),
    [("coarse_m", 1e308), ("coarse_m", -1.0), ("error_m", -1.0), ("height_m", 1e308), ("position", [91.0, 0.0])],
)
def test_a_mark_with_a_figure_that_can_be_none_is_no_mark(key: str, value: object) -> None:
    mark = {
        "name": "M", "position": [10.5, -20.25], "coarse_m": 1.0, "error_m": 0.5, "height_m": 12.0,
        "height_kind": "ellipsoid",
    }  # fmt: skip
    assert _mark_in(mark) is not None
    assert _mark_in(mark | {key: value}) is None


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("first", [float("inf"), 0.0]), ("last", [91.0, 0.0]), ("duration_s", float("nan")), ("distance_m", -1.0),
        ("epochs", -1), ("begins_ms", 10**30), ("ends_ms", -(10**18)), ("verdicts", [-1, 0, 0, 0]),
        ("anchor", [float("inf"), 0]),
    ],
)  # fmt: skip
def test_a_summary_with_a_figure_that_can_be_none_is_worked_out_again(key: str, value: object) -> None:
    good = json.loads(json.dumps(Summary(1, 2, duration_s=1.0, distance_m=2.0, first=Position(1.0, 2.0)).as_json()))
    from_json(good)
    with pytest.raises((ValueError, OverflowError)):
        from_json(good | {key: value})


@pytest.mark.parametrize("sessions", [{"x" * 5000: {}}, {"a\0b": {}}, [[5, 6]], 7])
def test_summaries_under_names_that_are_none_keep_nothing_from_being_saved(tmp_path: Path, sessions: object) -> None:
    cache = SummaryCache(tmp_path)
    content = {"version": VERSION, "errors": cache._errors, "sessions": sessions}
    (tmp_path / CACHE).write_text(json.dumps(content))
    (tmp_path / "a.nmea").touch()
    session = Session((SessionFile(tmp_path / "a.nmea", 0, 0),))
    cache.keep(session, Summary(epochs=5))
    cache.save()
    again = SummaryCache(tmp_path).find(session)
    assert again is not None
    assert again.epochs == 5


@pytest.mark.parametrize("path", ["", ".", "/"])
def test_chapters_of_no_name_are_refused(path: str) -> None:
    with pytest.raises(InputError, match="is a folder"):
        chapters_path(Path(path))


# Files that are none


@posix
@pytest.mark.parametrize("name", ["fifo", "/dev/zero", ".", "loop", "missing", "a\0b", "\ud800"])
def test_what_is_no_ordinary_file_is_an_error_at_once(tmp_path: Path, name: str) -> None:
    import os

    os.mkfifo(tmp_path / "fifo")
    (tmp_path / "loop").symlink_to("loop")
    with pytest.raises(OSError):
        read_plain(tmp_path / name, 100)
    assert not is_track(tmp_path / name)


def test_a_file_is_read_as_far_as_was_asked_and_one_byte_more(tmp_path: Path) -> None:
    (tmp_path / "x").write_bytes(b"12345")
    assert [read_plain(tmp_path / "x", most) for most in (3, 4, 5, 9)] == [b"1234", b"12345", b"12345", b"12345"]


def test_usage_errors_stay_usage_errors() -> None:
    with pytest.raises(UsageError):
        source_name("tcp:x")

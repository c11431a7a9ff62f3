"""Readers of what else somebody types or pastes: times, frequencies, addresses, options of the command line."""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable
from datetime import UTC, date, datetime, time
from functools import partial
from typing import Any

from core.aprs.symbols import Symbol, name_of, symbol
from core.aprs.text import Report, plain_line
from core.asked_moment import LONGEST_S, AskedMoment, From, read_moment
from core.asked_times import MOST, Asked, away, instants, read_times
from core.bands import BANDS, Band, named_band
from core.benchmark import read_height, split_error
from core.blur import LARGEST_BLUR_M, Blur, BlurKind, parse_blur
from core.chapter_file import LONGEST_S as CHAPTER_S
from core.chapter_file import When, parse_when
from core.errors import UsageError
from core.export_plan import Bound, Every, every, metres, since, until
from core.feeding.address import KINDS, FeedAddress, feed_address
from core.feeding.plan import FASTEST_HZ, SLOWEST_HZ, FeedPlan, feed_plan
from core.feeding.wish import FeedWish
from core.latency import LONGEST_S as LATENCY_S
from core.latency import Latency, stated
from core.sheet_time import Zone, zone
from core.sheet_turn import Climb, parse_climb
from core.sources.names import Sort, SourceName, source_name
from core.station_filter import band_named
from core.station_lists.frequencies import HIGHEST_HZ, Shift, frequency_hz, shift_hz
from core.track_rule import TrackRule, parse_rule
from tests.faults.fuzz_readers_base import Reader, aware, maybe_in, must, number_in, of_text, tried, typed, within
from tests.faults.fuzz_readers_places import SPOT
from tests.faults.fuzz_readers_seeds import encoded
from tests.faults.fuzzing import Target
from tui import argument_values as values

# Times


def _moment(found: AskedMoment, _: str) -> None:
    low, high = {
        From.DAY: (0.0, 86_400_999.0),
        From.HERE: (-LONGEST_S, LONGEST_S),
        From.START: (0.0, LONGEST_S),
        From.PART: (0.0, 1.0),
    }[found.counted]
    number_in(found.value, low, high, found.counted.name)


_SPAN = (datetime(2031, 5, 4, 23, 30, tzinfo=UTC), datetime(2031, 5, 5, 1, 30, tzinfo=UTC))


def _times(found: list[Asked], _: str) -> None:
    must(0 < len(found) <= MOST, "no time, or too many")
    for one in found[:3]:
        must(isinstance(one.at, time), "no time of day")
        try:
            meant = instants(one, _SPAN, lambda moment: moment.replace(tzinfo=UTC))
        except OverflowError:  # documented: the ends of the calendar
            continue
        for instant in meant:
            aware(instant)
            away(instant, _SPAN)


def _when(found: When, _: str) -> None:
    must((found.at_s is None) != (found.time_ms is None), "both, or neither")
    maybe_in(found.at_s, 0.0, CHAPTER_S, "seconds")
    maybe_in(found.time_ms, 0, 86_399_999, "a time of day")
    must(parse_when(str(found)) == found, f"{found!r} is written as {found!s}, which is another")


def _bound(text: str) -> tuple[Bound, Bound]:
    return since(text), until(text)


def _bounds(found: tuple[Bound, Bound], _: str) -> None:
    for one in found:
        number_in(one.time_ms, 0, 86_399_999, "a time of day")
        must(one.day is None or isinstance(one.day, date), "no day")


# Radio


def _band(found: Band, text: str) -> None:
    must(found in BANDS, "a band that is none")
    must(tried(lambda: band_named(text)) == found.name, "two readers of bands disagree")


def _shift(found: Shift, _: str) -> None:
    maybe_in(found.hz, -10 * HIGHEST_HZ, 10 * HIGHEST_HZ, "a shift")
    must(found.sign in {-1, 0, 1} and (found.hz is None or (found.hz > 0) - (found.hz < 0) == found.sign), "its sign")


def _sendable(text: str) -> str:
    head, _, comment = text.partition("|")
    return plain_line(Report(SPOT, symbol(head), comment, altitude_m=12.0)).text


def _packet(found: str, _: str) -> None:
    must(found.isascii() and found.isprintable() and "|" not in found and "~" not in found, "no text of a packet")
    must(len(found) <= 19 + 1 + 43, f"{len(found)} characters")


def _symbol(found: Symbol, _: str) -> None:
    must(symbol(name_of(found)) == found, "a symbol's name is read as another")


# Options and choices


def _address(found: FeedAddress, _: str) -> None:
    must(found.kind in KINDS and found.text.isprintable(), "an address that is none")
    if found.kind in {"tcp", "udp"}:
        number_in(found.port, 1, 65_535, "a port")
    again = feed_address(found.text) if len(found.text) <= 200 else found
    must(again == found, f"{found!r} is written as {found.text!r}, which is {again!r}")


def _wish(text: str) -> FeedPlan:
    """Parts of the text as the fields of a wish."""
    to, form, types, rate, talker, *_ = [*text.split("|"), "", "", "", "", ""]
    try:
        rate_hz = float(rate) if rate else None
    except ValueError:
        rate_hz = None
    return feed_plan(FeedWish(tuple(to.split()), form or "auto", types, rate_hz, talker))


def _plan(found: FeedPlan, _: str) -> None:
    must(found.addresses, "a feed to nowhere")
    maybe_in(found.rate_hz, SLOWEST_HZ, FASTEST_HZ, "a rate")
    must(len(found.talker) == 2, "a talker that is none")
    for one in found.addresses:
        _address(one, "")


def _rule(found: TrackRule, _: str) -> None:
    must(parse_rule(str(found)) == found, f"{found!r} is written as {found!s}, which is another")


def _blur(found: Blur, _: str) -> None:
    most = {BlurKind.DIGITS: LARGEST_BLUR_M, BlurKind.AMBIGUITY: 4.0}.get(found.kind, 0.0)
    number_in(found.amount, 0.0, most, "an amount")


def _error_of_mark(text: str) -> tuple[str, float | None] | None:
    rest, error_m = split_error(text)
    return None if error_m is None else (rest, error_m)


def _mark_error(found: tuple[str, float | None], _: str) -> None:
    maybe_in(found[1], 0.0, 100_000.0, "an accuracy")


def _source(found: SourceName, text: str) -> None:
    must(found.text == text, "another name than the one given")
    if found.sort in {Sort.TCP, Sort.UDP}:
        number_in(found.port, 1, 65_535, "a port")


def _zone(found: Zone, _: str) -> None:
    try:
        found.moment(date(2031, 5, 4), time(14, 32))
    except OverflowError as error:
        raise AssertionError("a zone that leads out of the calendar") from error


_OPTIONS: dict[str, tuple[Callable[[str], Any], float, float]] = {
    "times": (values.times, 0.1, math.inf),
    "seconds": (values.seconds, 0.0, 86_400.0),
    "baud": (values.baud, 300, 4_000_000),
    "seed": (values.seed, 0, 10**15 - 1),
    "count": (values.count, 1, 100_000),
    "walking": (values.walking_kmh, 1.0, 8.0),
    "ambiguity": (values.ambiguity, 0, 4),
    "course": (values.course, 0.0, 360.0),
    "speed": (values.speed, 0.0, 514.0),
    "beamwidth": (values.beamwidth, 0.1, 360.0),
    "number": (values.number, -1.8e308, 1.8e308),
}


def _option(data: bytes) -> bool:
    name, _, text = typed(data).partition("=")
    if name not in _OPTIONS:
        return _day_or_clock(text)
    read_it, low, high = _OPTIONS[name]
    found = tried(lambda: read_it(text), argparse.ArgumentTypeError)
    if found is None:
        return False
    must(low <= found <= high and (math.isfinite(found) or name == "times"), f"{name} of {text!r} is {found!r}")
    return True


def _day_or_clock(text: str) -> bool:
    day = tried(lambda: values.day(text), argparse.ArgumentTypeError)
    clock = tried(lambda: values.wall_clock(text), argparse.ArgumentTypeError)
    must(day is None or 1901 <= day.year <= 2099, f"{day!r}")
    return day is not None or clock is not None


def _in(low: float, high: float, what: str) -> Callable[[Any, str], None]:
    return lambda found, _: number_in(found, low, high, what)


def _amount(found: Every, _: str) -> None:
    number_in(found.seconds or found.metres, 0.001, 4e10, "an amount")


def _climb(found: Climb, _: str) -> None:
    number_in(found[0], 0.0, 20_000.0, "a climb")
    maybe_in(found[1], 0.0, 20_000.0, "a descent")


def _latency(found: Latency, _: str) -> None:
    must(0.0 <= found.low_s < found.high_s <= LATENCY_S + 1.0, f"{found!r}")


READERS: dict[str, Reader] = {
    "frequency": Reader(
        of_text(frequency_hz, _in(1, HIGHEST_HZ, "a frequency")),
        encoded("145.600", "145,600", "145600000", "145.600.000", "10.368 GHz", "430 mhz", "1'296'000'000"),
        encoded("kHz", "GHz", "k", "m", "g", "'"),
    ),
    "shift": Reader(
        of_text(shift_hz, _shift),
        encoded("-0.6", "+", "-600 kHz", "7.6 MHz-", "dup-", "simplex"),
        encoded("kHz", "GHz", "−", "±"),
    ),
    "band": Reader(
        of_text(named_band, _band), encoded("2m", "70 cm", "430 MHz", "10 GHz", "1.25 m"), encoded("mm", "cm", "khz")
    ),
    "chapter_time": Reader(
        of_text(parse_when, _when, ValueError),
        encoded("0:04:10", "14:32:10Z", "4:10.5", "23:59:59.999Z", "2399:59:59.9"),
    ),
    "option": Reader(
        _option,
        encoded(*(f"{name}=12" for name in _OPTIONS), "times=max", "day=2031-05-04", "clock=08:30"),
        encoded("=", "max", *_OPTIONS),
    ),
    "asked_moment": Reader(
        of_text(read_moment, _moment),
        encoded(
            "14:32:10.5 UTC", "+5:00", "-30", "+1 h", "0:12:30 from start", "90 s from start", "37%", "end", "23:59:60"
        ),
        encoded("since the beginning", "after", "min", "%", "−", "Z"),
    ),
    "export_bound": Reader(
        of_text(_bound, _bounds, UsageError),
        encoded("14:32", "2031-05-04", "2031-05-04T14:32Z", "2031-05-04 14:32:10.5+05:30", "0001-01-01T00:00+23:59"),
        encoded("9999-12-31", "0001-01-01", "T", "Z", "+14:00", "-23:59:59.999999", "W01", "24:00"),
    ),
    "export_every": Reader(of_text(every, _amount, UsageError), encoded("10s", "2min", "1h", "25m", "1km")),
    "export_metres": Reader(of_text(metres, _in(0.001, 1e10, "metres"), UsageError), encoded("5m", "1km", "0.001 m")),
    "blur": Reader(of_text(parse_blur, _blur, UsageError), encoded("100m", "2km", "ambiguity:4", "locator", "none")),
    "track_rule": Reader(
        of_text(parse_rule, _rule),
        encoded("every 10 s or 25 m or 20 deg", "every 1.5 km, 2 hours", "90°"),
        encoded("or", "km", "°"),
    ),
    "symbol": Reader(of_text(symbol, _symbol, UsageError), encoded("/>", "\\L", "on foot", "car", "0!", "Z}")),
    "aprs_comment": Reader(
        of_text(_sendable, _packet, UsageError),
        encoded("/[|hello /A=000123", "car|123/456 x", "/>|PHG5132", "/-|!W5p! ünï|x", "/-|/A=-00012 ~~"),
        encoded("/A=", "!w", "PHG", "|", "T12/C34", "123/456"),
    ),
    "feed_address": Reader(
        of_text(feed_address, _address, UsageError),
        encoded(
            "tcp:10110",
            "udp://[::1]:10110/",
            "pty",
            "pty:/tmp/x",
            "serial:/dev/ttyUSB1@4800",
            "tcp:0.0.0.0:1",
            "udp::1",
        ),
        encoded("tcp", "udp", "pty", "serial", "[", "]", "@", "//", "::1%eth0", "localhost"),
    ),
    "feed_plan": Reader(
        of_text(_wish, _plan, UsageError),
        encoded("tcp:10110 pty|raw|RMC,GGA|1|", "udp:10110|rebuilt|RMC|0.5|GN", "|auto|PUBX||"),
        encoded("raw", "rebuilt", "auto", "GN", "PG", "RMC", "|"),
    ),
    "source_name": Reader(
        of_text(source_name, _source, UsageError),
        encoded("tcp://host:10110", "udp://:10110", "udp://[::1]:1", "/dev/ttyUSB0", "COM7", "-", "walk.nmea.gz"),
        encoded("tcp:", "udp:", "//", "[", "]", "/dev/", "\\\\.\\COM1", "../"),
    ),
    "mark_height": Reader(
        of_text(read_height, lambda found, _: number_in(found[0], -500.0, 9000.0, "a height")),
        encoded("123.45 ellipsoid", "98,7 m sea", "-12 msl", "+9000 e"),
    ),
    "mark_error": Reader(of_text(_error_of_mark, _mark_error), encoded("10 N 20 W +- 5 cm", "x ± 0.5m", "y; +/-12 mm")),
    "climb": Reader(of_text(parse_climb, _climb), encoded("120", "120/30", "0/0.5")),
    "latency": Reader(of_text(stated, _latency), encoded("0.2", "0.1-0.3", "1", "-0", "0-1e-1")),
    "zone": Reader(
        of_text(zone, _zone),
        encoded("UTC", "+05:30", "-12", "Pacific/Auckland", "Z", "+14:00"),
        encoded("../", "/", "Etc", "GMT", "posix"),
    ),
    "asked_times": Reader(
        of_text(read_times, _times),
        encoded("14:32, 15:10", "2031-05-04 14:32 local; T12:00Z", "0001-01-01 00:00", "9999-12-31 23:59:59.999 l"),
        encoded("local", "utc", "z", "T", "9999-12-31", "0001-01-01", ","),
    ),
}
"""The cheapest first."""


TARGETS = {f"text-{name}": Target(partial(within, one), partial(tuple, one.seeds)) for name, one in READERS.items()}

"""What a feed makes of what arrives: raw and rebuilt, thinned, labelled, void once stale; and what it may be asked."""

from __future__ import annotations

import errno
import socket
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from core.errors import InputError, UsageError
from core.feeding.address import FeedAddress, feed_address
from core.feeding.echo import comes_back
from core.feeding.held_writer import HeldWriter
from core.feeding.outlet import open_outlets
from core.feeding.plan import FeedPlan, Form, Origin, feed_plan
from core.feeding.raw import RawWriter
from core.feeding.rebuilt import LONG_PAUSE_S, PAUSE_S, RebuiltWriter
from core.feeding.refusals import refused
from core.feeding.waiting import LONGEST_S, MOST_BYTES, Waiting
from core.feeding.wish import FeedWish
from core.fix import Fix, FixMode, Position, Utc
from core.model import FixModel
from core.settings import read_settings
from core.sources.source import SourceKind, SourceState, SourceStatus
from tests.build import gga, gsa, gsv, line, lines, rmc, vtg
from tests.wire import burst

LIVE, REPLAY = Origin(SourceKind.LIVE), Origin(SourceKind.REPLAY)
NOON = 43_200.0


def plan(**wished: object) -> FeedPlan:
    return feed_plan(FeedWish(**wished))  # type: ignore[arg-type]  # tests name FeedWish's fields


def raw(data: list[tuple[float, bytes]], *, require: bool = True, **wished: object) -> bytes:
    writer = RawWriter(plan(**wished), require_checksum=require)
    return b"".join(one for at_s, piece in data for one in writer.take(piece, at_s))


def at_hz(hz: int, seconds: int, fix: bool = True) -> list[tuple[float, bytes]]:
    """Bursts of an invented receiver, by the time of their arrival."""
    return [(n / hz, burst(n / hz, fix=fix)) for n in range(hz * seconds)]


def addresses(data: bytes) -> Counter[str]:
    return Counter(one[1:6].decode("ascii") for one in data.splitlines())


def clocks(data: bytes, kind: bytes) -> list[float]:
    """Seconds after noon in the sentences of a kind."""
    found = [one.split(b",")[1].decode() for one in data.splitlines() if one[3:6] == kind]
    return [int(t[:2]) * 3600 + int(t[2:4]) * 60 + float(t[4:]) - NOON for t in found if t]


# Raw


def test_raw_is_every_accepted_sentence_as_it_was_and_nothing_else() -> None:
    good = [line(rmc(NOON)), line("PQUEN,1,2"), line("GNTXT,01,01,02,hello")]
    damaged = line(gga(NOON)).replace(b"1030", b"1031")
    tagged = b"\\c:1935662400000*52\\" + line(gga(NOON))
    malformed = line("GNRMC,noon,A,,,,,,,,,,A")
    stream = b"boot\r\n" + good[0] + damaged + b"\xb5\x62\x01$\x00" + b"\r\n" + good[1] + tagged + malformed + good[2]
    assert raw([(0.0, stream)]) == good[0] + good[1] + line(gga(NOON)) + good[2]


def test_raw_does_not_depend_on_how_the_bytes_are_cut() -> None:
    stream = burst(0) + burst(1)
    assert raw([(0.0, stream[n : n + 1]) for n in range(len(stream))]) == stream


def test_a_sentence_without_a_checksum_goes_on_only_where_the_board_takes_it() -> None:
    bare = b"$GPGLL,1030.0000,N,02015.0000,W,120000.00,A,A\r\n"
    assert raw([(0.0, bare)]) == b""
    assert raw([(0.0, bare)], require=False) == bare


def test_types_are_chosen_by_formatter_or_by_whole_address() -> None:
    stream = burst(0) + line("PQUEN,1") + line("PQUET,1")
    assert set(addresses(raw([(0.0, stream)], types="rmc, PQUEN"))) == {"GNRMC", "PQUEN"}


def test_a_datum_goes_on_whatever_was_chosen() -> None:
    stream = lines("GNDTM,P90,,0.0,N,0.0,E,0.0,W84") + burst(0)
    assert addresses(raw([(0.0, stream)], types="GGA")) == {"GNDTM": 1, "GNGGA": 1}


def test_one_hertz_of_ten_begins_on_the_second_and_has_each_sentence_of_it_once() -> None:
    found = raw(at_hz(10, 5), rate_hz=1.0)
    assert clocks(found, b"RMC") == clocks(found, b"GGA") == [0.0, 1.0, 2.0, 3.0, 4.0]
    assert addresses(found) == {"GNRMC": 5, "GNGGA": 5, "GNGSA": 5, "GPGSV": 10}


def test_a_sky_that_comes_in_another_epoch_than_the_one_chosen_is_not_lost() -> None:
    stream = []
    for n in range(30):
        sky = lines(gsv(1, 2, 5, 7, 13, 15), gsv(2, 2, 20)) if n % 10 == 7 else b""
        stream.append((n / 10, lines(rmc(NOON + n / 10), gga(NOON + n / 10)) + sky))
    assert addresses(raw(stream, rate_hz=1.0)) == {"GNRMC": 3, "GNGGA": 3, "GPGSV": 6}


def test_the_satellites_of_two_systems_before_4_10_are_two_sentences_not_one_twice() -> None:
    stream = [(n / 10, lines(rmc(NOON + n / 10), gsa(5, 7), gsa(71, 72))) for n in range(20)]
    assert addresses(raw(stream, rate_hz=1.0)) == {"GNRMC": 2, "GNGSA": 4}


def test_without_a_time_of_day_the_time_of_arrival_thins() -> None:
    stream = [(n / 10, lines(rmc(None, status="V", more="N"), gga(None, "0"))) for n in range(30)]
    assert addresses(raw(stream, rate_hz=1.0)) == {"GNRMC": 3, "GNGGA": 3}


@pytest.mark.parametrize(
    ("rate_hz", "expected"), [(2.0, [0.0, 0.5, 1.0, 1.5]), (0.5, [0.0]), (5.0, None), (50.0, None)]
)
def test_other_rates(rate_hz: float, expected: list[float] | None) -> None:
    found = clocks(raw(at_hz(10, 2), rate_hz=rate_hz), b"RMC")
    wanted = [n / min(10, rate_hz) for n in range(int(2 * min(10, rate_hz)))] if expected is None else expected
    assert found == pytest.approx(wanted)


def test_that_a_fix_is_lost_or_found_goes_on_at_once_at_any_rate() -> None:
    stream = [(n / 10, burst(n / 10, fix=n not in range(13, 18))) for n in range(30)]
    found = [one.split(b",") for one in raw(stream, rate_hz=0.1, types="RMC").splitlines()]
    assert [(one[1], one[2]) for one in found] == [
        (b"120000.00", b"A"), (b"120001.30", b"V"), (b"120001.80", b"A"),
    ]  # fmt: skip


def test_a_stream_that_makes_up_types_does_not_fill_the_memory() -> None:
    writer = RawWriter(plan(rate_hz=1.0), require_checksum=True)
    for n in range(3000):
        writer.take(line(f"PQ{n:05d},1"), 0.0)
    assert len(writer._thinner._last) <= 1000


# Rebuilt


class Rebuilt:
    """A writer with a clock of its own."""

    def __init__(self, origin: Origin = LIVE, **wished: object) -> None:
        self.writer = RebuiltWriter(plan(form="rebuilt", **wished), origin)
        self.now_s = 0.0

    def play(self, data: list[tuple[float, bytes]]) -> bytes:
        """Arrivals, with the ticks between them."""
        return b"".join(self.until(at_s) + self.arrive(piece) for at_s, piece in data)

    def arrive(self, data: bytes) -> bytes:
        return b"".join(self.writer.take(data, self.now_s))

    def until(self, at_s: float, step_s: float = PAUSE_S) -> bytes:
        out = []
        while self.now_s < at_s:
            self.now_s = min(at_s, self.now_s + step_s)
            out += self.writer.tick(self.now_s)
        return b"".join(out)


def model_of(data: bytes) -> FixModel:
    model = FixModel()
    model.feed(data, 0.0)
    return model


def fixes_of(data: bytes) -> list[Fix]:
    model = FixModel()
    return [*model.feed(data, 0.0), *model.finish()]


def essence(fix: Fix) -> tuple[object, ...]:
    """What of a Fix a rebuilt feed hands on."""
    place = fix.position and (round(fix.position.latitude_deg, 7), round(fix.position.longitude_deg, 7))
    speed = None if fix.speed_mps is None else round(fix.speed_mps, 3)
    return fix.utc, place, fix.mode, fix.dimensions, fix.altitude_m, speed, fix.course_deg, fix.used, fix.hdop


@pytest.mark.parametrize("hz", [1, 5, 10])
def test_a_second_board_makes_the_same_of_it(hz: int) -> None:
    stream = at_hz(hz, 6)
    feed = Rebuilt()
    out = feed.play(stream) + feed.until(20.0)
    before = fixes_of(b"".join(piece for _, piece in stream))
    after = [fix for fix in fixes_of(out) if fix.position is not None]
    assert [essence(fix) for fix in after] == [essence(fix) for fix in before]
    heard = [sorted(one.name for one in fix.satellites) for fix in after]
    assert heard == [sorted(one.name for one in fix.satellites) for fix in before]


def test_it_does_not_depend_on_how_the_bytes_are_cut() -> None:
    stream = at_hz(1, 4)
    whole, cut = Rebuilt(), Rebuilt()
    in_one = whole.play(stream) + whole.until(3.5)
    tiny = [(at_s, piece[n : n + 7]) for at_s, piece in stream for n in range(0, len(piece), 7)]
    assert cut.play(tiny) + cut.until(3.5) == in_one


def test_an_epoch_goes_out_when_the_line_pauses_and_only_once() -> None:
    feed = Rebuilt(types="RMC")
    feed.play(at_hz(1, 3))
    feed.until(2.9)
    feed.now_s = 3.0
    assert feed.arrive(burst(3)) == b""
    assert clocks(feed.until(3.0 + 2 * PAUSE_S), b"RMC") == [3.0]
    assert feed.until(3.9) == b""


def test_one_that_does_not_look_complete_waits_for_a_longer_pause() -> None:
    feed = Rebuilt(types="RMC")
    feed.arrive(lines(rmc(NOON)))
    assert feed.until(LONG_PAUSE_S - 0.01) == b""
    assert clocks(feed.until(LONG_PAUSE_S + 0.01), b"RMC") == [0.0]


def test_it_is_thinned_and_the_sky_between_is_not_lost() -> None:
    stream = []
    for n in range(30):
        sky = lines(gsv(1, 1, 5, 7)) if n % 10 == 7 else b""
        stream.append((n / 10, lines(rmc(NOON + n / 10), gga(NOON + n / 10), vtg()) + sky))
    feed = Rebuilt(rate_hz=1.0)
    out = feed.play(stream) + feed.until(3.2)
    assert clocks(out, b"RMC") == [0.0, 1.0, 2.0]
    assert addresses(out)["GPGSV"] == 2


def test_a_lost_fix_is_told_at_once_at_any_rate() -> None:
    feed = Rebuilt(rate_hz=0.1, types="RMC")
    stream = [(n / 10, burst(n / 10, fix=n not in range(13, 18))) for n in range(30)]
    found = [one.split(b",")[1:3] for one in feed.play(stream).splitlines()]
    assert found == [[b"120000.00", b"A"], [b"120001.30", b"V"], [b"120001.80", b"A"]]


@pytest.mark.parametrize(("hz", "stale_s"), [(10, 1.0), (1, 2.2)])
def test_a_stale_position_becomes_void_once_a_second(hz: int, stale_s: float) -> None:
    feed = Rebuilt(types="RMC")
    out = feed.play(at_hz(hz, 4))
    last_s = feed.now_s
    assert b",V," not in out + feed.until(last_s + stale_s - 0.1)
    void = feed.until(last_s + stale_s + 3.2)
    assert void == line("GNRMC,,V,,,,,,,,,,N,V") * 4
    again = feed.arrive(burst(60)) + feed.until(feed.now_s + 0.5)
    assert b",A," in again
    assert b",V," not in again.replace(b",A,V*", b"")


def test_before_anything_has_come_there_is_nothing_to_take_back() -> None:
    assert Rebuilt().until(30.0) == b""


SIMULATED = {
    "RMC": ["V", "S"],
    "GLL": ["V", "S"],
    "GGA": ["8", "00"],
    "VTG": ["S"],
    "GSA": ["1", *[""] * 12],
}
"""Status and mode, quality and satellites, mode, dimensions and satellites."""


@pytest.mark.parametrize("kind", [SourceKind.REPLAY, SourceKind.REHEARSAL, SourceKind.TRACK])
@pytest.mark.parametrize("quality", ["1", "4", "6", "7"])
def test_what_is_played_is_simulated_whatever_it_was(kind: SourceKind, quality: str) -> None:
    letter = {"1": "A", "4": "R", "6": "E", "7": "M"}[quality]
    stream = [(float(n), lines(rmc(NOON + n, more=letter), gga(NOON + n, quality), gsa(5, 7))) for n in range(3)]
    feed = Rebuilt(Origin(kind), types="RMC GGA GLL VTG GSA GSV GST ZDA")
    out = feed.play(stream) + feed.until(2.5)
    for one in out.decode().splitlines():
        field = one.split("*")[0].split(",")
        flags = {"RMC": field[2::10], "GLL": field[6:8], "GGA": field[6:8], "VTG": field[9:], "GSA": field[2:15]}
        assert flags[one[3:6]] == SIMULATED[one[3:6]], one
    assert all(not fix.is_satellite_fix for fix in fixes_of(out))
    assert model_of(out).snapshot().last_fix is None


def test_the_sky_of_a_recording_is_nobody_s_now_not_even_without_a_fix() -> None:
    stream = [(float(n), lines(rmc(NOON + n, status="V", more="N"), gsv(1, 1, 5, 7))) for n in range(3)]
    live, replay = Rebuilt(), Rebuilt(REPLAY)
    assert addresses(live.play(stream))["GPGSV"] > 0
    assert addresses(replay.play(stream))["GPGSV"] == 0


def test_what_is_played_very_fast_does_not_flood() -> None:
    feed = Rebuilt(REPLAY, types="RMC")
    out = b"".join(feed.play([(n / 1000, burst(float(n)))]) for n in range(1000))
    assert 10 <= len(clocks(out, b"RMC")) <= 21


def test_a_live_receiver_s_own_word_stays() -> None:
    for letter, quality, mode in (("E", "6", FixMode.ESTIMATED), ("R", "4", FixMode.RTK_FIXED)):
        feed = Rebuilt()
        feed.arrive(lines(rmc(NOON, more=letter), gga(NOON, quality)))
        (fix,) = fixes_of(feed.until(1.0))
        assert (fix.mode, fix.position is not None) == (mode, True)
    feed = Rebuilt()
    feed.arrive(lines(rmc(NOON, more="S"), gga(NOON, "8")))
    assert all(not fix.is_satellite_fix for fix in fixes_of(feed.until(1.0)))


def test_a_held_place_is_manual_once_a_tick() -> None:
    def fix_at(now_s: float) -> Fix:
        return Fix(Utc(int(1000 * now_s), None), Position(10.5, -20.25), FixMode.MANUAL, altitude_m=12.0, told=True)

    writer = HeldWriter(plan(types="RMC,GGA,ZDA"), fix_at)
    out = b"".join(one for n in range(3) for one in writer.take(b"\n", float(n)))
    assert addresses(out) == {"GNRMC": 3, "GNGGA": 3}
    assert out.splitlines()[0].startswith(b"$GNRMC,000000.00,V,1030.00000,N,02015.00000,W,,,,,,M,V*")
    assert b",W,7,00,,12.0,M," in out
    assert writer.tick(9.0) == []
    slow = HeldWriter(plan(rate_hz=0.5, types="RMC"), fix_at)
    assert sum(len(slow.take(b"\n", float(n))) for n in range(10)) == 5


def test_another_talker() -> None:
    feed = Rebuilt(talker="gp", types="RMC,GGA")
    feed.arrive(burst(0))
    assert set(addresses(feed.until(1.0))) == {"GPRMC", "GPGGA"}


# What is sent of what


@pytest.mark.parametrize(
    ("kind", "auto"),
    [(SourceKind.LIVE, True), (SourceKind.REPLAY, False), (SourceKind.REHEARSAL, False), (SourceKind.TRACK, False)],
)
def test_a_receiver_is_passed_on_and_a_recording_rebuilt_unless_asked_otherwise(kind: SourceKind, auto: bool) -> None:
    origin = Origin(kind)
    assert origin.is_raw(Form.AUTO) is auto
    assert origin.is_raw(Form.RAW)
    assert not origin.is_raw(Form.REBUILT)
    assert bool(origin.caution) is not auto


def test_a_held_place_has_nothing_that_could_be_passed_on() -> None:
    assert not Origin(SourceKind.HELD).is_raw(Form.RAW)
    assert "NO RECEIVER" in Origin(SourceKind.HELD).caution


# Addresses and plans


@pytest.mark.parametrize(
    ("text", "address", "is_open"),
    [
        ("tcp:10110", FeedAddress("tcp", "127.0.0.1", 10110), False),
        ("TCP://10110/", FeedAddress("tcp", "127.0.0.1", 10110), False),
        ("tcp:0.0.0.0:10110", FeedAddress("tcp", "0.0.0.0", 10110), True),
        ("tcp:localhost:1", FeedAddress("tcp", "localhost", 1), False),
        ("tcp:[::1]:65535", FeedAddress("tcp", "::1", 65535), False),
        ("tcp:[::]:10110", FeedAddress("tcp", "::", 10110), True),
        ("udp:10110", FeedAddress("udp", "127.0.0.1", 10110), False),
        ("udp://192.0.2.7:10110", FeedAddress("udp", "192.0.2.7", 10110), True),
        ("pty", FeedAddress("pty"), False),
        ("pty:/quennet/ttyQ", FeedAddress("pty", device="/quennet/ttyQ"), False),
        ("serial:/dev/ttyUSB1", FeedAddress("serial", device="/dev/ttyUSB1"), False),
        ("serial:COM7@38400", FeedAddress("serial", device="COM7", baud=38400), False),
    ],
)
def test_addresses(text: str, address: FeedAddress, is_open: bool) -> None:
    found = feed_address(text)
    assert (found, found.is_open) == (address, is_open)
    assert feed_address(found.text) == found


@pytest.mark.parametrize(
    "text",
    ["", "tcp", "tcp:", "tcp:0", "tcp:65536", "tcp:a:b:1", "tcp:1e3", "tcp:²", "udp:host", "http:80", "serial:",
     "serial:/dev/x@99", "tcp:10110\n", "tcp:\x1b[2J:1", "pty:\x00", "tcp:" + "1" * 300, "10110"],
)  # fmt: skip
def test_what_is_no_address_is_refused_with_what_would_be_right(text: str) -> None:
    with pytest.raises(UsageError, match="write"):
        feed_address(text)


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        (FeedWish(form="cooked"), "raw, rebuilt or auto"),
        (FeedWish(rate_hz=0.0), "0.01 to 50"),
        (FeedWish(rate_hz=float("nan")), "0.01 to 50"),
        (FeedWish(rate_hz=float("inf")), "0.01 to 50"),
        (FeedWish(types="RMC,$"), "no type of sentence"),
        (FeedWish(form="rebuilt", types="RMC,PUBX"), "PUBX cannot be rebuilt: RMC, VTG, GGA"),
        (FeedWish(form="raw", talker="GP"), "raw sentences keep their talker"),
        (FeedWish(talker="PQ"), "P begins a maker's own"),
        (FeedWish(talker="G"), "two letters"),
        (FeedWish(to=("tcp:1", "tcp:127.0.0.1:1")), "stands twice"),
    ],
)
def test_wishes_that_cannot_be_met_are_refused(wish: FeedWish, said: str) -> None:
    with pytest.raises(UsageError, match=said.replace("$", r"\$")):
        feed_plan(wish)


def test_without_an_address_it_is_the_usual_port_of_this_computer_alone() -> None:
    found = feed_plan(FeedWish())
    assert found.addresses == (FeedAddress("tcp", "127.0.0.1", 10110),)
    assert not found.is_open
    assert plan(to=("tcp:1", "udp:192.0.2.7:1")).is_open


# Settings


def test_settings_of_the_feed_and_of_power(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(
        '[feed]\nto = ["tcp:10110", "pty"]\nrate_hz = 1\ntypes = "RMC"\n[power]\nsaving_on_battery = true\n'
    )
    found = read_settings(path)
    assert found.feed == FeedWish(("tcp:10110", "pty"), "auto", "RMC", 1.0, "")
    assert found.power.saving_on_battery
    path.write_text('[feed]\nto = "udp:10110"\n')
    assert read_settings(path).feed.to == ("udp:10110",)
    assert not read_settings(path).power.saving_on_battery


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[feed]\nto = 10110\n", "line 2: to is 10110: an address is wanted"),
        ('[feed]\nto = ["tcp:1", 2]\n', "an address is wanted"),
        ('[feed]\nto = "tcp:0"\n', "line 1: feed is not understood: 'tcp:0' is no address"),
        ("[feed]\nrate_hz = true\n", "line 2: rate_hz is True"),
        ("[feed]\nrate_hz = 0\n", "0.01 to 50"),
        ("[feed]\ntypes = 3\n", "line 2: types is 3: words are wanted"),
        ("[feed]\nrate = 1\n", "did you mean rate_hz?"),
        ("[power]\nsaving_on_battery = 1\n", "true or false is wanted"),
    ],
)
def test_wrong_settings_are_named(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(text)
    with pytest.raises(InputError) as error:
        read_settings(path)
    assert said in str(error.value)


# What waits for a client


def takes(most: int) -> tuple[list[bytes], Callable[[bytes], int]]:
    taken: list[bytes] = []

    def write(data: bytes) -> int:
        taken.append(data[:most])
        return min(most, len(data))

    return taken, write


def test_a_client_gets_every_byte_in_order_however_little_it_takes_at_a_time() -> None:
    waiting, out = Waiting(), b""
    taken, write = takes(7)
    for n in range(50):
        waiting.add(b"line %d\r\n" % n, n / 10)
        waiting.send(write, n / 10)
    while len(waiting):
        waiting.send(write, 5.0)
    out = b"".join(taken)
    assert out == b"".join(b"line %d\r\n" % n for n in range(50))


def test_a_client_is_stuck_when_too_much_waits_or_nothing_moves_for_long() -> None:
    full = Waiting()
    full.add(b"x" * MOST_BYTES, 0.0)
    assert not full.is_stuck(0.0)
    full.add(b"x", 0.0)
    assert full.is_stuck(0.0)
    slow = Waiting()
    slow.add(b"x\r\n", 0.0)
    assert not slow.is_stuck(LONGEST_S)
    assert slow.is_stuck(LONGEST_S + 0.1)
    slow.send(lambda _: 1, LONGEST_S + 0.1)
    assert not slow.is_stuck(LONGEST_S + 0.2)
    assert not Waiting().is_stuck(1e9)


def test_what_is_shed_never_leaves_half_a_line_behind() -> None:
    waiting = Waiting()
    waiting.add(b"first\r\nsecond\r\n", 0.0)
    waiting.send(lambda _: 3, 0.0)
    waiting.shed(0.0)
    out, write = takes(100)
    waiting.send(write, 0.0)
    assert out == [b"st\r\n"]
    waiting.add(b"third\r\n", 0.0)
    waiting.shed(0.0)
    assert len(waiting) == 0


def test_the_newest_takes_the_place_of_what_waits_too_long_or_is_too_much() -> None:
    waiting = Waiting()
    assert not waiting.add_newest(b"first\r\n", 0.0, 19)
    waiting.send(lambda _: 2, 0.0)
    assert not waiting.add_newest(b"second\r\n", 0.0, 19)
    assert waiting.add_newest(b"third\r\n", 0.0, 19)
    assert waiting.add_newest(b"fourth\r\n", LONGEST_S + 0.1, 100)
    out, write = takes(100)
    waiting.send(write, LONGEST_S + 0.1)
    assert out == [b"rst\r\nfourth\r\n"]
    assert not waiting.add_newest(b"more at once than may wait\r\n", 99.0, 9)


# Going round in circles


@pytest.mark.parametrize(
    ("feed", "source", "back"),
    [
        ("tcp:10110", "tcp://127.0.0.1:10110", True),
        ("tcp:0.0.0.0:10110", "tcp://localhost:10110", True),
        ("tcp:10110", "tcp://192.0.2.7:10110", False),
        ("tcp:10111", "tcp://127.0.0.1:10110", False),
        ("udp:10110", "udp://127.0.0.1:10110", True),
        ("udp:10110", "udp://0.0.0.0:10110", True),
        ("udp:192.0.2.7:10110", "udp://127.0.0.1:10110", False),
        ("udp:10110", "tcp://127.0.0.1:10110", False),
        ("serial:/dev/ttyQ0@9600", "/dev/ttyQ0 9600 baud", True),
        ("serial:/dev/ttyQ1", "/dev/ttyQ0 9600 baud", False),
        ("pty", "/dev/ttyQ0 9600 baud", False),
    ],
)
def test_a_feed_that_would_come_back_is_known(feed: str, source: str, back: bool) -> None:
    assert comes_back(feed_address(feed), SourceStatus(SourceKind.LIVE, source, SourceState.RECEIVING)) is back


# Refusals


def test_a_port_in_use_is_said_with_what_to_do() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(InputError, match=rf"port {port} is in use .*choose another port"):
            open_outlets((feed_address(f"tcp:{port}"),))


def test_what_was_opened_before_a_refusal_is_let_go() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken, socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        free = probe.getsockname()[1]
        probe.close()
        wanted = (feed_address(f"tcp:{free}"), feed_address(f"tcp:{taken.getsockname()[1]}"))
        with pytest.raises(InputError):
            open_outlets(wanted)
        open_outlets(wanted[:1])[0].close()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("tcp:192.0.2.7:10110", "192.0.2.7 is no address of this computer: leave it out .* 0.0.0.0 for all"),
        ("pty:/nowhere/at/all/ttyQ", "the folder for /nowhere/at/all/ttyQ is not there"),
        ("serial:/dev/ttyQuennet9", "there is no such port"),
    ],
)
def test_real_refusals(text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        open_outlets((feed_address(text),))


@pytest.mark.parametrize(
    ("text", "error", "said"),
    [
        (
            "tcp:80",
            PermissionError(errno.EACCES, "denied"),
            "port 80 needs administrator rights: choose one above 1023",
        ),
        ("tcp:10110", PermissionError(errno.EACCES, "denied"), "not allowed on this computer"),
        ("udp:quennet.invalid:10110", socket.gaierror(-2, "unknown"), "no computer of the name quennet.invalid"),
        ("tcp:quennet.invalid:10110", socket.gaierror(-2, "unknown"), "no address of this computer"),
        ("serial:/dev/ttyQ0", PermissionError(errno.EACCES, "denied"), "dialout"),
        ("serial:/dev/ttyQ0", OSError(errno.EBUSY, "busy"), "is in use by"),
        ("pty", OSError(errno.ENOSYS, "none"), "use tcp:10110"),
        ("tcp:10110", OSError(errno.EIO, "odd"), "it cannot be opened (odd)"),
    ],
)
def test_every_refusal_says_what_to_do(text: str, error: OSError, said: str) -> None:
    told = str(refused(feed_address(text), error))
    assert told.startswith(f"feed {feed_address(text).text}: ")
    assert said in told

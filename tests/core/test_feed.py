"""What a feed makes of what arrives: raw and rebuilt, thinned, labelled, void once stale; and what it may be asked."""

from __future__ import annotations

import pytest

from core.feeding.held_writer import HeldWriter
from core.feeding.plan import Form, Origin
from core.feeding.raw import RawWriter
from core.feeding.rebuilt import LONG_PAUSE_S, PAUSE_S, RebuiltWriter
from core.fix import Fix, FixMode, Position, Utc
from core.model import FixModel
from core.sources.source import SourceKind
from tests.build import gga, gsa, gsv, line, lines, rmc, vtg
from tests.feeds import LIVE, NOON, REPLAY, addresses, at_hz, clocks, plan, raw
from tests.wire import burst

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

"""Latencies: stated, learned, kept on the disk under the receiver, and what a damaged file does."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from core.errors import InputError
from core.latency import ASSUMED, Basis, Latency, LineName, ReceiverKey, learned, line_name, nothing_learned, stated
from core.latency_file import LatencyFile, LearnedLatencies
from core.sources.clocks import network_keeps_time, read_clocks
from core.sources.line_identity import LineIdentity
from core.sources.ports import Port
from core.sources.source import SourceKind, SourceState, SourceStatus
from tests.station import Station, watch

KEY = ReceiverKey("usb 1234:0001 Q7", 9600, "GGA GSA RMC")
LEARNED = Latency(0.11, 0.31, Basis.LEARNED, "2031-05-04")


@pytest.mark.parametrize(("text", "bounds"), [
    ("0.2", (0.15, 0.25)), ("0", (0.0, 0.05)), ("0.1-0.3", (0.1, 0.3)), ("0-2", (0.0, 2.0)),
])  # fmt: skip
def test_what_is_stated_is_a_figure_with_a_margin_or_a_range(text: str, bounds: tuple[float, float]) -> None:
    assert stated(text)[:2] == pytest.approx(bounds)


@pytest.mark.parametrize("text", ["", "x", "-0.2", "2.5", "nan", "inf", "0.3-0.1", "0.1-0.1", "0.1-0.2-0.3", "1e-3"])
def test_nonsense_is_refused_with_what_is_wanted(text: str) -> None:
    with pytest.raises(InputError, match="latenc"):
        stated(text)


def test_what_is_learned_has_room_for_network_time_and_for_other_days() -> None:
    assert learned(0.21, "2031-05-04")[:2] == pytest.approx((0.11, 0.31))
    assert learned(0.02, "2031-05-04").low_s == 0.0


@pytest.mark.parametrize("delay_s", [-0.2, 2.1, 3600.0])
def test_what_cannot_be_a_latency_is_not_learned(delay_s: float) -> None:
    with pytest.raises(InputError, match="nothing is learned"):
        learned(delay_s, "2031-05-04")


@pytest.mark.parametrize(("name", "found"), [
    ("/dev/ttyQ0 9600 baud", LineName("/dev/ttyQ0", 9600)),
    ("COM7 115200 baud", LineName("COM7", 115_200)),
    ("/dev/ttyQ0", LineName("/dev/ttyQ0", None)),
    ("tcp://q.invalid:10110", LineName("tcp://q.invalid:10110", None)),
])  # fmt: skip
def test_the_name_of_a_source_tells_port_and_speed(name: str, found: LineName) -> None:
    assert line_name(name) == found


def test_a_receiver_is_known_by_its_usb_identity_whatever_its_port_is_called() -> None:
    ports = [Port("/dev/ttyQ3", "", 0x1234, 1, "Q7"), Port("/dev/ttyQ4", "", 0x1234, 2, None, "1-2")]

    def named(name: str) -> LineName:
        return LineIdentity(lambda: SourceStatus(SourceKind.LIVE, name, SourceState.RECEIVING), lambda: ports)()

    assert named("/dev/ttyQ3 9600 baud") == ("usb 1234:0001 Q7", 9600)
    assert named("/dev/ttyQ4 9600 baud") == ("usb 1234:0002 in socket 1-2", 9600)
    assert named("/dev/ttyQ9 4800 baud") == ("/dev/ttyQ9", 4800)


# On the disk


def test_what_is_kept_is_found_again_under_the_same_receiver_speed_and_sentences(tmp_path: Path) -> None:
    file = LatencyFile(tmp_path / "new" / "latency.json")
    assert file.find(KEY) is None
    file.keep(KEY, LEARNED)
    file.keep(KEY._replace(baud=4800), LEARNED._replace(high_s=0.5))
    assert file.find(KEY) == LEARNED
    assert file.find(KEY._replace(sentences="GGA RMC")) is None


@pytest.mark.parametrize("content", [b"{", b"[]", b"\xff\xfe", b"[" * 100_000])
def test_a_damaged_file_is_named_and_never_overwritten(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "latency.json"
    path.write_bytes(content)
    for step in (LatencyFile(path).find, lambda key: LatencyFile(path).keep(key, LEARNED)):
        with pytest.raises(InputError, match=r"latency\.json"):
            step(KEY)
    assert path.read_bytes() == content


@pytest.mark.parametrize("entry", [
    None, 3, {},
    {"low_s": 0.3, "high_s": 0.1, "learned_on": "2031-05-04"}, {"low_s": 0.1, "high_s": 9, "learned_on": "2031-05-04"},
    {"low_s": True, "high_s": 0.2, "learned_on": "2031-05-04"}, {"low_s": 0.1, "high_s": 0.2, "learned_on": "\x1b[31m"},
    {"low_s": float("nan"), "high_s": 0.2, "learned_on": "2031-05-04"},
])  # fmt: skip
def test_an_entry_that_is_no_latency_is_no_latency(tmp_path: Path, entry: object) -> None:
    path = tmp_path / "latency.json"
    path.write_text(json.dumps({KEY.text: entry}), encoding="utf-8")
    asked = LearnedLatencies(LatencyFile(path))
    assert asked(KEY) is None
    assert bool(asked.trouble) == (entry is not None)


def test_the_meter_uses_what_was_learned_with_this_receiver_and_bounds_the_sentence_by_it() -> None:
    station = Station(0.1, 0.2)
    delay_s = watch(Station(0.0, 0.2)).last.delay_s
    assert delay_s is not None
    taught = learned(delay_s, "2031-05-04")
    found = watch(station, learned=lambda key: taught if key.baud == 9600 else None).last
    assert found.latency is taught
    assert found.low_s is not None
    assert found.high_s is not None
    assert found.low_s < 0.1 < found.high_s
    assert found.high_s - found.low_s < 0.26
    assert watch(station, learned=nothing_learned).last.latency is ASSUMED


# The system


@pytest.mark.parametrize(("answer", "keeps"), [("yes\n", True), ("no\n", False), ("", None), (None, None), ("?", None)])
def test_whether_network_time_keeps_the_clock_is_what_the_system_says(answer: str | None, keeps: bool | None) -> None:
    assert network_keeps_time(lambda _: answer) is keeps


def test_both_clocks_are_read_and_go_on() -> None:
    first, second = read_clocks(), read_clocks()
    assert second.monotonic_s >= first.monotonic_s
    assert first.unix_s > 1_700_000_000

"""Which second a burst names, and when its first byte came: order of sentences, pieces, noise, stamps of recordings."""

from __future__ import annotations

from itertools import pairwise

import pytest

from core.burst import BurstReader, StampedSecond
from core.nmea.tagging import tag_block
from tests.build import gga, gsa, gsv, line, lines, rmc, zda

SKY = lines(gsv(1, 2, 5, 7, 13, 15), gsv(2, 2, 20, 24))


def read(*arrivals: tuple[float, bytes], by_stamps: bool = False) -> list[StampedSecond]:
    reader = BurstReader(by_stamps=by_stamps)
    return [second for at_s, data in arrivals for second in reader.feed(data, at_s)]


def times(found: list[StampedSecond]) -> list[tuple[int, float, float]]:
    return [(second.time_ms // 1000, second.sentence_s, second.burst_s) for second in found]


def test_of_the_first_second_the_beginning_may_have_been_missed() -> None:
    assert times(read((10.2, lines(rmc(1), gga(1))), (11.2, lines(rmc(2))))) == [(2, 11.2, 11.2)]


def test_a_second_is_named_once_by_whatever_names_it_first() -> None:
    found = read((10.2, lines(rmc(1), gga(1))), (11.2, lines(gga(2))), (11.3, lines(rmc(2))), (12.2, lines(gga(3))))
    assert [(second.time_ms, second.named_by) for second in found] == [(2000, "GGA"), (3000, "GGA")]


def test_a_sentence_in_pieces_came_when_its_first_byte_came() -> None:
    sentence = line(rmc(2))
    found = read((10.2, lines(rmc(1))), (11.2, sentence[:1]), (11.21, sentence[1:40]), (11.25, sentence[40:]))
    assert times(found) == [(2, 11.2, 11.2)]


def test_blanks_and_noise_before_a_sentence_say_nothing_of_it() -> None:
    for noise in (b"\x00\x00", b"   ", b"\xb5\x62\x01", b"$GPGS", b"\r\n\x00"):
        found = read((10.2, lines(rmc(1)) + noise), (11.2, line(rmc(2))))
        assert [second.sentence_s for second in found] == [11.2]


def test_satellites_in_view_before_the_fix_begin_the_burst_but_do_not_name_its_second() -> None:
    found = read((10.2, SKY + lines(rmc(1))), (11.2, SKY[:60]), (11.3, SKY[60:]), (11.4, lines(rmc(2))))
    assert times(found) == [(2, 11.4, 11.2)]


def test_satellites_that_come_late_and_by_themselves_begin_it_only_if_the_longest_pause_is_before_them() -> None:
    late = read((10.1, lines(rmc(1), gga(1))), (10.4, SKY), (11.1, lines(rmc(2))))
    assert times(late) == [(2, 11.1, 11.1)]
    early = read((10.1, lines(rmc(1), gga(1))), (10.9, SKY), (11.1, lines(rmc(2))))
    assert times(early) == [(2, 11.1, 10.9)]


def test_ten_seconds_tenths_in_one_piece_all_came_with_it() -> None:
    found = read((10.0, lines(rmc(1.0))), (10.3, lines(*(rmc(1.0 + n / 10) for n in (1, 2, 3)))))
    assert [(second.time_ms, second.sentence_s, second.burst_s) for second in found] == [
        (1100, 10.3, 10.3),
        (1200, 10.3, 10.3),
        (1300, 10.3, 10.3),
    ]


def test_damaged_sentences_name_nothing() -> None:
    damaged = line(rmc(2)).replace(b",A,", b",V,", 1)
    assert read((10.2, lines(rmc(1))), (11.2, damaged), (12.2, line(rmc(3))))[0].time_ms == 3000


def test_a_zda_counts_only_where_no_fix_sentence_has_a_time() -> None:
    found = read((10.2, lines(zda(1))), (11.2, lines(zda(2))), (11.3, lines(rmc(2))), (12.1, lines(zda(3))))
    assert [(second.time_ms, second.named_by, second.sentence_s, second.burst_s) for second in found] == [
        (2000, "ZDA", 11.2, 11.2),
        (2000, "RMC", 11.3, 11.2),
        (3000, "ZDA", 12.1, 12.1),
    ]


def test_cut_anywhere_the_same_seconds_are_named() -> None:
    stream = b"".join(SKY + lines(rmc(n), gga(n), gsa(5, 7)) for n in range(4))
    whole = [second.time_ms for second in read((1.0, stream))]
    for size in (1, 7, 50, 333):
        cut = [(1.0, stream[at : at + size]) for at in range(0, len(stream), size)]
        assert [second.time_ms for second in read(*cut)] == whole == [1000, 2000, 3000]


def test_the_pause_is_what_is_left_of_silence_over_the_usual_one_between_pieces() -> None:
    arrivals = [(10.0 + n / 10, piece) for n, piece in enumerate((lines(rmc(1)), SKY[:30], SKY[30:]))]
    found = read(*arrivals, (11.0, lines(rmc(2))))
    assert found[0].pause_s == pytest.approx(0.8 - 0.1)


def test_a_line_that_never_rests_has_no_pause() -> None:
    stream = b"".join(lines(rmc(n)) + SKY for n in range(6))
    arrivals = [(at / 100, stream[at : at + 10]) for at in range(0, len(stream), 10)]
    assert all(second.pause_s == pytest.approx(0.0, abs=1e-6) for second in read(*arrivals))


def test_bytes_are_counted_from_second_to_second() -> None:
    burst = [lines(rmc(n)) + SKY for n in range(5)]
    found = read(*((10.0 + n, data) for n, data in enumerate(burst)))
    assert {second.size for second in found} == {len(burst[0])}


def stamped(unix_ms: int, body: str) -> bytes:
    return tag_block(unix_ms) + line(body)


def test_in_a_recording_the_stamps_are_the_arrivals() -> None:
    data = stamped(1_000_250, rmc(1)) + stamped(1_001_150, gsv(1, 1, 5)) + stamped(1_001_250, rmc(2))
    assert times(read((77.0, data), by_stamps=True)) == [(2, 1001.25, 1001.15)]


def test_a_recording_without_stamps_has_no_arrivals() -> None:
    reader = BurstReader(by_stamps=True)
    assert reader.feed(lines(rmc(1), rmc(2), rmc(3)), 5.0) == []
    assert reader.now_s is None


@pytest.mark.parametrize(("stamps", "resolution_s"), [
    ((1_000_000, 1_001_000), 1.0), ((1_000_100, 1_001_000), 0.1),
    ((1_000_120, 1_001_100), 0.01), ((1_000_123, 1_001_000), 0.001),
])  # fmt: skip
def test_stamps_are_as_coarse_as_the_finest_of_them(stamps: tuple[int, int], resolution_s: float) -> None:
    reader = BurstReader(by_stamps=True)
    for n, unix_ms in enumerate(stamps):
        reader.feed(stamped(unix_ms, rmc(n)), 0.0)
    assert reader.resolution_s == resolution_s


def test_a_stream_without_line_ends_or_of_made_up_types_does_not_fill_the_memory() -> None:
    reader = BurstReader()
    for n in range(2000):
        reader.feed(b"$GP" + b"x" * 500, float(n))
        reader.feed(line(f"GP{chr(65 + n % 26)}{chr(65 + n // 26 % 26)}A,1"), float(n))
    assert len(reader._line) <= 4096
    assert len(reader.formatters.split()) <= 32
    assert all(a < b for a, b in pairwise(reader.formatters.split()))

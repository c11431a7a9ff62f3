"""Recordings as files: how they open, what they are cut into, and what is said where they cannot be read."""

from __future__ import annotations

import gzip
import os
import tracemalloc
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import core.sources.recording as module
from core.errors import InputError
from core.sources.recording import BLOCK, LONGEST_LINE, Piece, open_recording
from tests.build import clock, gga, gll, gst, gsv, line, lines, rmc, sentence, xor_of
from tests.recordings import FOLDER

DATA = Path(__file__).parents[1] / "data" / "synthetic"
FILES = sorted(path for folder in (DATA, FOLDER) if folder.is_dir() for path in folder.glob("*.*"))
NO_TIME = "GNGGA,,,,,,0,00,,,M,,M,,"


def pieces_of(path: Path) -> list[Piece]:
    recording = open_recording(path)
    try:
        return list(recording.pieces())
    finally:
        recording.close()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "walk.nmea"


def cut(file: Path, data: bytes) -> list[Piece]:
    """The pieces of a file of this content."""
    file.write_bytes(data)
    return pieces_of(file)


def times(pieces: list[Piece]) -> list[float]:
    return [piece.at_s for piece in pieces]


def stamped(stamp: str, body: str) -> bytes:
    return f"{stamp}{sentence(body)}\r\n".encode()


def tagged(value: str, body: str) -> bytes:
    return stamped(f"\\c:{value}*{xor_of(f'c:{value}'):02X}\\", body)


# Sentences that have no time are passed over at a glance

LINES = st.sampled_from([
    line(rmc(10.0)), line(rmc(11.0)), line(gll(11.0)), b"$GPGLL,000011.00,N,1,E,000012.00,A\n", line(gst(11.0)),
    b"$gpGGA,000011.00,\n", line(gga(11.0)), line(gga(12.5), end="\r"), line(NO_TIME), line(gsv(1, 1, 1, 2)),
    b"$GPGSV,1,1,01!GNRMC,000014.00,A\n", b"!GPGSV,$GNRMC,000015.00,A\r\n", b"$GPGSV", b"\r\n", b"\n", b"noise\r",
    tagged("1990000000", gga(13.0)), tagged("1990000001", gsv(1, 1, 3)), b"00:00:16 $GPGSA,A,1\n", b"$GPVTG,,,\n",
])  # fmt: skip


@given(st.lists(LINES, max_size=30))
def test_passing_over_them_changes_nothing(tmp_path_factory: pytest.TempPathFactory, given_lines: list[bytes]) -> None:
    file, data = tmp_path_factory.getbasetemp() / "glance.nmea", b"".join(given_lines)
    quick = cut(file, data)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "_WITHOUT_TIME", frozenset())
        assert cut(file, data) == quick
    assert b"".join(piece.data for piece in quick) == data


# Nothing is lost


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_the_pieces_of_a_recording_make_up_its_bytes_and_its_time_never_goes_back(path: Path) -> None:
    pieces = pieces_of(path)
    assert b"".join(piece.data for piece in pieces) == path.read_bytes()
    assert all(a.at_s <= b.at_s for a, b in pairwise(pieces))
    assert pieces[0].at_s == 0.0
    assert all(piece.data for piece in pieces)


def test_there_are_recordings_to_look_at() -> None:
    assert len(FILES) > 30


PARTS = st.one_of(
    st.binary(max_size=30),
    st.sampled_from([b"\r", b"\n", b"\r\n", b"\r\r\n", b"$", b"!", b"$GPGGA,", b"\\c:1*5A\\", b"\x00", b"2031-05-04T"]),
    st.builds(lambda s: line(rmc(s)), st.integers(0, 86_399)),
    st.builds(lambda s, body: tagged(str(s), body), st.integers(0, 2**40), st.just(NO_TIME)),
    st.builds(lambda s: stamped(f"2031-05-04T{clock(s)[:2]}:00:00Z ", gga(s)), st.integers(0, 86_399)),
)


@given(st.lists(PARTS, max_size=40))
def test_the_pieces_of_any_bytes_make_them_up_again(
    tmp_path_factory: pytest.TempPathFactory, parts: list[bytes]
) -> None:
    data = b"".join(parts)
    # The two bytes that would make it gzip are another matter.
    pieces = cut(tmp_path_factory.getbasetemp() / "any.nmea", b" " + data)
    assert b"".join(piece.data for piece in pieces) == b" " + data
    assert all(a.at_s <= b.at_s for a, b in pairwise(pieces))


@pytest.mark.parametrize("end", ["\r", "\n", "\r\n", "\r\r\n", "\n\n"])
def test_any_line_end_gives_one_piece_an_epoch(file: Path, end: str) -> None:
    data = b"".join(lines(rmc(n), gga(n), end=end) for n in range(5))
    pieces = cut(file, data)
    assert times(pieces) == [0.0, 1.0, 2.0, 3.0, 4.0]
    assert b"".join(piece.data for piece in pieces) == data


@pytest.mark.parametrize("block", [1, 2, 7, 100])
def test_how_the_file_is_read_makes_no_difference(file: Path, block: int, monkeypatch: pytest.MonkeyPatch) -> None:
    data = b"".join(lines(rmc(n), gga(n)) for n in range(20))
    whole = cut(file, data)
    monkeypatch.setattr(module, "BLOCK", block * 100)
    read = [data[n : n + block] for n in range(0, len(data), block)]
    recording = open_recording(file)
    monkeypatch.setattr(recording, "blocks", lambda: iter(read))
    found = list(recording.pieces())
    recording.close()
    assert sorted({piece.at_s for piece in found}) == times(whole)
    assert b"".join(piece.data for piece in found) == data


# gzip


def test_gzip_is_known_by_its_bytes_whatever_its_name(file: Path) -> None:
    data = b"".join(lines(rmc(n), gga(n)) for n in range(3000))
    plain = cut(file, data)
    file.write_bytes(gzip.compress(data))
    assert pieces_of(file) == plain


def test_gzip_files_joined_together_are_read_to_the_end(file: Path) -> None:
    first, second = lines(rmc(1), gga(1)), lines(rmc(2), gga(2))
    file.write_bytes(gzip.compress(first) + gzip.compress(second) + b"\x00" * 100)
    assert pieces_of(file) == [Piece(first, 0.0), Piece(second, 1.0)]


@pytest.mark.parametrize(
    "damage",
    [
        lambda data: data[:-1],
        lambda data: data[: len(data) // 2],
        lambda data: data[:11],
        lambda data: data[:3],
        lambda data: data[:100] + bytes(50) + data[150:],
        lambda data: data[:-8] + bytes(8),
        lambda data: data + b"something else",
        lambda data: b"\x1f\x8b" + b"\xff" * 500,
    ],
    ids=["last byte", "half", "header", "three bytes", "middle", "checksum", "rest", "garbage"],
)
def test_damaged_gzip_is_said_by_name(file: Path, damage: object) -> None:
    assert callable(damage)
    file.write_bytes(damage(gzip.compress(b"".join(lines(rmc(n), gga(n)) for n in range(500)))))
    with pytest.raises(InputError, match=r"walk\.nmea cannot be read beyond this point.*damaged"):
        pieces_of(file)


@given(st.binary(max_size=300))
def test_any_bytes_behind_a_gzip_mark_give_pieces_or_an_input_error(
    tmp_path_factory: pytest.TempPathFactory, data: bytes
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.gz"
    path.write_bytes(b"\x1f\x8b\x08" + data)
    try:
        found = pieces_of(path)
    except InputError as error:
        assert "any.gz" in str(error)
    else:
        assert all(piece.data for piece in found)


def test_the_sound_part_of_a_truncated_file_comes_first(file: Path) -> None:
    data = os.urandom(300_000)  # does not compress: blocks come out before the end is missed
    file.write_bytes(gzip.compress(data)[:200_000])
    recording, found = open_recording(file), []
    with pytest.raises(InputError):
        for block in recording.blocks():
            found.append(block)  # noqa: PERF402  # extend would keep nothing of what came before the error
    recording.close()
    assert data.startswith(b"".join(found))
    assert len(b"".join(found)) > BLOCK


# Times


def test_the_times_of_the_sentences_are_the_clock(file: Path) -> None:
    pieces = cut(file, b"".join(lines(rmc(s), gga(s)) for s in (10, 10.2, 10.4, 15, 15.2)))
    assert times(pieces) == pytest.approx([0.0, 0.2, 0.4, 5.0, 5.2])


def test_midnight_is_no_obstacle(file: Path) -> None:
    pieces = cut(file, b"".join(lines(rmc(s)) for s in (86_398, 86_399, 0, 1)))
    assert times(pieces) == [0.0, 1.0, 2.0, 3.0]


def test_the_leap_second_counts(file: Path) -> None:
    pieces = cut(file, b"".join(lines(rmc(s)) for s in (86_399, 86_400, 0, 1)))
    assert times(pieces)[:2] == [0.0, 1.0]
    assert len(pieces) in {3, 4}
    assert times(pieces)[-1] <= 4.0


@pytest.mark.parametrize("back", [1, 60, 3600, 40_000])
def test_a_clock_set_back_counts_one_second(file: Path, back: int) -> None:
    pieces = cut(file, b"".join(lines(rmc(s)) for s in (50_000, 50_001, 50_001 - back, 50_002 - back)))
    assert times(pieces) == [0.0, 1.0, 2.0, 3.0]


def test_a_step_of_half_a_day_or_more_counts_one_second(file: Path) -> None:
    assert times(cut(file, lines(rmc(0), rmc(43_199)))) == [0.0, 43_199.0]
    assert times(cut(file, lines(rmc(0), rmc(43_200)))) == [0.0, 1.0]


def test_before_the_receiver_knows_the_time_each_round_is_a_second(file: Path) -> None:
    one = lines(rmc(None, status="V", more="N"), NO_TIME, gsv(1, 1, 5))
    pieces = cut(file, one * 4 + lines(rmc(100), gga(100)) + lines(rmc(101)))
    assert times(pieces)[:4] == [0.0, 1.0, 2.0, 3.0]
    assert times(pieces)[-1] - times(pieces)[-2] == 1.0
    assert pieces[0].data == one


def test_a_banner_belongs_to_what_follows(file: Path) -> None:
    pieces = cut(file, b"a banner\r\n\r\n" + lines(rmc(1)) + b"# remark\n" + lines(rmc(2)))
    assert [piece.data[:8] for piece in pieces] == [b"a banner", b"$GNRMC,0"]


@pytest.mark.parametrize(("first", "second", "step"), [("1936", "1938", 2.0), ("1936000000", "1936000003", 3.0)])
def test_tag_blocks_in_seconds(file: Path, first: str, second: str, step: float) -> None:
    assert times(cut(file, tagged(first, NO_TIME) + tagged(first, NO_TIME) + tagged(second, NO_TIME))) == [0.0, step]


def test_tag_blocks_in_milliseconds(file: Path) -> None:
    data = b"".join(tagged(f"19360000000{n}", NO_TIME) for n in ("00", "50", "99"))
    assert times(cut(file, data)) == pytest.approx([0.0, 0.05, 0.099])


def test_a_tag_block_with_a_wrong_checksum_has_no_time(file: Path) -> None:
    data = stamped("\\c:1936000000*00\\", rmc(1)) + stamped("\\c:1936000009*00\\", rmc(2))
    assert times(cut(file, data)) == [0.0, 1.0]


@pytest.mark.parametrize(
    ("first", "second", "step"),
    [
        ("2031-05-04T12:00:00Z ", "2031-05-04T12:00:01.500Z ", 1.5),
        ("2031-05-04 12:00:00,250 ", "2031-05-04 12:00:01,000 ", 0.75),
        ("2031-05-04T12:00:00+02:00 ", "2031-05-04T10:00:04Z ", 4.0),
        ("[2031-12-31T23:59:59] ", "[2032-01-01T00:00:01] ", 2.0),
        # Set back by the host: a second.
        ("2031-05-04T12:00:00Z ", "2031-05-04T11:00:00Z ", 1.0),
    ],
)
def test_host_times_are_the_clock_and_those_of_the_sentences_are_not(
    file: Path, first: str, second: str, step: float
) -> None:
    data = stamped(first, rmc(10)) + stamped(first, gga(99)) + stamped(second, rmc(5000))
    assert times(cut(file, data)) == pytest.approx([0.0, step])


def test_times_out_of_any_calendar_are_not_times(file: Path) -> None:
    data = tagged("9" * 15, NO_TIME) + stamped("2031-13-45T99:99:99Z ", NO_TIME) + lines("GNRMC,256161,V,,,,,,,,,,N")
    assert all(piece.at_s <= 2.0 for piece in cut(file, data))


# Memory


@pytest.mark.parametrize("data", [b"x", b"\x00", b"$", b"$GPGSV,1,1,00*79\r\n", b"\r\n", b"\r", b"ab\n"])
def test_without_times_or_line_ends_pieces_stay_small(file: Path, data: bytes) -> None:
    pieces = cut(file, data * (1_000_000 // len(data)))
    assert sum(len(piece.data) for piece in pieces) == file.stat().st_size
    assert max(len(piece.data) for piece in pieces) <= 2 * BLOCK + LONGEST_LINE


def test_a_large_file_without_line_ends_does_not_fill_the_memory(file: Path) -> None:
    size = 16_000_000
    file.write_bytes(bytes(size))
    recording = open_recording(file)
    tracemalloc.start()
    total = sum(len(piece.data) for piece in recording.pieces())
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    recording.close()
    assert total == size
    assert peak < size / 16


# Opening


def test_how_much_has_been_read(file: Path) -> None:
    file.write_bytes(b"x" * BLOCK * 4)
    recording = open_recording(file)
    assert recording.fraction == 0.0
    blocks = recording.blocks()
    next(blocks)
    assert 0.0 < recording.fraction < 1.0
    assert sum(map(len, blocks)) == 3 * BLOCK
    assert recording.fraction == 1.0
    recording.close()
    assert recording.fraction == 1.0


def test_an_empty_file_is_a_recording_of_nothing(file: Path) -> None:
    assert cut(file, b"") == []
    recording = open_recording(file)
    assert recording.fraction == 1.0
    recording.close()


def test_a_missing_file_is_said_with_what_to_do(file: Path) -> None:
    with pytest.raises(InputError, match=r"there is no file .*walk\.nmea: check the name"):
        open_recording(file)


def test_a_folder_is_said_with_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is a folder: name one recording in it"):
        open_recording(tmp_path)


def test_below_a_file_there_is_nothing(file: Path) -> None:
    file.write_bytes(b"")
    with pytest.raises(InputError, match="cannot be opened"):
        open_recording(file / "walk.nmea")


def test_an_impossible_name_is_said() -> None:
    with pytest.raises(InputError, match="cannot be opened"):
        open_recording(Path("a\0b"))
    with pytest.raises(InputError, match="cannot be opened"):
        open_recording(Path("x" * 5000))


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_that_may_not_be_read_is_said(file: Path) -> None:
    file.write_bytes(b"")
    file.chmod(0)
    with pytest.raises(InputError, match="may not be read by this user: change its permissions"):
        open_recording(file)


def test_a_refusal_by_the_system_is_said(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    file.write_bytes(b"")
    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(InputError, match="may not be read by this user: change its permissions"):
        open_recording(file)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_what_is_no_file_is_refused_before_it_is_opened(file: Path) -> None:
    os.mkfifo(file)
    with pytest.raises(InputError, match="is a pipe or device, not a file"):
        open_recording(file)
    with pytest.raises(InputError, match="is a pipe or device, not a file"):
        open_recording(Path("/dev/zero"))

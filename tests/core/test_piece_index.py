"""Where in a recording which moment is, against reading all of it plainly."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import core.sources.piece_index
from core.errors import InputError
from core.sources.piece_index import PieceIndex
from core.sources.recording import Piece, open_recording
from tests.build import gga, lines, rmc


def recording(path: Path, *seconds: float) -> Path:
    path.write_bytes(b"".join(lines(rmc(s % 86_400), gga(s % 86_400)) for s in seconds))
    return path


def indexed(path: Path) -> PieceIndex:
    index, opened = PieceIndex(), open_recording(path)
    index.build(opened, lambda: False)
    opened.close()
    return index


def pieces(path: Path) -> list[Piece]:
    opened = open_recording(path)
    found = list(opened.pieces())
    opened.close()
    return found


@pytest.mark.parametrize("packed", [False, True])
def test_every_entry_leads_to_its_piece_and_all_after_it(tmp_path: Path, packed: bool) -> None:
    path = recording(tmp_path / "walk.nmea", *range(0, 300, 7), *range(40_000, 40_200))
    if packed:
        path.write_bytes(gzip.compress(path.read_bytes()))
    index, wanted = indexed(path), pieces(path)
    opened = open_recording(path)
    assert len(index._entries) > 5
    for entry in reversed(index._entries):
        opened.go_to(entry.mark)
        rest = list(opened.pieces())
        assert rest == wanted[-len(rest) :]
        assert rest[0].at_s == entry.at_s
    opened.close()


def test_each_mark_of_a_recording_goes_on_as_if_all_had_been_read(tmp_path: Path) -> None:
    path = tmp_path / "odd.nmea"
    timeless = b"".join(lines(rmc(None, status="V"), gga(None, "0")) for _ in range(5))
    path.write_bytes(
        b"noise\r\n\r\n" + timeless + recording(tmp_path / "x", 5, 6, 90, 91, 3, 4).read_bytes() + b"$GPRMC,1"
    )
    opened, wanted = open_recording(path), pieces(path)
    marks = [opened.mark()]
    marks += [opened.mark() for _ in opened.pieces()]
    assert len(wanted) > 8
    for number, mark in reversed(list(enumerate(marks))):
        opened.go_to(mark)
        assert list(opened.pieces()) == wanted[number:]
    opened.close()


@given(st.lists(st.integers(1, 400), min_size=1, max_size=60), st.integers(0, 86_399), st.data())
def test_a_time_of_day_is_found_where_it_first_is(
    tmp_path_factory: pytest.TempPathFactory, steps: list[int], begin: int, data: st.DataObject
) -> None:
    seconds = [begin]
    for step in steps:
        seconds.append(seconds[-1] + step)
    path = recording(tmp_path_factory.getbasetemp() / "index.nmea", *seconds)
    index = indexed(path)
    after_s = data.draw(st.sampled_from(seconds)) - begin
    wanted = data.draw(st.sampled_from([one for one in seconds if one - begin >= after_s]))
    found = index.moment_of(wanted % 86_400 * 1000, float(after_s))
    first = next(one - begin for one in seconds if one - begin >= after_s and one % 86_400 == wanted % 86_400)
    assert found == pytest.approx(first)


def test_a_time_that_does_not_occur_is_none(tmp_path: Path) -> None:
    index = indexed(recording(tmp_path / "walk.nmea", *range(100, 200)))
    assert index.moment_of(99_000, 0.0) is None
    assert index.moment_of(201_000, 0.0) is None
    assert index.moment_of(150_000, 60.0) is None
    assert index.moment_of(150_000, 50.0) == 50.0


def test_a_clock_set_back_makes_a_second_moment_of_the_same_time(tmp_path: Path) -> None:
    index = indexed(recording(tmp_path / "back.nmea", *range(100, 200), *range(100, 200)))
    assert index.moment_of(150_000, 0.0) == 50.0
    assert index.moment_of(150_000, 51.0) == pytest.approx(150.0, abs=31.0)


def test_without_any_times_there_is_no_length_and_no_moment(tmp_path: Path) -> None:
    path = tmp_path / "timeless"
    path.write_bytes(b"plain text\n" * 50_000)
    index = indexed(path)
    assert index.duration_s == 0.0
    assert index.moment_of(0, 0.0) is None


def test_an_empty_recording_is_known_to_be_empty(tmp_path: Path) -> None:
    (tmp_path / "empty").write_bytes(b"")
    index = indexed(tmp_path / "empty")
    assert (index.duration_s, index.fraction, index.before(5.0)) == (0.0, 1.0, None)


def test_a_damaged_recording_ends_at_the_damage(tmp_path: Path) -> None:
    path = recording(tmp_path / "cut.nmea", *range(4000))
    path.write_bytes(gzip.compress(path.read_bytes())[:-2000])
    opened, index = open_recording(path), PieceIndex()
    with pytest.raises(InputError):
        index.build(opened, lambda: False)
    assert index.duration_s == index.reached_s > 100.0


def test_given_up_it_knows_how_far_it_came_and_no_end(tmp_path: Path) -> None:
    opened, index = open_recording(recording(tmp_path / "walk.nmea", *range(100))), PieceIndex()
    index.build(opened, lambda: index.reached_s >= 40.0)
    assert (index.duration_s, index.reached_s) == (None, 40.0)
    found = index.before(35.0)
    assert found is not None
    assert found.at_s == 30.0


def test_a_long_recording_is_thinned_and_still_leads_everywhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(core.sources.piece_index, "MOST_ENTRIES", 8)
    index = indexed(recording(tmp_path / "long.nmea", *range(0, 30_000, 10)))
    assert len(index._entries) <= 9
    assert index._times == [one.at_s for one in index._entries] == sorted(index._times)
    assert index.moment_of(20_000_000, 0.0) == 20_000.0

"""Lining up what is damaged, or somebody's track; and going on in a track from a mark. All is invented."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from core.errors import InputError
from core.fix import Position
from core.formats.given_track import GivenPoint, GivenTrack
from core.pair_axis import Alike, Axis, Basis, anchor, line_up, reaches
from core.sources.given_recording import GivenRecording
from core.sources.recording import Mark, Piece
from tests.build import gga, lines, rmc

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
NOON_S = 43_200.0


class Damaged:
    """A recording that can be read for so many epochs."""

    def __init__(self, epochs: int, late_s: float = 0.0) -> None:
        self._epochs = epochs
        self._late_s = late_s
        self.is_closed = False

    def pieces(self) -> Iterator[Piece]:
        """An epoch a second."""
        for n in range(self._epochs):
            at_s = NOON_S + self._late_s + n
            yield Piece(lines(rmc(at_s), gga(at_s)), float(n))
        raise InputError("walk.nmea.gz is damaged from here on")

    def close(self) -> None:
        """Noted: nobody else does it."""
        self.is_closed = True


def damaged(epochs: int, late_s: float = 0.0) -> Alike:
    return Alike(lambda: Damaged(epochs, late_s), required=True)


def track(count: int, late_s: float, *, timed: bool = True) -> GivenTrack:
    """A point each ten seconds."""
    times = [NOON + timedelta(seconds=late_s + 10 * n) if timed else None for n in range(count)]
    return GivenTrack(
        tuple(GivenPoint(Position(10.5 + n / 8000, -20.25), None, time, n == 0) for n, time in enumerate(times))
    )


def played(given: GivenTrack, *, is_track: bool = True) -> Alike:
    return Alike(lambda: GivenRecording(Path("walk.gpx"), given), required=True, is_track=is_track)


def test_what_came_before_the_damage_is_enough_to_line_up() -> None:
    assert line_up(damaged(60), damaged(60, late_s=20.0)) == Axis(Basis.UTC, -20.0)


def test_damage_before_any_fix_leaves_the_starts() -> None:
    assert line_up(damaged(60), damaged(0)) == Axis(Basis.STARTS, 0.0, "B has no fix")
    assert line_up(damaged(0), damaged(0)).why == "neither has a fix"


def test_a_recording_does_not_reach_beyond_its_damage_and_is_closed() -> None:
    opened: list[Damaged] = []

    def again() -> Damaged:
        opened.append(Damaged(10))
        return opened[-1]

    one = Alike(again, required=True)
    assert [reaches(one, at_s) for at_s in (0.0, 9.0, 9.5, 100.0)] == [True, True, False, False]
    assert anchor(one) is not None
    assert len(opened) == 5
    assert all(recording.is_closed for recording in opened)


def test_two_that_do_not_overlap_because_of_damage_go_together_from_their_first_fixes() -> None:
    found = line_up(damaged(10), damaged(60, late_s=30.0))
    assert (found.basis, found.why) == (Basis.FIRST_FIX, "they have no time in common")


def test_tracks_are_laid_side_by_side_by_their_own_times() -> None:
    found = line_up(played(track(60, 0.0)), played(track(60, 120.0)))
    assert found == Axis(Basis.UTC, -120.0)


def test_a_track_that_is_taken_for_a_recording_has_no_fix() -> None:
    """Its positions are put in by hand, as far as its sentences say: no receiver found them."""
    found = line_up(played(track(60, 0.0)), played(track(60, 0.0), is_track=False))
    assert (found.basis, found.why) == (Basis.STARTS, "B has no fix")


def test_a_track_without_times_goes_from_its_first_point() -> None:
    found = line_up(played(track(60, 0.0)), played(track(60, 0.0, timed=False)))
    assert (found.basis, found.why) == (Basis.FIRST_FIX, "B tells no date")
    both = line_up(played(track(60, 0.0, timed=False)), played(track(60, 0.0, timed=False)))
    assert (both.basis, both.why) == (Basis.FIRST_FIX, "neither tells a date")


# Marks of a track


@pytest.mark.parametrize("timed", [True, False])
def test_from_a_mark_a_track_goes_on_as_it_would_have(timed: bool) -> None:
    given = track(20, 0.0, timed=timed)
    whole = [*GivenRecording(Path("walk.gpx"), given).pieces()]
    assert len(whole) == 20
    for count in (0, 1, 7, 19, 20):
        recording = GivenRecording(Path("walk.gpx"), given)
        pieces = recording.pieces()
        before = [next(pieces) for _ in range(count)]
        mark = recording.mark()
        assert recording.fraction == count / 20
        rest = [*pieces]
        assert before + rest == whole
        recording.go_to(mark)
        assert [*recording.pieces()] == rest
        recording.go_to(Mark(0, None))
        assert [*recording.pieces()] == whole


def test_a_track_opened_again_begins_anew_and_leaves_the_first_where_it_is() -> None:
    recording = GivenRecording(Path("walk.gpx"), track(5, 0.0))
    pieces = recording.pieces()
    first = next(pieces)
    again = recording.again()
    assert next(again.pieces()) == first
    assert next(pieces) != first
    assert recording.stamp() == again.stamp()

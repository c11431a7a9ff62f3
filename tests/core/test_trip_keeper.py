"""The trip on the disk while it goes: what a disk that refuses costs, and what not. Positions are open ocean."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest

from core.errors import InputError
from core.fix import Position
from core.outing import Outing
from core.track import TrackPoint
from core.trip_file import TripFile
from core.trip_keeper import TOTALS_EVERY, TripKeeper
from tests.trips import shifted
from tests.walks import OCEAN, Step, fix_at, laid, straight

LONG_S = 60.0
"""No thread that works takes as long."""
OUT = straight(OCEAN, 90.0, 120)
"""168 m to the east."""
ON = shifted(straight(laid(OCEAN, 90.0, 168.0), 90.0, 120), 121.0)


class Moody(TripFile):
    """Files on a disk that takes nothing while it is told so."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.refuses: set[str] = set()
        self.done: list[str] = []

    def _say(self, what: str) -> None:
        self.done.append(what)
        if what in self.refuses:
            raise InputError(f"{what}: no room")

    def append(self, points: Iterable[TrackPoint]) -> None:
        self._say("append")
        super().append([*points])

    def rewrite(self, points: Iterable[TrackPoint]) -> None:
        self._say("rewrite")
        super().rewrite(points)

    def set_aside(self) -> str:
        self._say("set aside")
        return super().set_aside()

    def save_totals(self, state: dict[str, Any]) -> None:
        self._say("totals")
        super().save_totals(state)


class Kept:
    """An outing, its keeper and their disk."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.disk = Moody(folder)
        self.outing = Outing()
        self.keeper = TripKeeper(self.disk)
        self.began = self.keeper.begin(self.outing)

    def walk(self, steps: Iterable[Step]) -> None:
        """On, and a look at its end."""
        for step in steps:
            self.outing.take(fix_at(step), step.at_s, usable=True)
        self.look()

    def look(self) -> None:
        """All that is asked for is done when this returns."""
        self.keeper.look()
        self.settle()

    def settle(self) -> None:
        """As `look`, without one."""
        done = threading.Event()
        self.keeper._ask("settled", done.set)
        assert done.wait(LONG_S)

    def track(self) -> list[Position]:
        """Of the outing."""
        view = self.outing.report().track
        return [point.position for point in view.points[: view.count]]

    def on_disk(self, name: str = "") -> list[Position]:
        """Of the file; rounded there to a tenth of a millimetre."""
        return [point.position for point in TripFile(self.folder).points(name)]

    def aside(self) -> list[str]:
        """Tracks before a reset."""
        return sorted(path.name for path in self.folder.glob("trip.*.csv"))


def near(found: list[Position], wanted: list[Position]) -> bool:
    pairs = zip(found, wanted, strict=False)
    return len(found) == len(wanted) and all(a == pytest.approx(b, abs=1e-8) for a, b in pairs)


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Kept]:
    found = Kept(tmp_path)
    yield found
    found.disk.refuses.clear()
    found.keeper.end()


def test_before_it_begins_and_after_its_end_there_is_nothing_to_keep(tmp_path: Path) -> None:
    disk = Moody(tmp_path)
    keeper = TripKeeper(disk)
    for _ in range(2):
        keeper.look()
        assert not keeper.reset()
        assert not keeper.undo_reset()
        keeper.end()
    assert not disk.done


def test_a_trip_that_has_not_begun_has_nothing_to_reset(kept: Kept) -> None:
    assert not kept.keeper.reset()
    assert not kept.keeper.undo_reset()
    kept.settle()
    assert not kept.disk.done


def test_totals_are_saved_every_tenth_look_and_at_the_end(kept: Kept) -> None:
    kept.walk(OUT)
    for _ in range(3 * TOTALS_EVERY - 1):
        kept.look()
    assert kept.disk.done.count("totals") == 3
    kept.keeper.end()
    assert kept.disk.done.count("totals") == 4


def test_nothing_is_written_of_a_trip_that_stands(kept: Kept) -> None:
    kept.walk(OUT)
    written = kept.disk.done.count("append")
    kept.look()
    assert kept.disk.done.count("append") == written == 1


def test_what_was_refused_is_told_and_written_once_there_is_room(kept: Kept) -> None:
    kept.disk.refuses = {"append"}
    kept.walk(OUT)
    assert kept.keeper.trouble == "append: no room"
    assert not kept.on_disk()
    kept.walk(ON)
    kept.disk.refuses.clear()
    kept.look()
    assert kept.keeper.trouble == ""
    assert near(kept.on_disk(), kept.track())


def test_totals_that_were_refused_are_told_apart_from_the_track(kept: Kept) -> None:
    kept.disk.refuses = {"totals"}
    kept.walk(OUT)
    assert kept.keeper.trouble == ""
    for _ in range(TOTALS_EVERY):
        kept.look()
    assert kept.keeper.trouble == "totals: no room"
    assert near(kept.on_disk(), kept.track())


def test_a_rewriting_that_was_refused_is_tried_at_every_look(kept: Kept) -> None:
    kept.walk(OUT)
    assert kept.keeper.reset()
    kept.walk(ON)
    kept.disk.refuses = {"rewrite"}
    assert kept.keeper.undo_reset()
    kept.settle()
    kept.look()
    kept.look()
    assert kept.disk.done.count("rewrite") == 3
    assert kept.keeper.trouble == "rewrite: no room"
    kept.disk.refuses.clear()
    kept.look()
    assert kept.keeper.trouble == ""
    assert near(kept.on_disk(), kept.track())
    kept.look()
    assert kept.disk.done.count("rewrite") == 4


def test_what_was_refused_before_a_reset_goes_into_the_old_track(kept: Kept) -> None:
    kept.disk.refuses = {"append"}
    kept.walk(OUT)
    before = kept.track()
    kept.disk.refuses.clear()
    assert kept.keeper.reset()
    kept.walk(ON)
    (old,) = kept.aside()
    assert near(kept.on_disk(old), before)
    assert near(kept.on_disk(), kept.track())


@pytest.mark.parametrize("what", ["append", "set aside"])
def test_a_reset_on_a_full_disk_keeps_the_two_trips_apart_once_there_is_room(kept: Kept, what: str) -> None:
    kept.disk.refuses = {"append"}
    kept.walk(OUT)
    before = kept.track()
    kept.disk.refuses = {what}
    assert kept.keeper.reset()
    kept.walk(ON)
    assert kept.keeper.trouble == f"{what}: no room"
    kept.disk.refuses.clear()
    kept.look()
    assert kept.keeper.trouble == ""
    (old,) = kept.aside()
    assert near(kept.on_disk(old), before)
    assert near(kept.on_disk(), kept.track())
    again = Outing()
    kept.keeper.end()
    TripKeeper(TripFile(kept.folder)).begin(again)
    assert again.report().track.count == len(kept.track())
    assert again.undo_reset()
    assert again.report().track.count == len(before) + len(kept.track())


def test_a_reset_on_a_full_disk_that_is_taken_back_leaves_one_track(kept: Kept) -> None:
    kept.walk(OUT)
    kept.disk.refuses = {"append", "set aside"}
    assert kept.keeper.reset()
    kept.walk(ON)
    assert kept.keeper.undo_reset()
    kept.settle()
    kept.disk.refuses.clear()
    kept.look()
    kept.look()
    assert kept.aside() == []
    assert near(kept.on_disk(), kept.track())
    assert len(kept.track()) > 2


def test_totals_that_cannot_be_read_are_set_aside_and_the_track_goes_on(kept: Kept) -> None:
    kept.walk(OUT)
    kept.keeper.end()
    totals = kept.folder / "trip.json"
    totals.write_bytes(b"damaged")
    again = Kept(kept.folder)
    points, told = again.began
    assert len(points) == len(kept.track())
    assert told.startswith("The totals of the trip begin anew: ")
    again.keeper.end()
    assert (kept.folder / "trip.json.unreadable").read_bytes() == b"damaged"
    assert totals.read_bytes().startswith(b"{")


def test_a_second_keeper_in_one_folder_is_told_and_writes_nothing(kept: Kept) -> None:
    second = Kept(kept.folder)
    assert second.began == ([], "")
    assert "another fixboard keeps its trip in this folder" in second.keeper.trouble
    second.keeper.look()
    second.keeper.end()
    assert not second.disk.done

"""Kept files that somebody, or a dying disk, has damaged: named, set aside, never deleted, and the board starts."""

from __future__ import annotations

import errno
import json
import os
import random
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

import pytest

from core.errors import InputError
from core.fix import Position
from core.latency import Basis, Latency, ReceiverKey
from core.latency_file import LatencyFile
from core.locations import Locations
from core.memory import Memory, recall, remember
from core.mending import mended_memory, mended_waypoints
from core.outing import Outing
from core.session_notes import SessionNotes, Words
from core.settings import Settings, usable_settings
from core.site import SiteAverager
from core.site_file import SiteFile
from core.site_keeper import SiteKeeper
from core.trip_file import TripFile
from core.trip_keeper import TripKeeper
from core.waypoints import Waypoint, Waypoints
from tests.logbooks import LATER, NOON
from tui.session import Look, Session

CAMP, POND = Waypoint("Camp", Position(1.0, 2.0)), Waypoint("Pond", Position(3.0, 4.0))
HUGE = 3_000_000_000
"""Bytes, of a hole in a file that takes no room on the disk."""


def _cut(whole: bytes) -> bytes:
    """In the middle of a line: cut at the end of one, a file of lines is whole."""
    return whole[:-20]


DAMAGES: dict[str, Callable[[bytes], bytes]] = {
    "cut off": _cut,
    "zeros": lambda whole: bytes(len(whole)),
    "zeros at its end": lambda whole: _cut(whole) + bytes(20),
    "random": lambda whole: random.Random(1).randbytes(len(whole)),
    "empty": lambda _: b"",
    "other text": lambda _: b"Dear diary,\r\ntoday the fog did not lift.\r\n",
    "wrong type": lambda _: b"[1, 2, 3]",
    "deep": lambda _: b"[" * 100_000,
}


class Kept(NamedTuple):
    """A file that fixboard keeps."""

    name: str
    make: Callable[[Path], object]
    """Save it, twice."""
    use: Callable[[Path], str]
    """What a board does that starts, and saves twice; what it says of a damage."""


def _make_waypoints(folder: Path) -> None:
    places = Waypoints(folder / "waypoints.gpx")
    places.add(CAMP)
    places.add(POND)


def _use_waypoints(folder: Path) -> str:
    session = Session(Locations(folder), Look())
    for _ in range(2):
        session.add(CAMP)
    return " ".join(session.troubles)


def _make_board(folder: Path) -> None:
    remember(folder / "board.toml", Memory(theme="night", notation="DECIMAL"))
    remember(folder / "board.toml", Memory(theme="dark", notation="DECIMAL"))


def _use_board(folder: Path) -> str:
    session = Session(Locations(folder), Look())
    for alert in ("on", "off"):
        assert session.keep(alert=alert) == ""
    return " ".join(session.troubles)


def _make_totals(folder: Path) -> None:
    for _ in range(2):
        TripFile(folder).save_totals(Outing().state())


def _use_totals(folder: Path) -> str:
    keeper = TripKeeper(TripFile(folder))
    _, told = keeper.begin(Outing())
    for _ in range(20):
        keeper.look()
    keeper.end()
    assert keeper.trouble == ""
    return told


def _make_state(folder: Path) -> None:
    for number in range(2):
        SiteFile(folder).save_state({"version": 1, "state": "NONE", "why": str(number), "mark": None})


def _use_state(folder: Path) -> str:
    keeper, site = SiteKeeper(SiteFile(folder)), SiteAverager()
    told = keeper.begin(site, NOON)
    keeper.start(site)
    keeper.end()
    assert keeper.trouble == ""
    return told


def _make_notes(folder: Path) -> None:
    for name in ("Round the isle", "Again"):
        SessionNotes(folder).write("a.nmea", Words(name), LATER)


def _use_notes(folder: Path) -> str:
    notes = SessionNotes(folder)
    for name in ("New", "Newer"):
        notes.write("b.nmea", Words(name), LATER)
    return notes.trouble


KEPT = (
    Kept("waypoints.gpx", _make_waypoints, _use_waypoints),
    Kept("board.toml", _make_board, _use_board),
    Kept("trip.json", _make_totals, _use_totals),
    Kept("averaging.json", _make_state, _use_state),
    Kept("logbook.json", _make_notes, _use_notes),
)


@pytest.mark.parametrize("damage", DAMAGES)
@pytest.mark.parametrize("kept", KEPT, ids=lambda kept: kept.name)
def test_a_damaged_file_is_named_and_kept_beside_and_those_before_it_too(
    kept: Kept, damage: str, tmp_path: Path
) -> None:
    path = tmp_path / kept.name
    damaged = []
    for number in range(3):  # within one second: names must not be those of the one before
        path.unlink(missing_ok=True)
        kept.make(tmp_path)
        if number == 0:
            kept.use(tmp_path)
        damaged.append(DAMAGES[damage](path.read_bytes()) + b" " * number)
        path.write_bytes(damaged[-1])
        told = kept.use(tmp_path)
        assert kept.name in told
        assert path.exists(), "a new one was begun"
        assert path.read_bytes() != damaged[-1]
    contents = [one.read_bytes() for one in tmp_path.iterdir() if one.is_file()]
    assert all(content in contents for content in damaged), sorted(one.name for one in tmp_path.iterdir())


@pytest.mark.parametrize("kept", KEPT, ids=lambda kept: kept.name)
def test_a_huge_file_fills_no_memory(kept: Kept, tmp_path: Path) -> None:
    path = tmp_path / kept.name
    with path.open("wb") as stream:
        stream.truncate(HUGE)
    told = kept.use(tmp_path)
    assert kept.name in told
    assert [one.stat().st_size for one in tmp_path.iterdir()].count(HUGE) == 1
    assert path.stat().st_size < 10_000


@pytest.mark.parametrize("damage", DAMAGES)
def test_the_waypoints_of_the_save_before_come_back(damage: str, tmp_path: Path) -> None:
    _make_waypoints(tmp_path)
    path = tmp_path / "waypoints.gpx"
    path.write_bytes(DAMAGES[damage](path.read_bytes()))
    places, told = mended_waypoints(path, NOON)
    assert [one.name for one in places.all()] == ["Camp"]
    assert "It now lies in waypoints.2031-05-04_120000.gpx; the waypoints of the save before it are here" in told
    assert [one.name for one in Waypoints(path).all()] == ["Camp"]
    assert mended_waypoints(path, NOON)[1] == "", "said once"


def test_where_the_save_before_is_damaged_too_there_is_none_and_both_are_kept(tmp_path: Path) -> None:
    path = tmp_path / "waypoints.gpx"
    path.write_bytes(b"one")
    path.with_name("waypoints.gpx.bak").write_bytes(b"two")
    places, told = mended_waypoints(path, NOON)
    assert places.all() == ()
    assert "there is no save before it that could be read" in told
    places.add(CAMP)
    assert (tmp_path / "waypoints.2031-05-04_120000.gpx").read_bytes() == b"one"
    assert (tmp_path / "waypoints.gpx.bak").read_bytes() == b"two"


def test_what_the_board_remembered_a_change_ago_comes_back(tmp_path: Path) -> None:
    _make_board(tmp_path)
    (tmp_path / "board.toml").write_bytes(b"\0" * 50)
    found, told = mended_memory(tmp_path / "board.toml", NOON)
    assert found.theme == "night"
    assert "board.2031-05-04_120000.toml; what was remembered before it counts" in told


def test_a_file_that_cannot_even_be_moved_is_never_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def busy(*_: object) -> Path:
        raise OSError(16, "Device or resource busy")

    monkeypatch.setattr("core.mending.move_aside", busy)
    (tmp_path / "waypoints.gpx").write_bytes(b"<gpx")
    places, told = mended_waypoints(tmp_path / "waypoints.gpx", NOON)
    assert "nor moved away (Device or resource busy): no waypoint is saved until it can be read" in told
    with pytest.raises(InputError):
        places.add(CAMP)
    assert (tmp_path / "waypoints.gpx").read_bytes() == b"<gpx"
    (tmp_path / "waypoints.gpx").unlink()
    _make_waypoints(tmp_path)
    assert places.refresh()
    assert [one.name for one in places.all()] == ["Camp", "Pond"]


@pytest.mark.skipif(os.name != "posix", reason="errors as on POSIX")
@pytest.mark.parametrize("number", [errno.EIO, errno.EMFILE, errno.ENOMEM])
def test_a_file_that_cannot_be_read_at_the_moment_is_not_damaged_and_stays(number: int, tmp_path: Path) -> None:
    _make_waypoints(tmp_path)
    _make_board(tmp_path)
    _make_notes(tmp_path)

    def files() -> dict[str, bytes]:
        return {one.name: one.read_bytes() for one in tmp_path.iterdir() if not one.name.endswith(".lock")}

    before = files()
    real = os.open

    def fails(path: Path, flags: int, *more: int) -> int:
        if not flags & os.O_ACCMODE and Path(path).is_file():
            raise OSError(number, os.strerror(number))
        return real(path, flags, *more)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "open", fails)
        patch.setattr("core.waypoints._bytes", _unreadable(number))
        session = Session(Locations(tmp_path), Look())
        assert len(session.troubles) == 2
        assert all(os.strerror(number) in told for told in session.troubles)
        assert os.strerror(number) in session.keep(alert="on")
        with pytest.raises(InputError, match=os.strerror(number)):
            session.add(CAMP)
        with pytest.raises(InputError, match=os.strerror(number)):
            SessionNotes(tmp_path).write("a.nmea", Words("New"), LATER)
    assert files() == before
    assert session.refresh()
    assert len(session.waypoints) == 2
    assert session.keep(alert="on") == ""
    assert recall(tmp_path / "board.toml") == Memory(theme="dark", notation="DECIMAL", alert="on")


def _unreadable(number: int) -> Callable[[Path], bytes]:
    def read(path: Path) -> bytes:
        cause = OSError(number, os.strerror(number))
        raise InputError(f"{path} cannot be read ({cause.strerror})") from cause

    return read


def test_totals_that_could_not_be_moved_at_first_are_moved_before_new_ones_are_saved(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "trip.json").write_bytes(b"damaged")
    moves: list[str] = []
    real = TripFile.set_totals_aside

    def at_last(self: TripFile) -> str:
        moves.append("")
        if len(moves) < 3:
            raise InputError("trip.json could not be saved (Device or resource busy)")
        return real(self)

    monkeypatch.setattr(TripFile, "set_totals_aside", at_last)
    keeper = TripKeeper(TripFile(tmp_path))
    keeper.begin(Outing())
    for _ in range(40):
        keeper.look()
    keeper.end()
    assert len(moves) == 3
    assert (tmp_path / "trip.json.unreadable").read_bytes() == b"damaged"
    assert isinstance(json.loads((tmp_path / "trip.json").read_bytes()), dict)


# What fixboard never writes, and what may be deleted at any time


@pytest.mark.parametrize("damage", ["zeros", "random", "other text", "wrong type", "deep"])
def test_settings_are_the_users_to_mend_and_hold_as_usual_meanwhile(damage: str, tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    data = DAMAGES[damage](b"[recorder]\nalways = true\n")
    path.write_bytes(data)
    session = Session(Locations(tmp_path), Look())
    assert session.settings == Settings()
    (told,) = session.troubles
    assert str(path) in told
    assert "Until that is corrected it is as if it were not set" in told
    assert path.read_bytes() == data
    assert [one.name for one in tmp_path.iterdir()] == ["settings.toml"]


def test_a_slip_in_one_table_of_the_settings_costs_that_table_alone(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text("[recorder]\nalways = true\n[before_dark]\nfactor = 9\n[feeed]\n[home]\nradius_m = 0\n")
    found, wrong = usable_settings(path)
    assert found.recorder.always
    assert found.before_dark == Settings().before_dark
    assert [str(one).split(": ")[1].split(" ")[0] for one in wrong] == ["feeed", "factor", "radius_m"]


@pytest.mark.parametrize("damage", DAMAGES)
def test_learned_latencies_are_named_and_stay(damage: str, tmp_path: Path) -> None:
    path = tmp_path / "latency.json"
    key = ReceiverKey("usb 1", 9600, "GGA")
    LatencyFile(path).keep(key, Latency(0.1, 0.2, Basis.LEARNED, "2031-05-04"))
    data = DAMAGES[damage](path.read_bytes())
    path.write_bytes(data)
    with pytest.raises(InputError, match=r"latency\.json .*: correct it, or move it away and learn again"):
        LatencyFile(path).keep(key, Latency(0.1, 0.2, Basis.LEARNED, "2031-05-05"))
    assert path.read_bytes() == data


def test_the_clock_of_a_set_aside_file_is_the_computers(tmp_path: Path) -> None:
    (tmp_path / "board.toml").write_bytes(b"\xff")
    before = datetime.now(tz=UTC)
    Session(Locations(tmp_path), Look())
    after = datetime.now(tz=UTC)
    (aside,) = [one.name for one in tmp_path.iterdir() if not one.name.startswith(".")]
    assert f"board.{before:%Y-%m-%d_%H%M%S}.toml" <= aside <= f"board.{after:%Y-%m-%d_%H%M%S}.toml"

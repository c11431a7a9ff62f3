"""Several lists as one book: each station once, doubts kept, files looked at again. All stations are invented."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import pytest

from core.errors import InputError
from core.fix import Position
from core.nearest import Here
from core.station_book import StationBook, lists_holding, lists_in
from core.station_contents import EMPTY, Contents
from core.station_filter import MOST_MODES, OUTSIDE, Keys, Wanted, band_named, chosen, keys_of, modes_in, modes_of
from core.station_folder import Taken, take_list
from core.stations import Doubt, Station
from core.verified import Air, air, is_old, verified_on
from replays import stations as bundled

HEADS = "call,name,output,shift,mode,locator,status,notes"
RIDGE = "QX1AA,Ridge,145.6,-0.6,FM,RN91wa,on air,by the hut"
VALLEY = "QX1BB,Valley,438.65,-7.6,FM / DMR,RN91xb,,"
LOST = "QX1CC,Lost,145.7,-0.6,C4FM,,,"


def written(path: Path, *rows: str, heads: str = HEADS) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join((heads, *rows)) + "\n", "utf-8")
    return path


def book_of(folder: Path, *named: Path) -> Contents:
    return StationBook(folder, named).look()


def calls(contents: Contents) -> list[str]:
    return [one.call for one in contents.stations]


# Several lists


def test_lists_of_a_folder_and_named_ones_are_one_book(tmp_path: Path) -> None:
    written(tmp_path / "lists" / "b.csv", VALLEY)
    written(tmp_path / "lists" / "a.CSV", RIDGE, LOST)
    (tmp_path / "lists" / "readme.md").write_text("no list")
    written(tmp_path / "lists" / ".hidden.csv", "QX9ZZ,,,,,RN91wa,,")
    named = written(tmp_path / "mine.csv", "QX1DD,Own,145.5,0,FM,RN91vb,,")
    found = book_of(tmp_path / "lists", named)
    assert calls(found) == ["QX1DD", "QX1AA", "QX1CC", "QX1BB"]
    assert [one.call for one in found.unplaced] == ["QX1CC"]
    assert {one.call for one in found.finder.stations} == {"QX1DD", "QX1AA", "QX1BB"}
    assert len(found.keys) == len(found.finder.stations)


def test_whoever_looks_is_told_when_something_is_read_and_not_while_nothing_is(tmp_path: Path) -> None:
    entered = []

    @contextmanager
    def reading() -> Iterator[None]:
        entered.append(len(book.contents.stations))
        yield

    path = written(tmp_path / "a.csv", RIDGE)
    book = StationBook(tmp_path)
    for _ in range(4):
        book.look(reading)
    settled = len(entered)
    assert entered[0] == 0
    book.look(reading)
    assert len(entered) == settled
    written(path, RIDGE, VALLEY)
    assert calls(book.look(reading)) == ["QX1AA", "QX1BB"]
    assert len(entered) == settled + 1
    path.unlink()
    assert book.look(reading).stations == ()
    assert len(entered) == settled + 2


def test_no_folder_is_an_empty_book(tmp_path: Path) -> None:
    assert book_of(tmp_path / "none").stations == ()
    assert lists_in(None) == ()
    assert EMPTY.finder.nearest(Here(Position(0.0, 0.0)), 5) == ()


def test_what_cannot_be_read_is_remembered_with_the_reason_and_the_rest_is_read(tmp_path: Path) -> None:
    written(tmp_path / "a.csv", RIDGE)
    (tmp_path / "b.csv").write_text("nothing,that,means,anything\n1,2,3,4\n")
    (tmp_path / "c.gpx").write_text("<gpx")
    (tmp_path / "d.csv").symlink_to(tmp_path / "gone.csv")
    found = book_of(tmp_path)
    assert calls(found) == ["QX1AA"]
    troubles = {read.path.name: read.trouble for read in found.lists}
    assert troubles["a.csv"] == ""
    assert "name the columns" in troubles["b.csv"]
    assert troubles["c.gpx"]
    assert "cannot be read" in troubles["d.csv"]


@pytest.mark.skipif(os.name != "posix", reason="pipes with names are POSIX")
def test_a_pipe_in_the_folder_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "a.csv")
    assert lists_in(tmp_path) == ()


def test_the_same_station_in_two_lists_is_said_once_with_what_the_other_says(tmp_path: Path) -> None:
    written(tmp_path / "a.csv", VALLEY, RIDGE)
    written(tmp_path / "b.csv", "qx1aa,Ridge,145.600,-0.600,fm,RN91wa,off air,", "QX1AA,Ridge,438.7,-7.6,FM,RN91wa,,")
    found = book_of(tmp_path)
    assert [(one.call, one.source, one.row) for one in found.stations] == [
        ("QX1BB", "a.csv", 2),
        ("QX1AA", "a.csv", 3),
        ("QX1AA", "b.csv", 3),  # another frequency is another station
    ]
    assert found.repeated == 1
    (also,) = found.also(found.stations[1])
    assert (also.station.source, also.station.row, also.differs) == ("b.csv", 2, (("status", "off air"),))
    assert found.also(found.stations[0]) == ()


def test_a_duplicate_within_one_list_stays_and_is_doubted(tmp_path: Path) -> None:
    found = book_of(tmp_path, written(tmp_path / "x" / "a.csv", RIDGE, RIDGE))
    assert calls(found) == ["QX1AA", "QX1AA"]
    assert [one.doubt for one in found.findings(found.stations[1])] == [Doubt.DUPLICATE]
    assert found.findings(found.stations[0]) == ()


def test_two_lists_of_one_name_are_told_apart(tmp_path: Path) -> None:
    a = written(tmp_path / "x" / "a.csv", LOST)
    b = written(tmp_path / "y" / "a.csv", VALLEY, LOST.replace("CC", "DD"))
    found = StationBook(None, (a, b)).look()
    assert [(one.call, one.source) for one in found.stations] == [
        ("QX1CC", "a.csv"), ("QX1BB", "a.csv (2)"), ("QX1DD", "a.csv (2)"),
    ]  # fmt: skip
    doubts = [[one.title for one in found.findings(station)] for station in found.stations]
    assert doubts == [["QX1CC"], [], ["QX1DD"]]


# Looking again


def test_a_list_is_read_again_when_it_has_changed_and_only_then(tmp_path: Path) -> None:
    path = written(tmp_path / "a.csv", RIDGE)
    other = written(tmp_path / "b.csv", VALLEY)
    book = StationBook(tmp_path)
    first = book.look()
    assert book.look() is first
    assert book.look() is first
    written(path, RIDGE, LOST)
    second = book.look()
    assert calls(second) == ["QX1AA", "QX1CC", "QX1BB"]
    assert second.lists[1] is first.lists[1]  # what has not changed was not read again
    other.unlink()
    assert calls(book.look()) == ["QX1AA", "QX1CC"]
    written(tmp_path / "c.csv", VALLEY)
    assert calls(book.look()) == ["QX1AA", "QX1CC", "QX1BB"]
    path.write_bytes(b"")
    broken = book.look()
    assert calls(broken) == ["QX1BB"]
    assert broken.lists[0].trouble


def test_a_file_written_twice_within_one_tick_is_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second write leaves size and times as they are, as on a coarse file system; a third look asks no more."""
    monkeypatch.setattr("core.station_book._signature", lambda _: (1, 2, 3))
    path = written(tmp_path / "a.csv", RIDGE)
    book = StationBook(tmp_path)
    book.look()
    path.write_bytes(path.read_bytes().replace(b"QX1AA", b"QX1ZZ"))
    assert calls(book.look()) == ["QX1ZZ"]
    path.write_bytes(path.read_bytes().replace(b"QX1ZZ", b"QX1YY"))
    assert calls(book.look()) == ["QX1ZZ"]


def test_touching_a_file_makes_no_new_book(tmp_path: Path) -> None:
    path = written(tmp_path / "a.csv", RIDGE)
    book = StationBook(tmp_path)
    first = book.look()
    os.utime(path, ns=(1, 1))
    assert book.look() is first


# By name


def test_a_station_is_named_by_call_or_name_in_any_case(tmp_path: Path) -> None:
    found = book_of(tmp_path, written(tmp_path / "x" / "a.csv", RIDGE, VALLEY))
    assert [one.call for one in found.named(" qx1aa ")] == ["QX1AA"]
    assert [one.call for one in found.named("VALLEY")] == ["QX1BB"]
    assert found.named("QX1A") == ()
    assert found.named("") == ()


def test_outputs_on_one_hill_are_one_place_and_hills_apart_are_several(tmp_path: Path) -> None:
    heads = "call,output,locator,lat,lon"
    rows = ["QX1AA,145.6,RN91wa,,", "QX1AA,438.6,,41.0210,179.8760", "QX1AA,1297.0,RN95ma,,"]
    found = book_of(tmp_path, written(tmp_path / "x" / "a.csv", *rows, heads=heads)).named("QX1AA")
    assert [one.row for one in found] == [3, 4]  # the coordinates, not the locator around them


def test_a_station_without_a_place_is_named_only_where_none_has_one(tmp_path: Path) -> None:
    rows = [LOST, LOST.replace("145.7", "145.8").replace("C4FM,", "C4FM,RN91wa")]
    assert [one.row for one in book_of(tmp_path, written(tmp_path / "x" / "a.csv", *rows)).named("QX1CC")] == [3]
    assert [one.row for one in book_of(tmp_path, written(tmp_path / "x" / "b.csv", LOST)).named("QX1CC")] == [2]


def test_only_lists_in_which_a_name_occurs_need_be_read(tmp_path: Path) -> None:
    a, b = written(tmp_path / "a.csv", RIDGE), written(tmp_path / "b.csv", VALLEY)
    c = tmp_path / "c.csv"
    c.write_text(f"{HEADS}\n{RIDGE}\n", "utf-16")
    gpx = tmp_path / "d.gpx"
    gpx.write_text("<gpx/>")
    assert list(lists_holding((a, b, c, gpx), "qx1aA ")) == [a, c, gpx]  # XML may write it in other characters
    assert list(lists_holding((a, tmp_path / "none.csv"), "QX9")) == []
    assert list(lists_holding((a, b), "47 17.1 N 8 33.9 E")) == []


@pytest.mark.parametrize("name", ["Old  Mill", 'The "Mill"', "MÜHLE", "mill, old"])
def test_a_list_that_holds_a_name_is_always_among_them(tmp_path: Path, name: str) -> None:
    cell = name.replace('"', '""')
    path = written(tmp_path / "x" / "a.csv", f'QX1AA,"{cell}",145.6,,FM,RN91wa,,')
    assert list(lists_holding((path,), name.swapcase())) == [path]
    assert book_of(tmp_path / "x").named(name.swapcase())


# Filters


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        (Wanted(), [0, 1, 2]),
        (Wanted("2 m"), [0, 2]),
        (Wanted(OUTSIDE), []),
        (Wanted(mode="fm"), [0, 1]),
        (Wanted(mode="DMR"), [1]),
        (Wanted(mode="C4FM"), [2]),
        (Wanted(words="ridge hut"), [0]),
        (Wanted(words="HUT valley"), []),
        (Wanted(words="438.65"), [1]),
        (Wanted("2 m", "FM", "qx1"), [0]),
    ],
)
def test_stations_are_chosen_by_band_mode_and_words(tmp_path: Path, wanted: Wanted, found: list[int]) -> None:
    keys = [keys_of(one) for one in book_of(tmp_path, written(tmp_path / "x" / "a.csv", RIDGE, VALLEY, LOST)).stations]
    assert [*chosen(keys, range(3), wanted)] == found


@pytest.mark.parametrize(
    ("cell", "modes"),
    [
        ("FM/DMR", ("fm", "dmr")),
        ("FM, C4FM and D-STAR", ("fm", "c4fm", "d-star")),
        ("FM  narrow", ("fm narrow",)),
        ("", ()),
    ],
)
def test_a_cell_may_name_several_modes(cell: str, modes: tuple[str, ...]) -> None:
    assert modes_of(cell) == modes


def test_words_are_found_in_columns_that_are_not_understood() -> None:
    station = Station("QX1AA", more=(("keeper", "Tamsin"),))
    assert chosen([keys_of(station)], [0], Wanted(words="tamsin")) == [0]


def test_only_the_commonest_modes_are_offered() -> None:
    keys = [Keys("", (f"mode {n}",), "") for n in range(40)] + [Keys("", ("fm",), "")] * 2
    assert modes_in(keys)[0] == "fm"
    assert len(modes_in(keys)) == MOST_MODES


def test_a_band_is_named_as_people_do_and_another_is_refused() -> None:
    assert [band_named(text) for text in ("2m", "70 cm", "145 MHz", " ")] == ["2 m", "70 cm", "2 m", ""]
    with pytest.raises(InputError, match="no amateur band"):
        band_named("FM")


# Status and verification


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("on air", Air.ON), ("QRV", Air.ON), ("Active", Air.ON), ("not on air", Air.OFF), ("off air", Air.OFF),
        ("QRT", Air.OFF), ("inactive", Air.OFF), ("out of service", Air.OFF), ("testing, on air", Air.OFF),
        ("", Air.UNKNOWN), ("official", Air.UNKNOWN), ("north tower", Air.UNKNOWN),
    ],
)  # fmt: skip
def test_a_word_for_off_wins(text: str, said: Air) -> None:
    assert air(text) is said


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-03-04", date(2026, 3, 4)), ("2026-03-04T12:00:00Z", date(2026, 3, 4)), ("2026-03", date(2026, 3, 1)),
        ("2026", date(2026, 1, 1)), ("2026/3/4", date(2026, 3, 4)), ("24.03.2026", date(2026, 3, 24)),
        ("3/24/2026", date(2026, 3, 24)), ("03/04/2026", date(2026, 3, 4)), ("3.2026", date(2026, 3, 1)),
        ("31.02.2026", None), ("last spring", None), ("", None), ("0000-01-01", None), ("99999", None),
    ],
)  # fmt: skip
def test_a_date_is_the_earliest_day_that_it_can_mean(text: str, day: date | None) -> None:
    assert verified_on(text) == day


def test_a_year_is_old_and_a_day_to_come_is_no_proof() -> None:
    today = date(2026, 11, 25)
    assert not is_old(date(2025, 11, 25), today)
    assert is_old(date(2025, 11, 24), today)
    assert is_old(date(2026, 11, 26), today)


# Taking a list over


def test_a_list_is_copied_and_never_written_over_unasked(tmp_path: Path) -> None:
    folder = tmp_path / "data" / "stations"
    path = written(tmp_path / "a.csv", RIDGE)
    assert take_list(path, folder) is Taken.COPIED
    assert take_list(path, folder) is Taken.THERE_ALREADY
    before = path.read_bytes()
    written(path, VALLEY)
    assert take_list(path, folder) is Taken.OTHER_THERE
    assert (folder / "a.csv").read_bytes() == before
    assert take_list(path, folder, replace=True) is Taken.REPLACED
    assert (folder / "a.csv").read_bytes() == path.read_bytes()
    assert (folder / "a.csv.bak").read_bytes() == before
    assert calls(book_of(folder)) == ["QX1BB"]  # the backup is no list


@pytest.mark.parametrize("name", ["none.csv", "a.exe", "broken.csv", "folder.csv", "nul\0.csv"])
def test_what_is_no_list_is_not_copied(tmp_path: Path, name: str) -> None:
    (tmp_path / "broken.csv").write_text("a,b\n1,2\n")
    (tmp_path / "folder.csv").mkdir()
    written(tmp_path / "a.exe", RIDGE)
    with pytest.raises(InputError):
        take_list(tmp_path / name, tmp_path / "stations")
    assert not (tmp_path / "stations").exists()


# The bundled list


def test_the_bundled_list_is_invented_and_has_three_deliberate_doubts() -> None:
    found = StationBook(None, (Path(str(bundled())),)).look()
    assert 38 <= len(found.stations) <= 45
    assert all(one.call.startswith("Q") for one in found.stations)
    (read,) = found.lists
    assert read.found
    assert [one.doubt for one in read.found.findings] == [Doubt.UNPLACED, Doubt.SHIFT, Doubt.PLACES_DISAGREE]
    for here in (Position(41.035, 179.867), Position(-47.302, -12.7035)):  # ridge_walk.toml, replays/_walk.py
        assert all(near.way.distance_m < 20_000 for near in found.finder.nearest(Here(here), 5))

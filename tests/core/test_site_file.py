"""An averaging on the disk: torn lines, hostile files, restarts and ends. All invented, on open ocean."""

from __future__ import annotations

import csv
import json
import threading
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from core.appended import move_away
from core.benchmark import HeightKind, Mark
from core.errors import InputError
from core.fix import FixMode, Position, Utc
from core.places.geodesic import way
from core.site import BY_USER, SiteAverager, SiteState
from core.site_file import HEADER, SiteFile
from core.site_keeper import SAVE_EVERY, SiteKeeper
from core.site_session import Counted
from tests.sites import fed, stood
from tests.walks import OCEAN, Step

NOON = Utc(43_200_250, date(2031, 5, 4))
FIRST = Counted(0.0, NOON, Position(10.5, -20.25), 12.5, 30.0, FixMode.AUTONOMOUS, 6.9, "W84")
SECOND = Counted(
    1.0, Utc(86_400_000, None), Position(-10.500000001, 179.999999999), None, None, FixMode.RTK_FIXED, None
)
THIRD = Counted(2.5, None, Position(0.0, 0.0), -1.25, None, FixMode.DIFFERENTIAL, 0.5)
MARK = Mark("Pillar 7", Position(10.5, -20.25), 0.02, 0.03, 44.5, HeightKind.ELLIPSOID)
AT_NOON = datetime(2031, 5, 4, 12, 5, tzinfo=UTC)


def test_fixes_come_back_as_they_were(tmp_path: Path) -> None:
    kept = SiteFile(tmp_path / "new")
    kept.append([FIRST, SECOND])
    kept.append([THIRD])
    assert SiteFile(tmp_path / "new").counted() == [FIRST, SECOND, THIRD]


def test_the_file_is_plain_csv_with_a_header(tmp_path: Path) -> None:
    SiteFile(tmp_path).append([FIRST])
    with (tmp_path / "averaging.csv").open(newline="") as stream:
        (row,) = csv.DictReader(stream)
    assert list(row) == HEADER.split(",")
    assert row["utc"] == "2031-05-04T12:00:00.250Z"
    assert (float(row["latitude_deg"]), float(row["longitude_deg"])) == FIRST.position


def test_a_torn_last_line_costs_itself_alone(tmp_path: Path) -> None:
    kept = SiteFile(tmp_path)
    kept.append([FIRST, SECOND])
    path = tmp_path / "averaging.csv"
    whole = path.read_bytes()
    for cut in range(len(HEADER) + 1, len(whole)):
        path.write_bytes(whole[:cut])
        kept.append([THIRD])
        found = kept.counted()
        complete = whole[:cut].count(b"\n") - 1
        assert found[-1] == THIRD
        assert found[:complete] == [FIRST, SECOND][:complete]
        assert len(found) <= complete + 2


@pytest.mark.parametrize(
    "line",
    [
        "x", ",0.5,91,0,,,autonomous,,", ",0.5,0,181,,,autonomous,,", ",nan,0,0,,,autonomous,,",
        ",0.5,0,0,inf,,autonomous,,", ",0.5,0,0,,,sideways,,", "T25:00:00.000Z,0.5,0,0,,,autonomous,,",
        "2031-99-99T00:00:00.000Z,0.5,0,0,,,autonomous,,",
        ",-5,0,0,,,autonomous,,", ",0,0,0,,,autonomous,,", "\0" * 50, ",,,,,,,,",
    ],
)  # fmt: skip
def test_lines_that_are_no_fixes_are_passed_over(tmp_path: Path, line: str) -> None:
    kept = SiteFile(tmp_path)
    kept.append([FIRST])
    with (tmp_path / "averaging.csv").open("a") as stream:
        stream.write(f"{line}\n")
    kept.append([SECOND, THIRD])
    assert kept.counted() == [FIRST, SECOND, THIRD]


def test_a_hostile_datum_does_not_reach_the_file(tmp_path: Path) -> None:
    SiteFile(tmp_path).append([FIRST._replace(datum="W,8\n4\x1b[2J")])
    (found,) = SiteFile(tmp_path).counted()
    assert found == FIRST._replace(datum=None)


def test_what_was_ended_keeps_its_file_under_its_date(tmp_path: Path) -> None:
    kept = SiteFile(tmp_path)
    assert kept.end() == ""
    kept.append([FIRST])
    assert kept.end() == "averaging.20310504-120000.csv"
    kept.append([FIRST, THIRD])
    assert kept.end() == "averaging.20310504-120000-2.csv"
    kept.append([THIRD])
    assert kept.end() == "averaging.undated.csv"
    assert kept.counted() == []
    assert kept.counted("averaging.20310504-120000.csv") == [FIRST]
    assert kept.counted("averaging.20310504-120000-2.csv") == [FIRST, THIRD]
    assert kept.counted("../../averaging.undated.csv") == [THIRD], "a name is a name in this folder"


def test_a_folder_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(InputError, match=r"averaging\.csv could not be saved"):
        SiteFile(tmp_path / "file").append([FIRST])


def test_moving_away_never_takes_the_place_of_anything(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("new")
    (tmp_path / "b.txt").write_text("old")
    assert move_away(tmp_path / "a", "b.txt") == "b-2.txt"
    assert (tmp_path / "b.txt").read_text() == "old"
    assert move_away(tmp_path / "a", "b.txt") == ""


# Kept while it goes


def kept(folder: Path, now: datetime = AT_NOON) -> tuple[SiteAverager, SiteKeeper, str]:
    """An averager that goes on with what is there."""
    site, keeper = SiteAverager(), SiteKeeper(SiteFile(folder))
    return site, keeper, keeper.begin(site, now)


def started(folder: Path, steps: list[Step]) -> tuple[SiteAverager, SiteKeeper]:
    site, keeper, _ = kept(folder)
    assert keeper.start(site)
    fed(site, steps)
    return site, keeper


def killed(keeper: SiteKeeper) -> None:
    """What was asked for is on the disk, nothing else; and the system takes the lock."""
    assert keeper._thread is not None
    keeper._jobs.put(None)
    keeper._thread.join(10)
    keeper._lock.close()


def test_a_killed_averaging_goes_on_with_all_but_the_newest(tmp_path: Path) -> None:
    first, keeper = started(tmp_path, stood(200))
    first.set_mark(MARK)
    for _ in range(SAVE_EVERY):
        keeper.look()
    killed(keeper)
    second, again, told = kept(tmp_path)
    assert "goes on: 179 fixes" in told or "goes on: 180 fixes" in told  # 20 s of them were on probation
    report = second.report()
    assert report.state is SiteState.RUNNING
    assert report.mark == MARK
    fed(second, [Step(step.at_s + 500, step.place) for step in stood(100, seed=2)])
    again.end()
    assert second.report().gaps == 1
    one, other = first.report().origin, second.report().origin
    assert one
    assert other
    assert way(one, other).distance_m < 0.001


def test_what_is_looked_at_seldom_is_written_seldom(tmp_path: Path) -> None:
    site, keeper = started(tmp_path, stood(100))
    for _ in range(SAVE_EVERY - 1):
        keeper.look()
    killed(keeper)
    assert SiteFile(tmp_path).counted() == []
    assert site.report().samples.count > 0


def test_leaving_keeps_every_fix_that_counts(tmp_path: Path) -> None:
    site, keeper = started(tmp_path, stood(100))
    keeper.end()
    assert len(SiteFile(tmp_path).counted()) == site.report().samples.count
    site, keeper, _ = kept(tmp_path)
    site.pause()
    keeper.end()
    site, keeper, told = kept(tmp_path)
    assert "still paused" in told
    assert (site.report().state, site.report().why) == (SiteState.PAUSED, BY_USER)
    keeper.end()


@pytest.mark.parametrize("now", [AT_NOON + timedelta(hours=13), AT_NOON - timedelta(days=4000)])
def test_one_of_another_day_waits_for_the_user(tmp_path: Path, now: datetime) -> None:
    _, keeper = started(tmp_path, stood(100))
    keeper.end()
    site, keeper, told = kept(tmp_path, now)
    assert "unfinished since 2031-05-04 12:01 UTC" in told
    assert site.report().state is SiteState.PAUSED
    assert "very same spot" in site.report().why
    keeper.end()


def test_the_end_keeps_the_file_and_shows_the_result_after_a_restart(tmp_path: Path) -> None:
    site, keeper = started(tmp_path, stood(100))
    site.stop()
    keeper.save()
    keeper.end()
    assert not (tmp_path / "averaging.csv").exists()
    assert len(SiteFile(tmp_path).counted("averaging.20310504-120000.csv")) == 100
    again, keeper, _ = kept(tmp_path)
    assert again.report().state is SiteState.ENDED
    before, after = site.report().position, again.report().position
    assert before
    assert after
    assert way(before, after).distance_m < 0.001, "the file has tenths of a millimetre"
    assert keeper.start(again)
    fed(again, stood(60, seed=5))
    keeper.end()
    assert len(SiteFile(tmp_path).counted("averaging.20310504-120000.csv")) == 100
    assert len(SiteFile(tmp_path).counted()) == again.report().samples.count


def test_a_start_writes_over_nothing_even_without_an_end(tmp_path: Path) -> None:
    SiteFile(tmp_path).append([FIRST])
    site, keeper, _ = kept(tmp_path)
    site.stop()
    assert keeper.start(site)
    fed(site, stood(60))
    keeper.end()
    assert SiteFile(tmp_path).counted("averaging.20310504-120000.csv") == [FIRST]


@pytest.mark.parametrize("text", ["", "[1]", "{", "[" * 100_000, '{"mark": 3, "state": [], "finished": 7}'])
def test_a_damaged_state_costs_the_mark_alone(tmp_path: Path, text: str) -> None:
    _, keeper = started(tmp_path, stood(100))
    keeper.end()
    (tmp_path / "averaging.json").write_text(text)
    site, keeper, _ = kept(tmp_path)
    assert site.report().samples.count > 70
    assert site.report().mark is None
    keeper.end()
    aside = tmp_path / "averaging.json.unreadable"
    assert text.startswith('{"mark') or aside.read_text() == text


@pytest.mark.parametrize(
    "change",
    [{"position": [91, 0]}, {"position": [1]}, {"error_m": "x"}, {"height_kind": "tower"}, {"coarse_m": True}],
)
def test_a_mark_that_somebody_has_edited_to_nonsense_is_none(tmp_path: Path, change: dict[str, object]) -> None:
    site, keeper = started(tmp_path, stood(30))
    site.set_mark(MARK)
    keeper.end()
    path = tmp_path / "averaging.json"
    state = json.loads(path.read_text())
    assert state["mark"]["name"] == "Pillar 7"
    path.write_text(json.dumps({**state, "mark": {**state["mark"], **change}}))
    site, keeper, _ = kept(tmp_path)
    assert site.report().mark is None
    keeper.end()


def test_what_could_not_be_written_is_written_when_there_is_room_again(tmp_path: Path) -> None:
    blocked = tmp_path / "data"
    blocked.write_text("in the way")
    site, keeper = started(blocked, stood(100))
    keeper.save()
    done = threading.Event()
    keeper._jobs.put(("wait", done.set))
    assert done.wait(10)
    assert "could not be saved" in keeper.trouble
    blocked.unlink()
    keeper.save()
    keeper.end()
    assert len(SiteFile(blocked).counted()) == site.report().samples.count > 70


def test_a_second_program_does_not_write_into_the_averaging(tmp_path: Path) -> None:
    first, keeper = started(tmp_path, stood(100))
    second, other, told = kept(tmp_path)
    assert told == ""
    assert "another fixboard" in other.trouble
    assert other.start(second)
    fed(second, stood(100, seed=9, place=Position(OCEAN.latitude_deg, OCEAN.longitude_deg + 1)))
    other.save()
    other.end()
    keeper.end()
    assert len(SiteFile(tmp_path).counted()) == first.report().samples.count

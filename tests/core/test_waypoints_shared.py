"""One file, several writers: editors, other programs, full disks, damage. Nothing that was saved is lost."""

from __future__ import annotations

import os
import re
import resource
import stat
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from core import waypoints
from core.errors import InputError
from core.file_lock import lock_file
from core.fix import Position
from core.storage import replace_file
from core.waypoints import Waypoint, Waypoints
from tests.core.gpx_facts import FOREIGN, gpx

ROOT = Path(__file__).parents[2]
PLACE = Position(10.5, -20.25)
CAMP = Waypoint("Camp", PLACE)

posix = pytest.mark.skipif(os.name != "posix", reason="links, modes and limits as on POSIX")
not_root = pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may write everywhere: run as a user"
)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "waypoints.gpx"


def names(places: Waypoints) -> list[str]:
    return [one.name for one in places.all()]


def touch(path: Path, content: str) -> None:
    """As an editor saves: another file in its place."""
    fresh = path.with_name("editor's")
    fresh.write_text(content, "utf-8")
    fresh.replace(path)


# Two writers


def test_two_writers_in_turn_lose_nothing(file: Path) -> None:
    mine, theirs = Waypoints(file), Waypoints(file)
    for n in range(5):
        mine.add(Waypoint(f"mine {n}", PLACE))
        theirs.add(Waypoint(f"theirs {n}", PLACE))
    expected = [f"{who} {n}" for n in range(5) for who in ("mine", "theirs")]
    assert names(Waypoints(file)) == names(theirs) == expected


WRITER = """
import sys
from pathlib import Path
from core.fix import Position
from core.storage import replace_file
from core.waypoints import Waypoint, Waypoints
places = Waypoints(Path(sys.argv[1]))
print("ready", flush=True)
sys.stdin.readline()
for n in range(100):
    places.add(Waypoint(f"{sys.argv[2]} {n}", Position(1.0, 2.0)))
"""


def test_two_programs_at_the_same_time_lose_nothing(file: Path) -> None:
    command = [sys.executable, "-c", WRITER, str(file)]
    writers = [
        subprocess.Popen([*command, who], cwd=ROOT, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        for who in ("a", "b")
    ]
    for writer in writers:
        assert writer.stdout
        assert writer.stdout.readline() == "ready\n"
    for writer in writers:
        assert writer.stdin
        writer.stdin.write("\n")
        writer.stdin.flush()
    for writer in writers:
        writer.communicate()
    assert [writer.returncode for writer in writers] == [0, 0]
    found = names(Waypoints(file))
    assert sorted(found) == sorted(f"{who} {n}" for who in "ab" for n in range(100))
    assert [one for one in found if one.startswith("a")] == [f"a {n}" for n in range(100)]


def test_without_the_lock_they_would(file: Path) -> None:
    """Another program writes between our reading and our writing: only the lock stands in between."""
    mine, theirs = Waypoints(file), Waypoints(file)
    seen: list[float] = []

    def meddling(path: Path, content: bytes) -> None:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(waypoints, "replace_file", replace_file)
            patch.setattr(time, "sleep", seen.append)
            with pytest.raises(InputError, match="another program"):
                theirs.add(Waypoint("theirs", PLACE))
        replace_file(path, content)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(waypoints, "replace_file", meddling)
        mine.add(CAMP)
    assert seen
    theirs.add(Waypoint("theirs", PLACE))
    assert names(Waypoints(file)) == ["Camp", "theirs"]


def test_an_editor_between_two_additions_is_taken_up(file: Path) -> None:
    places = Waypoints(file)
    places.add(CAMP)
    touch(file, FOREIGN)
    places.add(Waypoint("New", PLACE))
    assert names(places) == names(Waypoints(file)) == ["Old hut", "", "Ford & <bridge>", "New"]
    assert "<!-- after the root -->" in file.read_text("utf-8")


# Noticing


def test_refresh_tells_what_others_did(file: Path) -> None:
    places = Waypoints(file)
    assert not places.refresh()
    Waypoints(file).add(CAMP)
    assert places.refresh()
    assert names(places) == ["Camp"]
    assert places.named("Camp") == CAMP
    assert [places.refresh() for _ in range(3)] == [False] * 3
    touch(file, FOREIGN)
    assert places.refresh()
    file.unlink()
    assert places.refresh()
    assert places.all() == ()
    assert not places.refresh()


def test_what_we_wrote_is_no_news_and_the_same_bytes_are_none(file: Path) -> None:
    places = Waypoints(file)
    places.add(CAMP)
    before = places.all()
    assert not places.refresh()
    touch(file, file.read_text("utf-8"))
    assert not places.refresh()
    assert places.all() is before


def test_an_edit_within_one_tick_of_the_file_system_s_clock_is_noticed(file: Path) -> None:
    places = Waypoints(file)
    places.add(CAMP)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(waypoints, "_signature", lambda _: places._seen)
        touch(file, file.read_text("utf-8").replace("Camp", "Pond"))
        assert places.refresh()
    assert names(places) == ["Pond"]


def test_while_nothing_changes_the_file_is_not_read(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    places = Waypoints(file)
    places.add(CAMP)
    places.refresh()
    places.refresh()
    monkeypatch.setattr(waypoints, "_bytes", lambda path: pytest.fail(f"{path} is read"))
    assert not places.refresh()


def test_our_own_file_is_parsed_once(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    places = Waypoints(file)
    places.add(CAMP)
    monkeypatch.setattr(waypoints, "read_document", lambda *_: pytest.fail("parsed again"))
    places.add(CAMP)
    places.change(CAMP, replace(CAMP, note="x"))
    places.restore(places.remove(CAMP))
    places.refresh()
    assert len(places.all()) == 2


# Damage

DAMAGED = [
    FOREIGN[:-80],
    "",
    "\x00" * 200,
    "<gpx/>",
    "<html/>",
    '<gpx xmlns="http://www.topografix.com/GPX/1/0" version="1.0" creator="x"/>',
    '<!DOCTYPE gpx [<!ENTITY a "b">]>' + gpx("<wpt lat='1' lon='1'><name>&a;</name></wpt>"),
    "<?xml version='1.0' encoding='utf-16'?>" + gpx(""),
    "<?xml version='1.0' encoding='no-such'?>" + gpx(""),
    gpx("<a>" * 100 + "</a>" * 100),
    gpx("<undeclared:a/>"),
    gpx("") * 2,
]


@pytest.mark.parametrize("content", DAMAGED, ids=range(len(DAMAGED)))
def test_a_damaged_file_is_refused_by_name(file: Path, content: str) -> None:
    file.write_text(content, "utf-8")
    with pytest.raises(InputError, match=re.escape(str(file))):
        Waypoints(file)


@pytest.mark.parametrize("content", DAMAGED, ids=range(len(DAMAGED)))
def test_a_file_damaged_meanwhile_is_never_written_over(file: Path, content: str) -> None:
    places = Waypoints(file)
    places.add(CAMP)
    file.write_text(content, "utf-8")
    for write in (lambda: places.add(CAMP), lambda: places.remove(CAMP), lambda: places.change(CAMP, CAMP)):
        with pytest.raises(InputError):
            write()
    assert file.read_text("utf-8") == content
    assert names(places) == ["Camp"]
    assert {one.name for one in file.parent.iterdir()} == {file.name, lock_file(file).name}


@pytest.mark.parametrize("content", DAMAGED, ids=range(len(DAMAGED)))
def test_damage_is_said_once_and_mending_is_noticed(file: Path, content: str) -> None:
    places = Waypoints(file)
    places.add(CAMP)
    good = file.read_text("utf-8")
    for mended, is_news in ((good, False), (FOREIGN, True)):
        touch(file, content)
        with pytest.raises(InputError, match=re.escape(str(file))):
            places.refresh()
        assert [places.refresh() for _ in range(3)] == [False] * 3
        with pytest.raises(InputError):
            places.add(CAMP)
        assert not places.refresh()
        touch(file, mended)
        assert places.refresh() is is_news
    places.add(Waypoint("New", PLACE))
    assert names(places) == ["Old hut", "", "Ford & <bridge>", "New"]


def test_a_folder_in_its_place_is_said(file: Path) -> None:
    places = Waypoints(file)
    file.mkdir()
    with pytest.raises(InputError, match="cannot be read"):
        Waypoints(file)
    with pytest.raises(InputError, match="cannot be read"):
        places.refresh()
    assert [places.refresh() for _ in range(3)] == [False] * 3
    with pytest.raises(InputError, match="cannot be read"):
        places.add(CAMP)


@posix
def test_a_pipe_in_its_place_does_not_keep_us_waiting(file: Path) -> None:
    os.mkfifo(file)
    with pytest.raises(InputError, match="cannot be read"):
        Waypoints(file)


def test_a_path_that_no_system_has_is_said(tmp_path: Path) -> None:
    for path in (tmp_path / "a\0b", tmp_path / ("x" * 5000)):
        with pytest.raises(InputError, match="cannot be read"):
            Waypoints(path)
        with pytest.raises(InputError, match="cannot be read"):
            Waypoints(tmp_path / "w.gpx").import_from(path)


def test_a_file_that_would_become_too_large_to_be_read_is_not_written(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    places = Waypoints(file)
    places.add(CAMP)
    monkeypatch.setattr(waypoints, "BIGGEST_BYTES", file.stat().st_size)
    with pytest.raises(InputError, match="would be larger"):
        places.add(CAMP)
    assert names(places) == names(Waypoints(file)) == ["Camp"]


# Where it cannot be saved


def test_what_cannot_be_saved_is_not_added(tmp_path: Path) -> None:
    (tmp_path / "data").write_bytes(b"a file where the folder should be")
    with pytest.raises(InputError):
        Waypoints(tmp_path / "data" / "waypoints.gpx").add(CAMP)
    fresh = Waypoints(tmp_path / "none" / "waypoints.gpx")
    (tmp_path / "none").write_bytes(b"")
    with pytest.raises(InputError):
        fresh.add(CAMP)
    assert fresh.all() == ()


@not_root
def test_a_folder_that_may_not_be_written_is_said(file: Path) -> None:
    places = Waypoints(file)
    places.add(CAMP)
    lock_file(file).unlink()
    content = file.read_bytes()
    file.parent.chmod(0o500)
    try:
        with pytest.raises(InputError, match="may it be written"):
            places.add(CAMP)
        assert not places.refresh()
    finally:
        file.parent.chmod(0o700)
    assert file.read_bytes() == content
    assert names(places) == ["Camp"]


@posix
def test_a_disk_that_fills_up_half_way_leaves_the_old_file(file: Path) -> None:
    """The system itself stops the writing: a limit on the size of files, in a process of its own."""
    Waypoints(file).add_all([Waypoint(f"Camp {n}", PLACE) for n in range(100)])
    content, limit = file.read_bytes(), file.stat().st_size + 20
    script = WRITER.replace("places = ", f"import signal, resource\nsignal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
                            f"resource.setrlimit(resource.RLIMIT_FSIZE, ({limit}, {limit}))\nplaces = ", 1)  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-c", script, str(file), "more"],
        cwd=ROOT,
        input="\n",
        capture_output=True,
        text=True,
        check=False,
    )
    assert "InputError" in done.stderr.splitlines()[-1]
    assert "could not be saved" in done.stderr.splitlines()[-1]
    assert file.read_bytes() == content
    assert {one.name for one in file.parent.iterdir()} == {file.name, lock_file(file).name}
    assert resource.getrlimit(resource.RLIMIT_FSIZE) != (limit, limit)


@posix
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real" / "places.gpx", tmp_path / "data" / "waypoints.gpx"
    link.parent.mkdir()
    link.symlink_to(Path("..") / "real" / "places.gpx")
    places = Waypoints(link)
    for n in range(3):
        places.add(Waypoint(f"Camp {n}", PLACE))
        Waypoints(real).add(Waypoint(f"Pond {n}", PLACE))
    assert link.is_symlink()
    assert {one.name for one in link.parent.iterdir()} == {link.name}
    assert {one.name for one in real.parent.iterdir()} == {real.name, f"{real.name}.bak", lock_file(real).name}
    assert len(Waypoints(link).all()) == 6
    assert places.refresh()
    other = tmp_path / "other.gpx"
    touch(other, FOREIGN)
    link.unlink()
    link.symlink_to(other)
    assert places.refresh()
    assert names(places)[0] == "Old hut"


@posix
@pytest.mark.parametrize("mode", [0o644, 0o600, 0o640, 0o664])
def test_mode_bits_stay(file: Path, mode: int) -> None:
    file.write_text(FOREIGN, "utf-8")
    file.chmod(mode)
    Waypoints(file).add(CAMP)
    assert stat.S_IMODE(file.stat().st_mode) == mode


def test_leftovers_of_killed_writers_go_with_the_next_save(file: Path) -> None:
    mine = [file.with_name(f".{file.name}.abc{n}.part") for n in range(3)]
    others = [file.with_name(f".{file.name}x.abc.part"), file.with_name("photo.part")]
    for one in (*mine, *others):
        one.write_bytes(b"half")
    Waypoints(file).add(CAMP)
    assert {one.name for one in file.parent.iterdir()} == {
        file.name,
        lock_file(file).name,
        *(one.name for one in others),
    }

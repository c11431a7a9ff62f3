"""Where a user's files lie, on each system; nothing is read but what is passed in."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.locations import Locations, locations

HOME = Path("/home/q0abc")


@pytest.mark.parametrize(
    ("environment", "platform", "folder"),
    [
        ({}, "linux", "/home/q0abc/.local/share/fixboard"),
        ({}, "freebsd14", "/home/q0abc/.local/share/fixboard"),
        ({"XDG_DATA_HOME": "/data/of/q"}, "linux", "/data/of/q/fixboard"),
        # XDG Base Directory Specification: paths that are not absolute are to be ignored.
        ({"XDG_DATA_HOME": "relative"}, "linux", "/home/q0abc/.local/share/fixboard"),
        ({"XDG_DATA_HOME": ""}, "linux", "/home/q0abc/.local/share/fixboard"),
        ({"XDG_DATA_HOME": "/data/of/q"}, "darwin", "/home/q0abc/Library/Application Support/fixboard"),
        ({}, "win32", "/home/q0abc/AppData/Roaming/fixboard"),
        ({"APPDATA": "/roaming"}, "win32", "/roaming/fixboard"),
        ({"APPDATA": ""}, "win32", "/home/q0abc/AppData/Roaming/fixboard"),
        ({"FIXBOARD_DATA": "/chosen"}, "linux", "/chosen"),
        ({"FIXBOARD_DATA": "/chosen", "XDG_DATA_HOME": "/x", "APPDATA": "/y"}, "win32", "/chosen"),
        ({"FIXBOARD_DATA": ""}, "linux", "/home/q0abc/.local/share/fixboard"),
    ],
)
def test_the_folder_of_the_users_files(environment: dict[str, str], platform: str, folder: str) -> None:
    assert locations(environment, platform, HOME) == Locations(Path(folder))


def test_a_tilde_is_the_home_of_the_user(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", "/home/q0abc")
    monkeypatch.setenv("USERPROFILE", "/home/q0abc")
    assert locations({"FIXBOARD_DATA": "~/kept"}, "linux", HOME).data == Path("/home/q0abc/kept")


def test_the_files_lie_in_the_folder_and_asking_makes_nothing(tmp_path: Path) -> None:
    places = locations({"FIXBOARD_DATA": str(tmp_path / "none yet")}, "linux", HOME)
    assert (places.waypoints.name, places.board.name) == ("waypoints.gpx", "board.toml")
    assert places.waypoints.parent == places.board.parent == tmp_path / "none yet"
    assert not places.data.exists()

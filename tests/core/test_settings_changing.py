"""A setting changed in the user's file: comments kept, the whole table right afterwards, a damaged file untouched."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.errors import InputError
from core.settings import read_settings
from core.settings.changing import change, look
from core.settings.keys import Bound

MINE = """\
# of the boat
[before_dark]
margin_min = 45     # she is slow
"""
SCREENS = ((Bound("mark_here", ("m",)), Bound("go_to_mark", ("g",))),)


def kept(folder: Path, text: str) -> Path:
    path = folder / "settings.toml"
    path.write_text(text, "utf-8")
    return path


def test_a_value_is_changed_and_the_comments_stay(tmp_path: Path) -> None:
    path = kept(tmp_path, MINE)
    assert change(path, ("before_dark", "margin_min"), 60.0).before_dark.margin_min == 60.0
    text = path.read_text("utf-8")
    assert "# of the boat" in text
    assert "# she is slow" in text
    assert read_settings(path).before_dark.margin_min == 60.0
    assert path.with_name("settings.toml.bak").read_text("utf-8") == MINE


def test_the_first_setting_makes_the_file(tmp_path: Path) -> None:
    path = tmp_path / "new" / "settings.toml"
    assert change(path, ("recorder", "always"), True).recorder.always
    assert path.read_text("utf-8") == "[recorder]\nalways = true\n"


def test_none_takes_a_key_out(tmp_path: Path) -> None:
    path = kept(tmp_path, MINE)
    assert change(path, ("before_dark", "margin_min"), None).before_dark.margin_min == 30.0
    assert "margin_min" not in path.read_text("utf-8")


@pytest.mark.parametrize(
    ("place", "value", "said"),
    [
        (("home", "radius_m"), 300.0, "radius_m is a circle around nothing"),
        (("board", "panes"), [], "a board without a pane shows nothing"),
        (("keys", "mark_here"), "g", "the same key: change one"),
        (("keys", "mark_her"), "f12", "did you mean mark_here?"),
    ],
)
def test_what_would_be_wrong_beside_the_others_is_refused(
    tmp_path: Path, place: tuple[str, str], value: float | str | list[str], said: str
) -> None:
    path = kept(tmp_path, MINE)
    with pytest.raises(InputError) as caught:
        change(path, place, value, SCREENS)
    assert said in str(caught.value)
    assert "line" not in str(caught.value), "it is in no line of the file"
    assert path.read_text("utf-8") == MINE


def test_the_new_mistake_is_named_and_not_an_old_one_that_moved(tmp_path: Path) -> None:
    path = kept(tmp_path, "[alerts]\nbell = 'loud'\n[home]\n\n[track]\nrule = 'often'\n")
    with pytest.raises(InputError, match="radius_m is a circle around nothing"):
        change(path, ("home", "radius_m"), 300.0)


def test_a_file_is_mended_key_by_key(tmp_path: Path) -> None:
    path = kept(tmp_path, "[alerts]\nbell = 'loud'\n[track]\nrule = 'often'\n")
    assert len(look(path).wrong) == 2
    change(path, ("recorder", "always"), True)
    assert len(look(path).wrong) == 2
    assert change(path, ("alerts", "bell"), "on").alerts.bell == "on"
    assert [one for one in look(path).wrong if "bell" in one] == []
    assert len(look(path).wrong) == 1


@pytest.mark.parametrize("damaged", [b"[recorder\nalways = true\n", b"\xff\xfe\x00[", b"x = [" * 3000])
def test_a_damaged_file_is_named_with_what_to_do_and_stays_as_it_is(tmp_path: Path, damaged: bytes) -> None:
    path = tmp_path / "settings.toml"
    path.write_bytes(damaged)
    found = look(path)
    assert str(path) in found.damage
    assert "move it away" in found.damage
    with pytest.raises(InputError, match="move it away"):
        change(path, ("recorder", "always"), True)
    assert path.read_bytes() == damaged
    assert [one.name for one in tmp_path.iterdir() if one.name.endswith((".bak", ".part"))] == []


def test_a_folder_in_its_place_is_damage(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.mkdir()
    assert "cannot be read" in look(path).damage


def test_what_has_not_changed_is_not_looked_at_again(tmp_path: Path) -> None:
    path = kept(tmp_path, MINE)
    found = look(path)
    assert look(path, before=found) is found
    path.write_text(MINE.replace("45", "46"), "utf-8")
    assert look(path, before=found).value(("before_dark", "margin_min")) == 46


def test_a_file_that_could_not_be_read_and_is_away_is_no_damage_any_more(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.mkdir()
    found = look(path)
    path.rmdir()
    assert look(path, before=found).damage == ""


def test_a_table_that_is_none_has_no_values(tmp_path: Path) -> None:
    found = look(kept(tmp_path, "recorder = 3\n"))
    assert found.value(("recorder", "always")) is None
    assert found.wrong

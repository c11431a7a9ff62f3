"""Every key of the settings by its row: examples and defaults are right, what is typed is read, the file is edited."""

from __future__ import annotations

import stat
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import InputError, UsageError
from core.settings import Settings, read_settings, usable_settings
from core.settings.key import ANY_COMMAND
from core.settings.keys import Bound, clash, key_list, keymap
from core.settings.table import KEYS, Key, find, parse, write_setting
from core.settings.values import check

BY_ID = {key.id: key for key in KEYS}
SCREENS = (
    (Bound("mark_here", ("m",)), Bound("go_to_mark", ("g",)), Bound("page_board", ("0", "b", "escape"))),
    (Bound("edit_chosen", ("f2",), True), Bound("go_to_chosen", ("enter",), True)),
)
TYPED: dict[str, list[tuple[str, object]]] = {
    "switch": [("true", True), ("on", True), ("NO", False)],
    "choices": [],
    "words": [("RMC,GGA", "RMC,GGA")],
    "addresses": [("tcp:10110", "tcp:10110"), ("tcp:10110, pty", ["tcp:10110", "pty"])],
    "folder": [("~/there", "~/there"), ("/media/stick", "/media/stick")],
    "rule": [("every 5 s", "every 5 s")],
    "place": [("10.5 N 20.25 W", "10.5 N 20.25 W")],
    "keys": [("m,f12", "m,f12"), ("+", "+")],
}
REFUSED = {
    "switch": ["", "perhaps", "1"],
    "number": ["", "much", "nan", "inf", "-1e9", "1e9", "true"],
    "choice": ["", "none of them"],
    "choices": ["nowhere", "[1]", "[", "[['a']]"],
    "words": [],
    "addresses": ["carrier pigeon", "[1]"],
    "folder": ["", "recordings", "./here", "\0/x"],
    "rule": ["", "seldom"],
    "place": ["", "somewhere", "\0"],
    "keys": ["", "escape", "ctrl+c", "no key", "m,enter", "ctrl+m", "m,,n", ",".join("abcdefghi")],
}


def kept(folder: Path, text: str) -> Settings:
    path = folder / "settings.toml"
    path.write_text(text, encoding="utf-8")
    return read_settings(path, SCREENS)


def named(key: Key) -> str:
    return "mark_here" if key.name == ANY_COMMAND else key.name


@pytest.mark.parametrize("key", KEYS, ids=lambda key: key.id)
def test_the_example_of_a_key_is_right_in_the_file(key: Key, tmp_path: Path) -> None:
    beside = 'place = "1 N 2 W"\n' if key.id == "home.radius_m" else ""
    usual = Settings()
    found = kept(tmp_path, f"[{key.table}]\n{beside}{named(key)} = {key.example}\n")
    assert check(key, tomllib.loads(f"x = {key.example}")["x"]) is not None
    assert found is not None
    assert isinstance(found, type(usual))


@pytest.mark.parametrize("key", [key for key in KEYS if key.default is not None], ids=lambda key: key.id)
def test_the_default_of_a_key_is_what_stands_without_it(key: Key, tmp_path: Path) -> None:
    value = key.default
    if value == "":
        return
    beside = 'place = "1 N 2 W"\n' if key.table == "home" else ""
    written = str(value).lower() if isinstance(value, bool) else repr(value)
    with_it = kept(tmp_path, f"[{key.table}]\n{beside}{key.name} = {written}\n")
    without = kept(tmp_path, f"[{key.table}]\n{beside}")
    unsaid = {"board.theme", "board.notation", "board.bearings", "board.orientation", "board.chart_span", "alerts.bell"}
    if key.id not in unsaid:  # with these it counts that somebody has said it
        assert with_it == without


@pytest.mark.parametrize("key", KEYS, ids=lambda key: key.id)
def test_what_is_typed_for_a_key_is_read_or_refused_with_its_name(key: Key) -> None:
    for text, value in TYPED.get(key.kind, []):
        assert parse(key, text) == value
    for choice in key.choices:
        wanted = choice if key.kind == "choice" else [choice]
        assert parse(key, choice) == wanted
    if key.kind == "number":
        assert parse(key, str(key.least)) == key.least
        assert parse(key, f" {key.most:g} {key.unit} ") == key.most
    for text in REFUSED[key.kind]:
        if text or key.kind not in {"words", "choices", "addresses"}:
            with pytest.raises(UsageError, match=rf"^{key.name if key.name != ANY_COMMAND else '[*]'} "):
                parse(key, text)


@given(st.sampled_from(KEYS), st.text(max_size=40))
@settings(max_examples=200, deadline=None)
def test_any_text_is_a_value_or_a_usage_error(key: Key, text: str) -> None:
    try:
        value = parse(key, text)
    except UsageError as error:
        assert str(error)
    else:
        assert check(key, value) == value or key.kind == "number"


@pytest.mark.parametrize("key", KEYS, ids=lambda key: key.id)
def test_a_slip_in_the_name_is_named_with_line_and_the_nearest(key: Key, tmp_path: Path) -> None:
    if key.name == ANY_COMMAND:
        return
    with pytest.raises(InputError) as error:
        kept(tmp_path, f"# {key.name}x\n[{key.table}]\n{key.name}x = 1\n")
    assert f"line 3: {key.name}x is not known: did you mean {key.name}?" in str(error.value)


@pytest.mark.parametrize("key", KEYS, ids=lambda key: key.id)
def test_a_value_of_the_wrong_sort_is_named_with_its_line(key: Key, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=rf"line 3: {named(key)} "):
        kept(tmp_path, f"\n[{key.table}]\n{named(key)} = {{x = 1}}\n")


def test_a_key_is_found_by_its_table_when_another_has_the_same_name_in_a_comment(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="line 4: speed is 'warp'"):
        kept(tmp_path, '# speed\n[feed]\n[units]\nspeed = "warp"\n')


# Units and keys


def test_single_units_go_before_the_system(tmp_path: Path) -> None:
    found = kept(tmp_path, '[units]\nsystem = "statute"\nheight = "m"\n').units
    assert (found.distance, found.short, found.speed, found.height) == ("mi", "ft", "mph", "m")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('mark_her = "k"', "line 2: mark_her is not known: did you mean mark_here?"),
        ('mark_here = "g"', "has g, and so mark_here and go_to_mark have the same key: change one"),
        ('mark_here = "k"\ngo_to_mark = "k"', "mark_here and go_to_mark have the same key"),
        ('mark_here = "escape"', "has escape in it, which the board needs: it leaves every list and page"),
        ('mark_here = "ctrl+m"', "terminals send it for Enter"),
        ('mark_here = "Ctrl+Q"', "has ctrl+q in it, which the board needs"),
        ('edit_chosen = "e"', "has e in it, which filters that list"),
        ('mark_here = "hyper+k"', "has 'hyper+k' in it, which is no key"),
        ("mark_here = 5", "keys are wanted"),
    ],
)
def test_keys_that_cannot_be_are_named(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(InputError) as error:
        kept(tmp_path, f"[keys]\n{text}\n")
    assert said in str(error.value)


def test_two_commands_may_change_their_keys(tmp_path: Path) -> None:
    wanted = kept(tmp_path, '[keys]\nmark_here = "g"\ngo_to_mark = "m"\n').keys
    assert keymap(SCREENS[0], wanted) == {"mark_here": "g", "go_to_mark": "m"}
    assert clash(SCREENS[0], wanted) is None


def test_escape_and_enter_stay_with_the_commands_that_have_them() -> None:
    assert keymap([*SCREENS[0], *SCREENS[1]], {"page_board": "w", "go_to_chosen": "f10"}) == {
        "page_board": "w,escape",
        "go_to_chosen": "f10,enter",
    }


def test_keys_are_named_as_the_toolkit_names_them() -> None:
    from textual.keys import _character_to_key

    for character in "abcXYZ019!\"#$%&'()*+-./:;<=>?@[]^_`{|}~§é":
        if character != ",":
            assert key_list(character) == (_character_to_key(character),), character
    assert key_list("comma,Space,F5,pgup,shift+g,alt+x") == ("comma", "space", "f5", "pageup", "G", "alt+x")


# Written


def file_with(folder: Path, text: str) -> Path:
    path = folder / "settings.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_key_is_written_into_a_new_file_for_its_user_alone(tmp_path: Path) -> None:
    path = tmp_path / "new" / "settings.toml"
    write_setting(path, BY_ID["before_dark.margin_min"], "45")
    assert read_settings(path).before_dark.margin_min == 45.0
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_comments_and_order_stay_when_a_key_changes_comes_or_goes(tmp_path: Path) -> None:
    before = '# mine\n[recorder]  # r\nalways = true  # why\n\n[units]\nsystem = "metric"  # for now\n'
    path = file_with(tmp_path, before)
    write_setting(path, BY_ID["units.system"], "Statute")
    assert path.read_text() == before.replace("metric", "statute")
    write_setting(path, BY_ID["recorder.exact"], "on")
    write_setting(path, BY_ID["board.panes"], "fix, sky")
    write_setting(path, BY_ID["keys.*"], "k", name="mark_here")
    found = read_settings(path, SCREENS)
    assert found.recorder.exact
    assert found.board.panes == ("fix", "sky")
    assert found.keys == {"mark_here": "k"}
    for key, name in (("recorder.exact", ""), ("board.panes", ""), ("keys.*", "mark_here")):
        write_setting(path, BY_ID[key], None, name=name)
    text = path.read_text()
    assert "# mine" in text
    assert "always = true  # why" in text
    assert read_settings(path, SCREENS).board == Settings().board


@pytest.mark.parametrize("key", KEYS, ids=lambda key: key.id)
def test_the_example_of_a_key_is_written_and_read_and_taken_out(key: Key, tmp_path: Path) -> None:
    path = file_with(tmp_path, '[home]\nplace = "1 N 2 W"\n' if key.table == "home" else "# nothing yet\n")
    before = path.read_text()
    value = tomllib.loads(f"x = {key.example}")["x"]
    text = ", ".join(value) if isinstance(value, list) else str(value)
    write_setting(path, key, text, name=named(key))
    assert tomllib.loads(path.read_text())[key.table][named(key)] == check(key, value)
    usable_settings(path)
    write_setting(path, key, None, name=named(key))
    assert path.read_text().startswith(before.split("place")[0])
    assert named(key) not in tomllib.loads(path.read_text()).get(key.table, {})


def test_ends_of_lines_and_a_mark_of_three_bytes_stay(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_bytes(b"\xef\xbb\xbf# mine\r\n[units]\r\nsystem = 'metric' # m\r\n")
    write_setting(path, BY_ID["units.system"], "nautical")
    assert path.read_bytes() == b'\xef\xbb\xbf# mine\r\n[units]\r\nsystem = "nautical" # m\r\n'


def test_a_file_that_is_no_toml_stays_as_it_is(tmp_path: Path) -> None:
    path = file_with(tmp_path, "[units\n")
    with pytest.raises(InputError, match="is no TOML"):
        write_setting(path, BY_ID["units.system"], "statute")
    assert path.read_text() == "[units\n"


@pytest.mark.parametrize(
    "text", ["units = 4\n", "[[units]]\n", "units.system = 'metric'\n", "units = {system = 'metric'}\n"]
)
def test_a_file_written_oddly_is_edited_rightly_or_stays(text: str, tmp_path: Path) -> None:
    path = file_with(tmp_path, text)
    try:
        write_setting(path, BY_ID["units.system"], "statute")
    except InputError as error:
        assert "too oddly" in str(error)
        assert path.read_text() == text
    else:
        assert read_settings(path).units.distance == "mi"


def test_what_is_wrong_is_not_written(tmp_path: Path) -> None:
    path = file_with(tmp_path, "")
    with pytest.raises(UsageError, match="system is 'imperial'"):
        write_setting(path, BY_ID["units.system"], "imperial")
    assert path.read_text() == ""


def test_no_key_is_there_twice_and_every_row_says_something() -> None:
    assert len(BY_ID) == len(KEYS)
    for key in KEYS:
        assert key.words
        assert key.kind not in {"choice", "choices"} or key.choices
        assert key.kind != "number" or (key.least is not None and key.most is not None)
    assert find("keys", "anything") is BY_ID["keys.*"]
    assert find("units", "nothing") is None

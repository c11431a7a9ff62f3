"""The user's settings file: sensible without one, and errors that say line, name and what would be right."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.accuracy import RANGING_ERROR_M
from core.errors import InputError
from core.fix import FixMode
from core.settings import RecorderChoices, Settings, read_settings


def kept(folder: Path, text: str) -> Settings:
    path = folder / "settings.toml"
    path.write_text(text, encoding="utf-8")
    return read_settings(path)


def test_without_a_file_all_is_as_usual(tmp_path: Path) -> None:
    found = read_settings(tmp_path / "settings.toml")
    assert found.errors.ranging_error_m == RANGING_ERROR_M
    assert found.recorder == RecorderChoices(always=False, exact=False, compress=False)
    assert not found.position.pin_digits


def test_what_is_set_counts_and_the_rest_is_as_usual(tmp_path: Path) -> None:
    found = kept(
        tmp_path, "[ranging_error_m]\nautonomous = 6\n[recorder]\nalways = true\n[position]\npin_digits = true\n"
    )
    assert found.position.pin_digits
    assert found.errors.ranging_error_m[FixMode.AUTONOMOUS] == 6.0
    assert found.errors.ranging_error_m[FixMode.RTK_FIXED] == RANGING_ERROR_M[FixMode.RTK_FIXED]
    assert found.recorder == RecorderChoices(always=True)


def test_the_height_of_the_antenna_is_unknown_until_it_is_set(tmp_path: Path) -> None:
    assert kept(tmp_path, "").stations.antenna_m is None
    assert kept(tmp_path, "[stations]\nantenna_m = 6\n").stations.antenna_m == 6.0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[ranging_error_m]\nautonomus = 4\n", "line 2: autonomus is not known: did you mean autonomous?"),
        ("[ranging_error]\n", "line 1: ranging_error is not known: did you mean ranging_error_m?"),
        ("[ranging_error_m]\nestimated = 4\n", "estimated is not known"),
        ("[ranging_error_m]\n\nprecise = -1\n", "line 3: precise is -1: metres from 0.001 to 1000 are wanted"),
        ("[ranging_error_m]\nprecise = nan\n", "precise is nan"),
        ("[ranging_error_m]\nprecise = true\n", "precise is True"),
        ("[ranging_error_m]\nprecise = 'much'\n", "precise is 'much'"),
        ("ranging_error_m = 4\n", "must be a table"),
        ("[recorder]\nalways = 1\n", "line 2: always is 1: true or false is wanted"),
        ("[position]\npin_digit = true\n", "line 2: pin_digit is not known: did you mean pin_digits?"),
        ("[stations]\nantenna_m = -1\n", "line 2: antenna_m is -1: metres from 0 to 9000 are wanted"),
        ("[stations]\nantenna_m = nan\n", "antenna_m is nan"),
        ("[stations]\nantenna = 4\n", "did you mean antenna_m?"),
        ("[recorder\n", "is no TOML"),
        ("[" * 5000, "is no TOML"),
    ],
)
def test_what_is_wrong_is_named(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(InputError) as error:
        kept(tmp_path, text)
    assert said in str(error.value)
    assert "settings.toml" in str(error.value)


def test_bytes_that_are_no_text_are_refused_with_words(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="cannot be read"):
        read_settings(path)

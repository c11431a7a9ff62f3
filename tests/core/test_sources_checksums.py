"""Whether a file is read without checksums: only if its first fifty sentences have none, as the contract has it."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

import core.sources.recording as module
from core.errors import InputError
from core.sources.recording import has_checksums
from tests.build import line

NO_TIME = "GNGGA,,,,,,0,00,,,M,,M,,"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "walk.nmea"


BARE, FULL, WRONG = b"$" + NO_TIME.encode() + b"\r\n", line(NO_TIME), b"$" + NO_TIME.encode() + b"*00\r\n"


@pytest.mark.parametrize(
    ("content", "needed"),
    [
        (b"", True),
        (b"no sentence\r\n" * 100, True),
        (FULL, True),
        (WRONG * 60, True),
        (BARE, False),
        (BARE * 60, False),
        (BARE * 49 + FULL, True),
        (BARE * 49 + WRONG, True),
        (BARE * 50 + FULL, False),
        (FULL + BARE * 60, True),
        # The last line may have no end.
        (BARE.rstrip(), False),
        (FULL.rstrip(), True),
        (BARE + FULL.rstrip(), True),
        (BARE + BARE.rstrip(), False),
        # Damage says nothing of the rest of the file.
        (b"$GNGGA,1\x01,\r\n" + BARE * 60, False),
        (b"$GNTXT," + b"x" * 2000 + b"\r\n" + BARE * 60, False),
        (b"\xb5\x62 binary \x00$ \r\n" + BARE * 60, False),
    ],
    ids=range(17),
)
def test_a_file_is_read_without_checksums_only_if_its_first_fifty_sentences_have_none(
    file: Path, content: bytes, needed: bool
) -> None:
    file.write_bytes(content)
    assert has_checksums(file) is needed
    file.write_bytes(gzip.compress(content))
    assert has_checksums(file) is needed


def test_the_question_closes_the_file_and_fails_as_opening_does(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    closed: list[Path] = []
    close = module.Recording.close

    def noted(recording: module.Recording) -> None:
        closed.append(recording.path)
        close(recording)

    monkeypatch.setattr(module.Recording, "close", noted)
    file.write_bytes(FULL)
    assert has_checksums(file)
    file.write_bytes(gzip.compress(BARE)[:-4])
    with pytest.raises(InputError):
        has_checksums(file)
    assert closed == [file, file]

"""Every reader of text and files under mutations that know its grammar: no escape, no figure out of its range."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.faults.fuzz_readers import READERS, hammered
from tests.faults.fuzz_readers_base import Escape, Reader, must, number_in, on_globe, within
from tests.faults.fuzz_readers_mutation import LONGEST, Mutator

PARSES = 400
"""In the suite: as many as show that a reader still bears its seeds and their neighbours. By hand a million each."""
DEAR = {"heard", "beam", "read_back", "mgrs", "grid", "stations_csv"}
"""Milliseconds a parse."""


@pytest.mark.parametrize("name", READERS)
def test_a_reader_reads_or_refuses_in_words(name: str) -> None:
    ran = hammered(READERS[name], PARSES // 10 if name in DEAR else PARSES, seed=len(name))
    assert ran.taken > 0, f"none of {ran.parses} inputs was read: this is no test of what is behind the first check"


@pytest.mark.slow
@pytest.mark.parametrize("name", READERS)
def test_a_million_parses(name: str) -> None:
    """As far as ten minutes a reader go; `python -m tests.faults.fuzz_readers` says how far that was."""
    assert hammered(READERS[name], 1_000_000, seed=1, seconds=600.0).taken > 0


@pytest.mark.parametrize("name", READERS)
def test_every_seed_is_read(name: str) -> None:
    reader = READERS[name]
    assert any(reader.read(seed) for seed in reader.seeds)


def test_mutations_are_the_same_for_the_same_number_and_bounded() -> None:
    one, same, other = (Mutator([b"47.5 N 11.25 E"], [b"S", b"W"], seed) for seed in (3, 3, 4))
    first = [one.one() for _ in range(300)]
    assert first == [same.one() for _ in range(300)]
    assert first != [other.one() for _ in range(300)]
    assert max(map(len, first)) <= LONGEST
    assert len(set(first)) > 200


# The net itself must have no holes.


def test_a_reader_that_writes_is_caught(tmp_path: Path) -> None:

    def writes(data: bytes) -> bool:
        (tmp_path / "x").write_bytes(data)
        return True

    with pytest.raises(Escape, match="for writing"):
        within(Reader(writes, ()), b"x")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -90.1, True, "1", None])
def test_what_is_no_number_in_range_is_caught(value: object) -> None:
    with pytest.raises(Escape):
        number_in(value, -90.0, 90.0, "x")
    with pytest.raises(Escape):
        on_globe((value, 0.0))


def test_another_error_than_the_documented_is_an_escape_with_its_input() -> None:
    def breaks(data: bytes) -> bool:
        raise KeyError(data)

    with pytest.raises(KeyError) as caught:
        hammered(Reader(breaks, (b"seed",)), 5, 1)
    assert "b'seed'" in caught.value.__notes__[0]


def test_a_property_that_does_not_hold_is_an_escape() -> None:
    with pytest.raises(Escape, match="what"):
        must(0, "what")

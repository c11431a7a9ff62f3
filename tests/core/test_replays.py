"""The bundled rehearsals: what their scenarios make, labelled, readable by others, small enough. All invented."""

from __future__ import annotations

import gzip
from importlib.resources import as_file

import pynmea2
import pytest

import replays
from core.rehearsal.run import rehearse
from core.rehearsal.scenario import read_scenario
from core.sources.recording import open_recording
from core.sources.rehearsal_label import is_rehearsal

REHEARSALS = [name for name in replays.names() if name != "first_walk"]
LARGEST_TOGETHER = 5_000_000


def sentences(name: str) -> list[bytes]:
    """Every line of a bundled recording, without its TAG block."""
    with as_file(replays.path(name)) as path:
        data = b"".join(open_recording(path).blocks())
    return [line.rpartition(b"\\")[2] for line in data.splitlines() if line]


def test_there_are_eight_of_them_and_all_is_small() -> None:
    assert len(REHEARSALS) == 8
    sizes = []
    for name in replays.names():
        with as_file(replays.path(name)) as path:
            sizes.append(path.stat().st_size)
    assert sum(sizes) < LARGEST_TOGETHER


@pytest.mark.parametrize("name", REHEARSALS)
def test_each_says_that_it_is_a_rehearsal(name: str) -> None:
    with as_file(replays.path(name)) as path:
        assert is_rehearsal(path)


def test_the_demo_walk_is_a_recording_by_its_own_words() -> None:
    with as_file(replays.path("first_walk")) as path:
        assert not is_rehearsal(path)


def test_a_scenario_makes_the_recording_that_is_bundled_byte_for_byte() -> None:
    name = "rolled_over"
    with as_file(replays.path(name)) as path:
        bundled = gzip.decompress(path.read_bytes())
        text = path.with_name(f"{name}.toml").read_text("utf-8")
    made = b"".join(rehearse(read_scenario(text, f"{name}.toml")))
    assert made == bundled


@pytest.mark.parametrize("name", ["rolled_over", "interference", "under_trees"])
def test_every_sentence_is_read_by_an_independent_library(name: str) -> None:
    lines = sentences(name)
    assert len(lines) > 1000
    for line in lines:
        pynmea2.parse(line.decode("ascii"), check=True)

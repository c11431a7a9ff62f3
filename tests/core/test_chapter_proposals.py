"""Proposed chapters against what is known of the recordings: by their scenarios, or because the test made them."""

from __future__ import annotations

import random
import re
from datetime import timedelta
from functools import lru_cache
from importlib.resources import as_file
from itertools import pairwise
from pathlib import Path

import pytest

import replays
from core.accuracy import ErrorModel
from core.chapter_blocks import written_out
from core.chapter_file import entry_of, parse_entries
from core.chapter_proposals import KEPT, LEAD_S, MOST, Moments, Plan, Proposal, propose, weightiest
from core.chapter_words import Found, Kind, lasting, length
from core.chapters import Chapter
from core.sources.recording import open_recording
from tests.logbooks import NOON, epoch
from tui.screens.board import PAGES


@lru_cache
def proposed(name: str) -> Proposal:
    with as_file(replays.path(name)) as path:
        return propose(open_recording(path), Plan(True, ErrorModel()))


def of(path: Path, *pieces: bytes) -> Proposal:
    path.write_bytes(b"".join(pieces))
    return propose(open_recording(path), Plan(True, ErrorModel()))


def near(found: Proposal, at_s: float, title: str) -> Chapter:
    """The one that begins a lead before this moment, within two seconds."""
    there = [one for one in found.chapters if abs(one.at_s + LEAD_S - at_s) <= 2.0 and re.search(title, one.title)]
    assert len(there) == 1, [(one.at_s, one.title) for one in found.chapters]
    return there[0]


# Against the scenarios: their seconds are in the TOML files beside the recordings


def test_a_transmitter_is_found_before_anything_it_does() -> None:
    found = proposed("interference")
    near(found, 150, "All signals fall")
    assert "2 min" in near(found, 424, "Fix lost").title
    near(found, 602, "Fix back")


def test_the_antimeridian_and_the_time_below_deck_are_found() -> None:
    found = proposed("ferry")
    near(found, 985, "antimeridian")
    assert near(found, 1150, "Fix lost").title == "Fix lost for 2 min 01 s"


def test_what_a_base_station_does_is_found_with_its_figures() -> None:
    found = proposed("rtk_arrives")
    assert "27 cm" in near(found, 79.8, "RTK float").words
    assert "to 1 cm" in near(found, 119.6, "RTK fixed").words


def test_a_date_that_cannot_be_right_is_found() -> None:
    (found,) = [one for one in proposed("rolled_over").chapters if "date" in one.title]
    assert "1988-02-19" in found.words
    assert "1024" in found.words


def test_a_walk_s_rests_and_its_first_fix_are_found() -> None:
    found = proposed("ridge_walk")
    near(found, 20, "First fix")
    near(found, 2087, "Standing still for 4 min")
    near(found, 2329, "Setting out")


@pytest.mark.parametrize("name", replays.names())
def test_they_are_few_apart_in_order_and_can_be_read_again(name: str) -> None:
    found = proposed(name)
    times = [one.at_s for one in found.chapters]
    assert 3 <= len(times) <= MOST
    assert times == sorted(times)
    assert all(b - a >= 7.0 for a, b in pairwise(times))
    assert times[0] >= 0.0
    assert times[-1] < found.duration_s
    text = "\n".join(written_out(entry_of(one)) for one in found.chapters)
    assert [one.at(one.when.at_s or 0.0) for one in parse_entries(text, "x", PAGES)] == list(found.chapters)


# Made by the test


def walk(*seconds: range, lost: range = range(0)) -> list[bytes]:
    return [epoch(NOON + timedelta(seconds=n), n, fix=n not in lost) for part in seconds for n in part]


def test_a_loss_has_its_length_and_where_it_began(tmp_path: Path) -> None:
    found = of(tmp_path / "a.nmea", *walk(range(300), lost=range(120, 162)))
    assert near(found, 120, "lost").title == "Fix lost for 42 s"
    assert "7 satellites were in the fix" in near(found, 120, "lost").words
    near(found, 162, "back")


def test_a_loss_without_an_end_is_one(tmp_path: Path) -> None:
    found = of(tmp_path / "a.nmea", *walk(range(100), lost=range(60, 100)))
    assert near(found, 60, "lost").title == "Fix lost for good"


def test_a_blink_is_no_loss(tmp_path: Path) -> None:
    found = of(tmp_path / "a.nmea", *walk(range(100), lost=range(60, 62)))
    assert not [one for one in found.chapters if "lost" in one.title]


def test_a_gap_is_named_and_nothing_is_said_to_have_happened_in_it(tmp_path: Path) -> None:
    found = of(tmp_path / "a.nmea", *walk(range(100), range(1000, 1100)))
    assert near(found, 99, "Nothing").title == "Nothing for 15 min 01 s"


def test_nothing_gives_nothing(tmp_path: Path) -> None:
    assert of(tmp_path / "a.nmea", b"") == Proposal((), 0.0, 0)
    assert of(tmp_path / "b.nmea", b"\x00\xff" * 5000).chapters == ()


# Choosing


def some(at_s: float, kind: Kind = Kind.LOST, more: float = 0.0) -> Found:
    return Found(at_s, kind, "x", "", more)


def test_the_weightier_of_two_neighbours_is_taken() -> None:
    assert weightiest([some(100), some(105, more=5.0)], 400.0) == [some(105, more=5.0)]


def test_variety_goes_before_repetition() -> None:
    many = [some(100.0 * n, Kind.LOST, more=n / 100) for n in range(30)]
    few = [some(100.0 * n + 50, kind) for n, kind in enumerate((Kind.BEST, Kind.STANDING, Kind.MODE))]
    chosen = weightiest([*many, *few], 1000.0)
    assert len(chosen) == MOST
    assert {Kind.BEST, Kind.STANDING, Kind.MODE} <= {one.kind for one in chosen}


def test_what_is_kept_is_bounded_and_the_weightiest_survive() -> None:
    moments, draw = Moments(), random.Random(7)
    heaviest = some(5.0, more=25.0)
    moments.take([heaviest, *(some(10.0 * n, more=draw.random()) for n in range(20 * KEPT))])
    assert len(moments.all()) < 2 * KEPT
    assert heaviest in moments.all()


@pytest.mark.parametrize(
    ("seconds", "words"), [(0.4, "0 s"), (59.4, "59 s"), (59.6, "1 min 00 s"), (4000, "1 h 06 min")]
)
def test_lengths_of_time(seconds: float, words: str) -> None:
    assert lasting(seconds) == words


@pytest.mark.parametrize(("metres", "words"), [(0.994, "99 cm"), (0.996, "1.0 m"), (9.96, "10 m"), (12_400, "12 km")])
def test_lengths(metres: float, words: str) -> None:
    assert length(metres) == words

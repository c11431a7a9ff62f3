"""The power goes at any moment, and takes all that was not synced: what was acknowledged is there, nothing is torn.

Every kind of write of the program works on a disk that is watched (`disk_model`), and is cut at every moment between
two calls to the system, in every way that the standard allows. After each the next program goes on from there.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from core.storage import replace_file
from tests.faults.disk_model import DiskModel, Left, State, laid_out
from tests.faults.storage_kinds import KINDS, Kind
from tests.faults.storage_rows import page, page_number

SYNCED = [kind for kind in KINDS if kind.acknowledged_is_synced]
CHANGES = 4
"""In a row: the first makes files and folders, those after replace, append and move."""


class Cuts:
    """What was seen at the cuts of one row of changes."""

    def __init__(self, model: DiskModel) -> None:
        self._model = model
        self._seen: set[tuple[int, tuple[tuple[str, Left | None], ...]]] = set()
        self.acknowledged = 0
        self.found: list[tuple[int, State]] = []
        """Each state once, with how many changes were acknowledged."""

    def cut(self) -> None:
        for state in self._model.states():
            key = (self.acknowledged, tuple(sorted(state.items())))
            if key not in self._seen:
                self._seen.add(key)
                self.found.append((self.acknowledged, state))


def cuts_of(begin: Callable[[Path, int], Callable[[int], object]], folder: Path) -> Cuts:
    """All states that a cut may leave while a writer makes its first changes."""
    folder.mkdir()
    model = DiskModel(folder)
    cuts = Cuts(model)
    try:
        with model.watching(cuts.cut):
            step = begin(folder, 0)
            for number in range(CHANGES):
                step(number)
                cuts.acknowledged = number + 1
                cuts.cut()
    finally:
        model.close()
    return cuts


@pytest.mark.parametrize("kind", SYNCED, ids=lambda kind: kind.name)
def test_a_power_cut_at_any_moment_costs_nothing_that_was_acknowledged(kind: Kind, tmp_path: Path) -> None:
    cuts = cuts_of(kind.begin, tmp_path / "watched")
    assert len(cuts.found) > CHANGES
    for number, (acknowledged, state) in enumerate(cuts.found):
        place = tmp_path / str(number)
        place.mkdir()
        laid_out(state, place)
        told = {path: left and left.content[-60:] for path, left in state.items()}
        try:
            kept = kind.kept(place, acknowledged)
            assert acknowledged <= kept <= acknowledged + 1, f"{kept} are there, {acknowledged} were acknowledged"
            kind.begin(place, kept)(kept)
            assert kind.kept(place, kept + 1) == kept + 1, "the next program goes on"
        except Exception as error:
            raise AssertionError(f"{error!r} after {acknowledged} of {told}") from error
        shutil.rmtree(place)


# The model itself finds what it is for


def _careless(folder: Path, _: int) -> Callable[[int], object]:
    def step(number: int) -> None:
        fresh = folder / "fresh"
        fresh.write_bytes(page(number))
        fresh.replace(folder / "page")

    return step


def _nameless(folder: Path, _: int) -> Callable[[int], object]:
    def step(number: int) -> None:
        import os

        with (folder / f"page{number}").open("wb") as stream:
            stream.write(page(number))
            stream.flush()
            os.fsync(stream.fileno())

    return step


def test_the_model_shows_a_name_that_came_before_its_content(tmp_path: Path) -> None:
    found = cuts_of(_careless, tmp_path / "watched").found
    assert any((left := state.get("page")) is not None and left.content == b"" for _, state in found)


def test_the_model_shows_a_name_that_was_never_synced(tmp_path: Path) -> None:
    found = cuts_of(_nameless, tmp_path / "watched").found
    assert any(acknowledged == CHANGES and not state for acknowledged, state in found)
    assert any(len(state) == CHANGES for _, state in found)


def test_the_model_lets_synced_content_be(tmp_path: Path) -> None:
    found = cuts_of(lambda folder, _: lambda number: replace_file(folder / "page", page(number)), tmp_path / "w").found
    pages = [state["page"] for acknowledged, state in found if acknowledged]
    assert {page_number(left.content) for left in pages if left} == set(range(CHANGES))

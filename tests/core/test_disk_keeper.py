"""The thread that saves: what is asked for is done in order, troubles are kept by kind, one program at a time."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from core.disk_keeper import DiskKeeper


class Keeper(DiskKeeper):
    """Keeps nothing of its own: does what it is asked."""

    def __init__(self, path: Path) -> None:
        super().__init__("list")
        self.done: list[str] = []
        if self._is_ours(path):
            self._begin_saving()

    def ask(self, kind: str, job: Callable[[], None]) -> None:
        self._ask(kind, job)

    def _save_rest(self) -> None:
        self.ask("rest", lambda: self.done.append("rest"))


def failing() -> None:
    raise ZeroDivisionError("there is no room")


def test_all_is_done_in_order_and_the_rest_last(tmp_path: Path) -> None:
    keeper = Keeper(tmp_path / "a.csv")
    for name in "abc":
        keeper.ask("names", lambda name=name: keeper.done.append(name))  # type: ignore[misc]  # bound at once
    keeper.end()
    assert keeper.done == ["a", "b", "c", "rest"]
    assert keeper.trouble == ""


def test_a_fault_is_a_trouble_and_ends_nothing(tmp_path: Path) -> None:
    """Whatever it is: nobody would see it in a thread."""
    keeper = Keeper(tmp_path / "a.csv")
    keeper.ask("one", failing)
    keeper.ask("other", lambda: keeper.done.append("other"))
    keeper.end()
    assert keeper.done == ["other", "rest"]
    assert keeper.trouble == "there is no room"


def test_a_trouble_is_over_when_the_same_succeeds(tmp_path: Path) -> None:
    keeper = Keeper(tmp_path / "a.csv")
    keeper.ask("one", failing)
    keeper.ask("one", lambda: keeper.done.append("again"))
    keeper.end()
    assert keeper.done == ["again", "rest"]
    assert keeper.trouble == ""


def test_whoever_reads_a_trouble_reads_what_no_other_thread_changes(tmp_path: Path) -> None:
    """Else a trouble that came while the screen asked for one would end the screen."""
    keeper = Keeper(tmp_path / "a.csv")
    before = keeper._troubles
    keeper.ask("one", failing)
    keeper.ask("other", failing)
    keeper.end()
    read = iter(before.values())
    assert next(read, "") == ""
    before = keeper._troubles
    read = iter(before.values())
    again = Keeper(tmp_path / "b.csv")
    again._troubles = before
    again.ask("one", lambda: None)
    again.end()
    assert list(read) == ["there is no room"] * 2
    assert again.trouble == "there is no room"


def test_a_file_has_one_keeper_until_its_end(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    first, second = Keeper(path), Keeper(path)
    assert second.trouble == "another fixboard keeps its list in this folder; this one is not saved"
    second.ask("one", lambda: second.done.append("one"))
    second.end()
    assert second.done == []
    first.end()
    third = Keeper(path)
    third.end()
    assert third.done == ["rest"]

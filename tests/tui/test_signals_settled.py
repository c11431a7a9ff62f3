"""The list of signals stays readable: what wavers by a decibel or two keeps its row."""

from __future__ import annotations

from core.fix import Satellite
from tui.panes.signals import OVERTAKES_DB, settled


def heard(**strengths: int | None) -> tuple[Satellite, ...]:
    return tuple(Satellite(name, 40, 90, strength, in_fix=True) for name, strength in strengths.items())


def order(placed_by: dict[str, int]) -> list[str]:
    return sorted(placed_by, key=lambda name: (-placed_by[name], name))


def test_at_first_the_strongest_is_first() -> None:
    assert order(settled(heard(G01=30, G02=45, G03=38), {})) == ["G02", "G03", "G01"]


def test_wavering_changes_no_places_and_a_real_change_does() -> None:
    first = settled(heard(G01=40, G02=39), {})
    wavering = settled(heard(G01=39, G02=41), first)
    assert order(wavering) == ["G01", "G02"]
    assert order(settled(heard(G01=39, G02=39 + OVERTAKES_DB), wavering)) == ["G02", "G01"]


def test_a_slow_change_comes_through_in_the_end() -> None:
    placed = settled(heard(G01=40, G02=39), {})
    for strength in range(39, 29, -1):
        placed = settled(heard(G01=strength, G02=39), placed)
    assert order(placed) == ["G02", "G01"]


def test_one_that_is_lost_or_new_has_no_past() -> None:
    before = settled(heard(G01=40, G02=39), {})
    assert settled(heard(G02=39, G03=44), before) == {"G02": 39, "G03": 44}
    assert settled(heard(G01=None), before) == {"G01": 0}

"""The chapters of the bundled recordings: what their words claim is true there. Checked by playing the recordings.

Offsets are seconds after the chapter's begin. Everything in the recordings is invented, so the figures are theirs.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

import replays
from core.fix import FixMode, Position
from core.trust import Verdict
from tests.core.chapter_claims import (
    Claim,
    Spot,
    altitude,
    chapters,
    comes,
    course,
    date_is_wrong,
    dimensions,
    doubtful,
    east,
    error,
    error_falls,
    error_grows,
    firm,
    fix,
    goes,
    has_time,
    hdop,
    heard,
    jumps,
    left_by_mask,
    low_sky_is_hidden,
    met_again,
    mode,
    moves,
    no_course,
    no_fix,
    not_,
    pdop,
    played,
    signals_fall,
    stands,
    strong,
    systems,
    throughout,
    usable,
    used,
    wanders,
    west,
    within,
    year,
)
from tui.panes.caption import MOST_ROWS, caption_lines
from tui.screens.board import PAGES

SMALLEST_WIDTH = 78
"""Of a caption: 80 columns without its margins."""
FEWEST, MOST = 4, 12


def off_the_street(spot: Spot) -> bool:
    """Beyond the walls of Hosier Row, which stand 5 m from its middle (tall_houses.toml)."""
    start, end = Position(41.0053, 179.92383), Position(41.00608, 179.92490)
    across = [_across_m(start, end, one) for one in spot.positions(5, 55)]
    return max(map(abs, across)) > 10.0


def _across_m(start: Position, end: Position, here: Position) -> float:
    """From the line, on a plane: metres a degree near 41 degrees north, WGS 84 (111,060 and 84,140, calculated)."""
    (x, y), (u, v) = (
        ((one.longitude_deg - start.longitude_deg) * 84_140, (one.latitude_deg - start.latitude_deg) * 111_060)
        for one in (here, end)
    )
    return float((x * v - y * u) / (u * u + v * v) ** 0.5)


def best_sky_is_here(spot: Spot) -> bool:
    """The lowest HDOP of the whole day lies between the edge and the way back."""
    figures = [(one.fix.hdop, one.at_s) for one in spot.run.epochs if one.fix.hdop is not None]
    lowest = min(figures)[0]
    return any(hdop == lowest and spot.begin_s <= at_s <= spot.begin_s + 1200 for hdop, at_s in figures)


FIXED, FLOAT = FixMode.RTK_FIXED, FixMode.RTK_FLOAT
ALONE, CORRECTED = FixMode.AUTONOMOUS, FixMode.DIFFERENTIAL

CLAIMS: dict[str, dict[str, Sequence[Claim]]] = {
    "first_walk": {
        "Switched on": [no_fix(2), not_(has_time(2)), not_(has_time(0))],
        "Time comes before place": [within(0, 6, has_time), throughout(0, 15, no_fix), heard(6, 1, 9)],
        "First fix: three satellites": [comes(3), dimensions(3, 2), used(3, 3, 3)],
        "Satellites join, the error falls": [error_falls(-8, 25, 2.0), not_(firm(0)), firm(10), hdop(30, 0.4, 0.7)],
        "The walk begins": [no_course(0), stands(0), moves(8), not_(no_course(8))],
        "Rest on Ommery Top": [not_(no_course(0)), no_course(4), stands(10), altitude(8, 129, 133)],
        "Under the trees": [signals_fall(-10, 30, 8.0), fix(30), usable(20), used(15, 28, 30)],
        "The fix is lost": [goes(3), heard(5, 1, 30), throughout(3, 30, has_time)],
        "The fix is back": [comes(3), used(3, 8, 8), doubtful(5), altitude(9, 110, 130)],
        "At the car again": [stands(10), no_course(10), met_again(10, 90, 5.0)],
    },
    "ridge_walk": {
        "A warm start at Nettle Gap": [heard(1, 10, 40), throughout(0, 17, no_fix)],
        "First fix, then firm": [comes(3), doubtful(3), doubtful(11), firm(12)],
        "Setting out": [no_course(0), stands(0), moves(12), not_(no_course(12))],
        "One wall of the hill": [moves(0), firm(0), low_sky_is_hidden((282, 348), 20)],
        "Corvel Edge, open on both sides": [heard(0, 27, 33), heard(90, 38, 38), best_sky_is_here],
        "Corvel Top": [altitude(10, 468, 474), stands(10), stands(235), wanders(5, 235, 1.0, 2.0)],
        "Back by the lower way": [stands(0), moves(8), not_(moves(1))],
        "Into the trees of Sallowhay": [signals_fall(0, 13, 9.0), fix(13), used(13, 21, 30), error_grows(0, 30, 1.3)],
        "Corrections are gone": [mode(0, CORRECTED), mode(8, ALONE), error_grows(-80, 30, 2.0)],
        "Out of the wood": [usable(0), signals_fall(8, 0, 6.0), firm(13), mode(13, ALONE), mode(18, CORRECTED)],
        "At the car again": [stands(15), met_again(20, 120, 5.0)],
    },
    "tall_houses": {
        "On the market": [used(0, 26, 28), firm(0), error(10, 0.5, 2.0)],
        "Into Hosier Row": [used(0, 25, 27), used(12, 9, 17)],
        "Good figures, wrong side of the wall": [hdop(0, 1.0, 1.4), throughout(0, 60, firm), off_the_street],
        "A shop window": [stands(10), stands(40), wanders(5, 45, 5.0, 25.0)],
        "Cask Alley": [firm(0), within(2, 5, doubtful), within(2, 5, lambda after: pdop(after, 10.0, 30.0))],
        "A yard with a high wall": [
            goes(3),
            throughout(8, 70, lambda after: heard(after, 2, 5)),
            throughout(8, 70, lambda after: strong(after, 0, 2)),
        ],
        "Back again, and poor": [comes(3), used(3, 6, 6), hdop(3, 6.0, 7.0), firm(30), hdop(30, 0.5, 1.0)],
        "The lane from the other side": [doubtful(5), doubtful(150), pdop(30, 8.5, 9.5), altitude(40, -20, -1)],
        "On the market once more": [firm(0), used(0, 25, 27), met_again(15, 60, 3.0), stands(20)],
    },
    "under_trees": {
        "Cold start in a wood": [throughout(0, 60, no_fix), heard(5, 5, 16), strong(20, 0, 3)],
        "A first fix, in 2D": [comes(3), used(3, 4, 4), dimensions(3, 2), altitude(3, 0, 0), altitude(400, 270, 300)],
        "Lost again": [goes(3), throughout(3, 60, no_fix)],
        "A jump": [no_fix(2), fix(3), jumps(3, 67.0)],
        "3D, and hardly better": [dimensions(0, 3), used(0, 6, 6), pdop(0, 15.0, 17.0), doubtful(0)],
        "The glade": [doubtful(0), usable(5), usable(30), firm(40), moves(-10)],
        "All orbits known": [used(0, 19, 21), error(0, 0.5, 2.0), stands(0)],
        "Into the wood again": [
            usable(-5),
            used(0, 9, 16),
            within(0, 30, no_fix),
            within(0, 40, lambda after: used(after, 3, 3)),
        ],
        "Out of the wood": [firm(0), used(8, 18, 22), stands(20)],
    },
    "four_hours": {
        "Gannet Knoll": [comes(3), stands(30), firm(30)],
        "Ten minutes": [stands(0), fix(0)],
        "The shed": [low_sky_is_hidden((302, 333), 24)],
        "Corrections fail": [mode(0, CORRECTED), mode(50, CORRECTED), usable(40), mode(70, ALONE)],
        "On satellites alone": [mode(0, ALONE), error_grows(-120, 120, 1.8), wanders(0, 600, 0.1, 6.0)],
        "Corrections come back": [mode(0, ALONE), mode(12, CORRECTED), error_falls(0, 180, 1.8)],
        "After four hours": [stands(0), firm(0)],
    },
    "ferry": {
        "At Pelhaven quay": [stands(0), no_course(0), east(0)],
        "Cast off": [moves(10), stands(-15)],
        "Round Hask Buoy": [course(-60, 105, 135), course(20, 75, 95), moves(0, 8.0)],
        "Over the antimeridian": [east(9), west(11), fix(9), fix(10), fix(11)],
        "Nothing has happened": [west(0), course(0, 80, 88), moves(0, 8.5), firm(0)],
        "Below deck for a coffee": [goes(3), throughout(3, 120, no_fix)],
        "On deck again": [
            comes(3),
            lambda spot: 900 < spot.way_m(-130, 5) < 1200,
            mode(10, ALONE),
            mode(24, CORRECTED),
            used(20, 20, 32),
        ],
        "Tessolan landing": [stands(5), west(5)],
    },
    "rtk_arrives": {
        "Long Acre, corner A": [heard(0, 30, 40), strong(0, 30, 40), throughout(0, 14, no_fix)],
        "First fix": [within(3, 4, fix), lambda spot: not fix(3)(spot), mode(4, CORRECTED), used(15, 27, 33)],
        "The base is switched on": [mode(3, CORRECTED), mode(4, FLOAT), error(20, 0.1, 0.5)],
        "RTK fixed": [mode(3, FLOAT), mode(4, FIXED), error(20, 0.005, 0.05)],
        "Along the boundary": [moves(10), mode(10, FIXED), lambda spot: _bend_m(spot) < 0.1],
        "The link fails": [mode(3, FIXED), mode(4, FLOAT)],
        "Old corrections count less": [mode(0, FLOAT), usable(0), mode(4, CORRECTED)],
        "The link comes back": [mode(3, CORRECTED), mode(4, FLOAT), mode(43, FLOAT), mode(44, FIXED)],
        "Corner A again": [mode(0, FIXED), stands(0), met_again(0, 170, 0.1)],
    },
    "rolled_over": {
        "An old receiver": [year(0, 1988), date_is_wrong(0), systems({"G"})],
        "First fix": [comes(3), used(3, 3, 3), dimensions(3, 2), year(3, 1988)],
        "Usable, never firm": [used(0, 8, 8), hdop(0, 0.5, 1.0), lambda spot: _best_verdict(spot) is Verdict.USABLE],
        "A walk round Hask Point": [moves(10), stands(-5), date_is_wrong(0)],
        "What a second system would be worth": [used(0, 8, 8), left_by_mask(20, 6)],
        "At the lighthouse again": [stands(5), met_again(5, 60, 10.0)],
    },
    "interference": {
        "Vane Hill, a clear sky": [heard(0, 40, 40), strong(0, 37, 40)],
        "Three seconds": [signals_fall(2, 5, 20.0), signals_fall(9, 5, 20.0), throughout(0, 10, fix)],
        "It leaves a trace": [usable(0), firm(10), wanders(-20, 5, 0.0, 3.0)],
        "Three minutes": [signals_fall(2, 5, 20.0), within(3, 6, doubtful), goes(7)],
        "Nothing is heard": [heard(0, 0, 0), throughout(0, 110, no_fix)],
        "It ends": [no_fix(2), comes(3), used(10, 25, 32)],
        "As if nothing had been": [firm(0), moves(0), fix(0)],
    },
}  # fmt: skip


def _bend_m(spot: Spot) -> float:
    """How far the positions leave the straight line between two of them."""
    spots = spot.positions(10, 50)
    return max(abs(_across_m(spots[0], spots[-1], one)) for one in spots)


def _best_verdict(spot: Spot) -> Verdict:
    return max(one.trust.verdict for one in spot.run.epochs)


NAMED = [(name, entry.title) for name in replays.names() for entry in chapters(name)]


def test_every_bundled_recording_has_its_chapters() -> None:
    assert sorted(CLAIMS) == sorted(replays.names())
    for name in replays.names():
        assert FEWEST <= len(chapters(name)) <= MOST


@pytest.mark.parametrize("name", replays.names())
def test_every_chapter_has_something_that_is_checked(name: str) -> None:
    titles = [entry.title for entry in chapters(name)]
    assert len(set(titles)) == len(titles)
    assert sorted(titles) == sorted(CLAIMS[name])
    assert all(CLAIMS[name].values())


@pytest.mark.parametrize("name", replays.names())
def test_they_lie_inside_the_recording_in_their_order(name: str) -> None:
    times = [entry.when.at_s for entry in chapters(name)]
    assert None not in times
    known = [at_s for at_s in times if at_s is not None]
    assert known == sorted(set(known))
    assert known[-1] + 10 < played(name).epochs[-1].at_s


@pytest.mark.parametrize("name", replays.names())
def test_each_names_a_page_and_fits_a_narrow_screen_uncut(name: str) -> None:
    found = chapters(name)
    for number, entry in enumerate(found, 1):
        assert entry.page in PAGES
        head = f"{number}/{len(found)} {entry.title}"
        assert len(caption_lines(head, entry.words, SMALLEST_WIDTH, MOST_ROWS + 5)) <= MOST_ROWS


@pytest.mark.parametrize(("name", "title"), NAMED)
def test_what_the_words_claim_is_true_there(name: str, title: str) -> None:
    entry = next(one for one in chapters(name) if one.title == title)
    assert entry.when.at_s is not None
    spot = Spot(played(name), entry.when.at_s)
    wrong = [number for number, claim in enumerate(CLAIMS[name][title]) if not claim(spot)]
    assert wrong == []

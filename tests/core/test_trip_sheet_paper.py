"""A trip sheet on paper: lines, pages and printers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from core.errors import InputError
from core.fix import Position
from core.safe_text import cells
from core.sheet_page import FORM_FEED, LINES, WIDTH
from core.sheet_pen import Pen
from core.sheet_sections import BEGINS, text
from core.sheet_time import zone
from core.sheet_turn import Climb
from core.trip_sheet import Outing, Place, TripSheet, trip_sheet
from tests.sheets import EQUINOX, HOME, UTC_ZONE, row, written

# Paper

HOSTILE = (
    "\x1b[31mred\x1b[0m", "\x1b]0;title\x07", "a\nb\fc\rd", "\u202egnp.exe", "\u0085next", "<b>&amp;[bold]%s{0}", "",
    "   ", "漢字" * 50, "e\u0301" * 100, "x" * 400, "\ud800", "Trip sheet", "-" * 200, "\U0001f3d4", "ab\u200bcd",
    "\x7f\x9b31m",
)  # fmt: skip


def sheets(names: Sequence[str], *, ascii_only: bool) -> str:
    places = [Place(name, Position(-47.0 + 0.01 * at, -12.7), 0.7) for at, name in enumerate(names)]
    outing = Outing(date(2026, 3, 20), zone("-01:00"), time(8, 0))
    return written(places, Place(names[-1], Position(-46.0, -12.0)), outing, ascii_only=ascii_only)


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize(
    "names",
    [["Ommery Top"], HOSTILE, *([f"Place {n}" for n in range(count)] for count in (2, 3, 40, 99))],
    ids=["1", "hostile", "2", "3", "40", "99"],
)
def test_every_page_fits_the_paper_and_begins_with_the_head(names: Sequence[str], ascii_only: bool) -> None:
    found = sheets(names, ascii_only=ascii_only).split(FORM_FEED)
    for number, page in enumerate(found, 1):
        lines = page.splitlines()
        assert page.endswith("\n")
        assert len(lines) <= LINES
        assert max(map(cells, lines)) <= WIDTH
        assert lines[0].startswith(f"{BEGINS}: ")
        assert lines[0].endswith(f"page {number} of {len(found)}")
        assert lines[1].startswith("Friday, 20 Mar 2026, clocks at UTC-01:00")
        assert all(line == line.rstrip() for line in lines)
        assert all(char.isprintable() for line in lines for char in line)
        assert not ascii_only or page.isascii()
    whole = "\n".join(found)
    for number in range(1, len(names) + 1):
        assert re.search(rf"^{number:<2} \S.* -+$", whole, re.MULTILINE)
        assert row(whole, f"{number}-T")


@pytest.mark.parametrize("name", ["plain", "漢字", "Ｆull", "e\u0301", "°±", "\U0001f3d4"])
def test_columns_are_counted_as_terminals_do(name: str) -> None:
    """Against the table of another library."""
    assert cells(name) == cell_len(name)


def test_names_stay_text() -> None:
    whole = sheets(HOSTILE, ascii_only=False)
    assert "1  ?[31mred?[0m ---" in whole
    assert "3  a b c d ---" in whole
    assert "4  ?gnp.exe ---" in whole
    assert "6  <b>&amp;[bold]%s{0} ---" in whole
    assert "7  - ---" in whole


def test_a_table_that_goes_on_has_its_head_again() -> None:
    """98 legs are two pages."""
    pages = sheets([f"Place {n}" for n in range(99)], ascii_only=False).split(FORM_FEED)
    with_legs = [page for page in pages if re.search(r"^\d+-\d+ ", page, re.MULTILINE)]
    assert len(with_legs) > 1
    for page in with_legs:
        assert "Legs, in straight lines" in page
        assert re.search(r"^ +m +km +km +true +mag +grid", page, re.MULTILINE)


def test_a_place_is_not_torn_between_two_pages() -> None:
    for page in sheets([f"Place {n}" for n in range(40)], ascii_only=False).split(FORM_FEED):
        assert len(re.findall(r"^\d+ +Place \d+ -", page, re.MULTILINE)) == page.count("   Locator ") - page.count(
            "T  Place"
        )


def test_what_a_careful_walker_is_told() -> None:
    told = " ".join(written([HOME]).split())
    for words in (
        "Phone the local emergency number first",
        "Not for primary navigation, and not for safety of life",
        "the datum, WGS 84",
        "Left with someone who will act on it",
        "never look into the sun",
    ):
        assert words in told


def test_too_many_places_and_a_year_without_sun_are_refused() -> None:
    with pytest.raises(InputError, match="1 to 99 places"):
        trip_sheet([HOME] * 100, None, Outing(EQUINOX, UTC_ZONE))
    with pytest.raises(InputError, match="1 to 99 places"):
        trip_sheet([], None, Outing(EQUINOX, UTC_ZONE))
    with pytest.raises(InputError, match="from 1901 to 2099"):
        trip_sheet([HOME], None, Outing(date(2100, 1, 1), UTC_ZONE))
    with pytest.raises(InputError, match="2 climbs are given for 1 legs"):
        trip_sheet([HOME, HOME], None, Outing(EQUINOX, UTC_ZONE, climbs=(Climb(1.0), Climb(1.0))))


ANYWHERE = st.builds(Position, st.floats(-90, 90), st.floats(-180, 180))
DAYS = st.dates(date(1901, 1, 1), date(2099, 12, 31))


@given(st.lists(ANYWHERE, min_size=1, max_size=3), DAYS, st.one_of(st.none(), st.times()), st.floats(0, 1e6))
def test_every_place_and_day_makes_a_sheet(
    where: list[Position], day: date, depart: time | None, radius_m: float
) -> None:
    places = [Place("Anywhere", one, radius_m) for one in where]
    at = None if depart is None else depart.replace(second=0, microsecond=0)
    outing = Outing(day, zone("+14:00"), at)
    found = trip_sheet(places, places[0], outing)
    assert isinstance(found, TripSheet)
    for page in text(found, Pen(day, outing.zone)).split(FORM_FEED):
        assert len(page.splitlines()) <= LINES
        assert max(map(cells, page.splitlines())) <= WIDTH
        assert "nan" not in page

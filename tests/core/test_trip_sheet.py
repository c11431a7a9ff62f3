"""The trip sheet, read back from its own text. Places are open ocean or published test points, names invented."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time
from itertools import groupby

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.before_dark import Reserve
from core.errors import InputError
from core.fix import Position
from core.pace import KMH, Pace
from core.places.reading import read
from core.sheet_time import zone
from core.sheet_turn import Climb, Home, Light, Walk, homeward, parse_climb
from core.trip_sheet import Outing, Place
from tests.sheets import EQUINOX, HOME, METRES_PER_DEGREE, UTC_ZONE, east, row, section, walked, written
from tests.tables import rows

# Published figures, through the text

EVENTS = ("civil_dawn", "sunrise", "transit", "sunset", "civil_dusk")
PUBLISHED = {
    key: list(group) for key, group in groupby(rows("sun_published.csv"), key=lambda one: tuple(one.values())[:4])
}


def minutes(clock: str) -> int:
    return int(clock[:2]) * 60 + int(clock[3:5])


@pytest.mark.parametrize("events", PUBLISHED.values(), ids=lambda one: f"{one[0]['place']} {one[0]['date']}")
def test_the_sun_times_are_those_of_published_tables(events: list[dict[str, str]]) -> None:
    """To the minute: both round, so they may stand one apart."""
    one = events[0]
    offset = zone(f"{int(one['utc_offset_h']):+03d}:00")
    place = Place("Published", Position(float(one["lat"]), float(one["lon"])))
    sheet = written([place], outing=Outing(date.fromisoformat(one["date"]), offset))
    shown = dict(zip(EVENTS, row(sheet, "local"), strict=True))
    for event in events:
        assert abs(minutes(shown[event["event"]]) - minutes(event["published_local_time"])) <= 1, event


SURFACE = [one for one in rows("wmm2025_report_table.csv") if float(one["height_km"]) == 0.0]


@pytest.mark.parametrize("one", SURFACE, ids=lambda one: f"{one['year']} {one['lat']} {one['lon']}")
def test_the_declination_is_that_of_the_model_s_report(one: dict[str, str]) -> None:
    """2027.5 is noon of 2 July; the report prints hundredths, the sheet tenths."""
    day = date(2025, 1, 1) if one["year"] == "2025.0" else date(2027, 7, 2)
    longitude = (float(one["lon"]) + 180) % 360 - 180
    sheet = written([Place("Published", Position(float(one["lat"]), longitude))], outing=Outing(day, UTC_ZONE))
    found = re.search(r"Declination (\d+\.\d)° (east|west) \(±", sheet)
    assert found
    shown = float(found[1]) * (1 if found[2] == "east" else -1)
    assert shown == pytest.approx(float(one["D_deg"]), abs=0.056)
    assert f"a compass shows {'less' if float(one['D_deg']) > 0 else 'more'} than true." in " ".join(sheet.split())


@pytest.mark.parametrize("one", rows("geodesic_inverse.csv"), ids=lambda one: f"{one['set']} {one['s12']}")
def test_distance_and_directions_are_those_of_published_geodesics(one: dict[str, str]) -> None:
    start, end = (Place(f"End {n}", Position(float(one[f"lat{n}"]), float(one[f"lon{n}"]))) for n in (1, 2))
    shown = row(written([start, end]), "1-2")
    assert float(shown[0]) == pytest.approx(float(one["s12"]), abs=0.51)
    assert float(shown[1]) == pytest.approx(float(one["s12"]) / 1000, abs=0.0051)
    if one["azi1"] and float(one["s12"]) > 0:
        assert apart(shown[3], float(one["azi1"])) <= 0.051
        assert apart(shown[6], float(one["azi2"]) + 180) <= 0.051


def apart(shown: str, degrees: float) -> float:
    return abs((float(shown) - degrees + 180) % 360 - 180)


@pytest.mark.parametrize("one", rows("utm_convergence.csv"), ids=lambda one: f"{one['lat']} {one['lon']}")
def test_grid_bearings_differ_by_the_published_convergence_of_their_own_end(one: dict[str, str]) -> None:
    here = Place("Here", Position(float(one["lat"]), float(one["lon"])))
    there = Place("There", Position(float(one["lat"]) - 0.4, (float(one["lon"]) + 180.3) % 360 - 180))
    lean = float(one["convergence_deg"])
    onward, backward = (row(written(pair), "1-2") for pair in ((here, there), (there, here)))
    assert apart(onward[5], float(onward[3]) - lean) <= 0.11
    assert apart(backward[8], float(backward[6]) - lean) <= 0.11


def test_magnetic_bearings_differ_by_the_declination_of_their_own_end() -> None:
    """At the report's points of 1 January 2025: 1.28 east at 80 N 0 E, 0.16 west at 0 N 120 E."""
    places = [Place("North", Position(80.0, 0.0)), Place("East", Position(0.0, 120.0))]
    shown = row(written(places, outing=Outing(date(2025, 1, 1), UTC_ZONE)), "1-2")
    assert apart(shown[4], float(shown[3]) - 1.28) <= 0.11
    assert apart(shown[7], float(shown[6]) + 0.16) <= 0.11


@pytest.mark.parametrize("one", rows("utm_ups_mgrs.csv"), ids=lambda one: f"{one['what']} {one['lat']} {one['lon']}")
def test_grid_references_are_the_published_ones(one: dict[str, str]) -> None:
    sheet = written([Place("Published", Position(float(one["lat"]), float(one["lon"])))])
    found = re.search(r"(?:UTM|UPS) (?:(\d\d)?([A-Z])) (\d+) (\d+) +MGRS (.*)", sheet)
    assert found
    assert int(found[1] or 0) == int(one["zone"])
    assert abs(int(found[3]) - float(one["easting"])) <= 0.501
    assert abs(int(found[4]) - float(one["northing"])) <= 0.501
    assert found[5].replace(" ", "") == one["mgrs"].replace(" ", "")


@pytest.mark.parametrize("one", rows("maidenhead.csv"), ids=lambda one: f"{one['what']} {one['loc10']}")
def test_locators_of_three_lengths(one: dict[str, str]) -> None:
    sheet = written([Place("Published", Position(float(one["lat"]), float(one["lon"])))])
    assert f"Locator {one['loc6']} {one['loc8']} {one['loc10']} " in sheet


@pytest.mark.parametrize("ascii_only", [False, True])
def test_every_form_on_the_sheet_reads_back_as_the_place(ascii_only: bool) -> None:
    """By the house's own reader, which has tests of its own; the coarsest is the box of 10 characters."""
    place = Place("Ommery Top", Position(-47.28521, -12.70004))
    lines = written([place], ascii_only=ascii_only).splitlines()
    at = next(number for number, line in enumerate(lines) if line.startswith("1  Ommery Top"))
    halves = [half.strip() for line in lines[at + 1 : at + 5] for half in re.split(r" {2,}", line.strip())]
    forms = [re.sub(r"^(MGRS|ISO 6709|Locator \S+ \S+) ", "", half) for half in halves]
    assert len(forms) == 8
    for form in forms:
        (found,) = read(form)
        assert abs(found.position.latitude_deg - place.position.latitude_deg) <= 1e-4, form
        assert abs(found.position.longitude_deg - place.position.longitude_deg) <= 2e-4, form


# Turning back


def test_the_latest_turn_worked_by_hand() -> None:
    """As in test_before_dark: dusk 18:31:28; 8 km are 1 h 36 min, times 1.25 2 h, and half an hour: 16:01:28.

    To be there by then at the same factor, 2 h before that.
    """
    sheet = written([HOME, east(-8000.0)])
    assert walked(sheet, 2) == ["1:36", "1:36", "16:01", "14:01", "18:31"]
    told = section(sheet, "How the turn at place 2 was worked out")
    assert told.startswith(
        "At place 1 civil twilight ends at 18:31 UTC. The way home takes 1 h 36 min; 1.25 times that is 2 h 00 min; "
        "with 30 min in hand that leaves 16:01 UTC as the latest turn."
    )
    assert told.endswith("Terrain, weather and company decide: this is a sum, not advice.")


def test_the_light_that_ends_first_counts() -> None:
    """A degree to the east it is dark 4 min earlier: there 18:27, here 18:31."""
    assert walked(written([HOME, east(METRES_PER_DEGREE)]), 2)[-1] == "18:27"
    assert walked(written([HOME, east(-METRES_PER_DEGREE)]), 2)[-1] == "18:31"


@pytest.mark.parametrize(
    ("outing", "there", "home", "turn"),
    [
        (Outing(EQUINOX, UTC_ZONE, own=Pace(4 * KMH, "invented")), "2:00", "2:00", "15:31"),
        (Outing(EQUINOX, UTC_ZONE, climbs=(Climb(600.0, 0.0),)), "2:36", "1:36", "16:01"),
        (Outing(EQUINOX, UTC_ZONE, climbs=(Climb(0.0, 600.0),)), "1:36", "2:36", "14:46"),
        (Outing(EQUINOX, UTC_ZONE, climbs=(Climb(600.0),)), "2:36", "1:36", "16:01"),
        (Outing(EQUINOX, UTC_ZONE, reserve=Reserve(2.0, 60.0)), "1:36", "1:36", "14:19"),
    ],
)
def test_pace_climb_and_reserve(outing: Outing, there: str, home: str, turn: str) -> None:
    """By hand from 18:31:28: 8 km at 4 km/h are 2 h; 600 m are an hour, out or home; 3 h 12 min and an hour."""
    assert walked(written([HOME, east(-8000.0)], outing=outing), 2)[:3] == [there, home, turn]


def test_heights_of_the_ends_tell_the_least_climb_and_what_is_told_goes_first() -> None:
    """600 m lower: an hour on the way home."""
    low = east(-8000.0)._replace(altitude_m=100.0)
    pair = [HOME._replace(altitude_m=700.0), low]
    assert walked(written(pair), 2)[:2] == ["1:36", "2:36"]
    assert "1-2 0 m up, 600 m down at the least, by the heights of its ends" in section(written(pair), "How the turn")
    told = Outing(EQUINOX, UTC_ZONE, climbs=(Climb(0.0, 0.0),))
    assert walked(written(pair, outing=told), 2)[:2] == ["1:36", "1:36"]
    for places in (pair, [HOME, low]):
        assert "What is not known of climbs" in section(written(places), "How the turn")
    assert "What is not known of climbs" not in written(pair, outing=told)


def test_a_departure_gives_arrival_and_what_is_in_hand() -> None:
    """9:00 and 1 h 36 min; until 16:01:28 there are 5 h 25 min."""
    outing = Outing(EQUINOX, UTC_ZONE, time(9, 0))
    assert walked(written([HOME, east(-8000.0)], outing=outing), 2) == [
        "1:36",
        "1:36",
        "16:01",
        "14:01",
        "10:36",
        "5:25",
    ]


def test_latest_times_and_what_is_in_hand_are_never_rounded_up() -> None:
    """With 42 s more in hand the turn is 16:00:46, 5 h 24 min 46 s after 10:36."""
    outing = Outing(EQUINOX, UTC_ZONE, time(9, 0), reserve=Reserve(margin_min=30.7))
    assert walked(written([HOME, east(-8000.0)], outing=outing), 2)[2:] == ["16:00", "14:00", "10:36", "5:24"]


def test_too_late_is_said_in_words() -> None:
    sheet = written([HOME, east(-8000.0)], outing=Outing(EQUINOX, UTC_ZONE, time(15, 0)))
    assert walked(sheet, 2)[-2:] == ["late", "0:35"]  # 16:36 is 34 min 32 s after 16:01:28
    assert "TOO LATE at place 2:" in sheet
    assert "TOO LATE" not in written([HOME, east(-8000.0)], outing=Outing(EQUINOX, UTC_ZONE, time(14, 0)))


def test_what_the_light_of_a_day_cannot_hold_is_no_time() -> None:
    """30 km home and a reserve: 8 h of 12.8 h of light. To leave for it 7.5 h before that is the night."""
    sheet = written([HOME, east(-30_000.0), east(-90_000.0)])
    assert walked(sheet, 2)[2:4] == ["10:31", "before"]
    assert walked(sheet, 3)[2:4] == ["too", "far"]
    assert "does not fit the light of this day for places 2, 3." in " ".join(sheet.split())


def test_round_trips_lead_home_the_sooner_way() -> None:
    """A square of 4 km: from the third corner both ways are 8 km, from the fourth on is 4 km; at home there is none."""
    corner = 4000.0 / METRES_PER_DEGREE
    square = [Position(0.0, 0.0), Position(corner, 0.0), Position(corner, corner), Position(0.0, corner)]
    sheet = written([Place(f"Corner {n}", one) for n, one in enumerate([*square, square[0]], 1)])
    assert walked(sheet, 2)[:2] == ["0:48", "0:48"]
    assert walked(sheet, 4)[1:3] == ["0:48", "on"]
    assert walked(sheet, 5)[1] == "0:00"
    assert walked(sheet, 5)[2] == "18:01"


LEGS = st.lists(st.tuples(st.floats(1, 1e5), st.floats(1, 1e5), st.booleans()), min_size=1, max_size=6)


@given(LEGS, st.data())
def test_the_way_home_is_the_shortest_of_all(legs: list[tuple[float, float, bool]], data: st.DataObject) -> None:
    """By brute force: over every place that is home, the sum of the legs between."""
    noon = datetime(2025, 3, 20, 12, tzinfo=UTC)
    walks = [Walk(there, back) for there, back, _ in legs]
    homes = [True, *(is_home for _, _, is_home in legs)]
    lights = [Light(Position(0.0, 0.0), noon, None, is_home=one) for one in homes]
    stop = data.draw(st.integers(1, len(legs)))
    ways = [
        sum(one.back_s for one in walks[at:stop]) if at <= stop else sum(one.there_s for one in walks[stop:at])
        for at, is_home in enumerate(homes)
        if is_home
    ]
    found = homeward(stop, walks, lights)
    assert found.seconds == pytest.approx(min(ways))
    assert isinstance(found, Home)


@pytest.mark.parametrize(
    ("text_", "climb"),
    [("120", Climb(120.0)), ("0", Climb(0.0)), ("120/30", Climb(120.0, 30.0)), ("1e3", Climb(1000.0))],
)
def test_a_climb_as_typed(text_: str, climb: Climb) -> None:
    assert parse_climb(text_) == climb


@pytest.mark.parametrize("text_", ["", "-1", "9001", "nan", "inf", "1/2/3", "a", "1/", "\x1b[31m"])
def test_what_is_no_climb_is_refused(text_: str) -> None:
    with pytest.raises(InputError, match="is no climb"):
        parse_climb(text_)

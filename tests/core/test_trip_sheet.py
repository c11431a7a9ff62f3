"""The trip sheet, read back from its own text. Places are open ocean or published test points, names invented."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from itertools import groupby

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from core.before_dark import Reserve
from core.errors import InputError
from core.fix import Position
from core.pace import KMH, Pace
from core.places.reading import read
from core.safe_text import cells
from core.sheet_page import FORM_FEED, LINES, WIDTH
from core.sheet_pen import Pen, bearing, east_or_west
from core.sheet_sections import BEGINS, text
from core.sheet_time import Zone, computer_zone, zone
from core.sheet_turn import Climb, Home, Light, Walk, homeward, parse_climb
from core.trip_sheet import Outing, Place, TripSheet, trip_sheet
from tests.tables import rows

EQUINOX = date(2025, 3, 20)
UTC_ZONE = zone("UTC")
HOME = Place("Ommery Landing", Position(0.0, 0.0))
METRES_PER_DEGREE = 111_319.4908
"""Along the equator of WGS 84: the semi-major axis times pi over 180."""


def east(metres: float, name: str = "Tessel Bank") -> Place:
    """So far along the equator."""
    return Place(name, Position(0.0, metres / METRES_PER_DEGREE))


def written(
    places: Sequence[Place], target: Place | None = None, outing: Outing | None = None, *, ascii_only: bool = False
) -> str:
    outing = outing or Outing(EQUINOX, UTC_ZONE)
    return text(trip_sheet(places, target, outing), Pen(outing.day, outing.zone, ascii_only))


def row(sheet: str, label: str) -> list[str]:
    """The first line that begins with the label, in words, without it."""
    line = next(line for line in sheet.splitlines() if line.split()[:1] == [label])
    return line.split()[1:]


def walked(sheet: str, number: int) -> list[str]:
    """The place's row in the table of walking times, in words, without its number."""
    return row(sheet[sheet.index("On foot") :], str(number))


def section(sheet: str, title: str) -> str:
    """From one heading to the next, on one line."""
    found = re.search(rf"^{re.escape(title)}[^\n]* -+\n(.*?)(?=^\S[^\n]* --+$|\Z)", sheet, re.DOTALL | re.MULTILINE)
    assert found, title
    return " ".join(found[1].split())


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


# Light and compass where they fail


def test_polar_night_and_midnight_sun_have_words_and_no_times() -> None:
    north = Place("Ice Edge", Position(80.0, 0.0))
    winter, summer = (
        written([north, north], outing=Outing(day, UTC_ZONE)) for day in (date(2026, 12, 21), date(2026, 6, 21))
    )
    assert "The sun does not rise. No civil twilight." in " ".join(winter.split())
    assert "The sun is below the horizon at noon." in winter
    assert "At place 1: There is no civil twilight on this day: it is dark all day." in " ".join(winter.split())
    assert "It is not up at any full hour" in winter
    assert "The sun does not set. Civil twilight lasts all night." in " ".join(summer.split())
    for sheet in (winter, summer):
        assert walked(sheet, 2)[2:] == ["-", "-", "-"]
        assert re.search(r"UTC +- +- +\d\d:\d\d +- +-\n", sheet + "\n") or re.search(
            r"UTC +- +- +\d\d:\d\d +- +-$", sheet, re.MULTILINE
        )


def test_a_place_that_is_dark_all_day_has_no_turn_though_the_other_has_light() -> None:
    dark, light = Place("Ice Edge", Position(80.0, 0.0)), Place("Far", Position(60.0, 0.0))
    winter = Outing(date(2026, 12, 21), UTC_ZONE)
    for pair in ((dark, light), (light, dark)):
        assert walked(written(pair, outing=winter), 2)[2:] == ["-", "-", "-"]
    summer = Outing(date(2026, 6, 21), UTC_ZONE)
    assert re.fullmatch(
        r"\d\d:\d\d", walked(written((Place("Ice Edge", Position(80.0, 0.0)), HOME), outing=summer), 2)[-1]
    )


def test_a_compass_that_is_weak_is_given_more() -> None:
    """At 80 N 100 W WMM2025 has 2,080 nT on the ground: one sigma is sqrt(0.26^2 + (5417 / 2080)^2), 2.62 degrees."""
    weak = " ".join(
        written([Place("Weak", Position(80.0, -100.0))], outing=Outing(date(2025, 6, 21), UTC_ZONE)).split()
    )
    assert "(±2.7°, one sigma, the compass is weak here)" in weak
    assert "off by more than 6 degrees" in weak
    assert "off by more than 5 degrees" in " ".join(written([HOME]).split())


def test_near_a_magnetic_pole_there_is_no_magnetic_bearing() -> None:
    """86 N 140 E lies within the blackout zone of WMM2025."""
    sheet = written(
        [Place("A", Position(86.0, 140.0)), Place("B", Position(86.5, 140.0))],
        outing=Outing(date(2026, 6, 21), UTC_ZONE),
    )
    assert row(sheet, "1-2")[4] == "-"
    assert "no compass can be relied on" in " ".join(sheet.split())
    assert "No magnetic bearing where the declination is not known." in " ".join(sheet.split())


@pytest.mark.parametrize(
    ("day", "known"),
    [(date(2024, 12, 31), False), (date(2025, 1, 1), True), (date(2029, 12, 31), True), (date(2030, 1, 1), False)],
)
def test_the_declination_is_known_in_the_years_of_its_model_alone(day: date, known: bool) -> None:
    sheet = written([HOME, east(5000.0)], outing=Outing(day, UTC_ZONE))
    assert ("Declination not known: the model (WMM2025) holds from 2025 to 2029." in " ".join(sheet.split())) != known
    assert (row(sheet, "1-2")[4] == "-") != known


def test_over_the_antimeridian_it_is_two_kilometres() -> None:
    """0.02 degrees of the equator are 2,226.4 m."""
    pair = [Place("West", Position(0.0, 179.99)), Place("East", Position(0.0, -179.99))]
    shown = row(written(pair), "1-2")
    assert (shown[0], shown[3], shown[6]) == ("2226", "090.0", "270.0")


@pytest.mark.parametrize("latitude", [90.0, -90.0])
def test_a_pole_is_a_place_too(latitude: float) -> None:
    sheet = written([Place("Pole", Position(latitude, 0.0)), Place("Near", Position(latitude * 0.999, 10.0))])
    assert "go by the grid" in " ".join(sheet.split())
    assert float(row(sheet, "1-2")[0]) == pytest.approx(10_052, abs=2)
    """0.09 degrees of a meridian at the pole, 111,694 m a degree (WGS 84, from memory)."""


def test_the_way_to_the_target_from_every_place() -> None:
    """Along the equator: 5 km east of home, so 8 km from a place 3 km west of it; back is west."""
    sheet = written([HOME, east(-3000.0)], east(5000.0, "Car"))
    assert [row(sheet, label)[:3] for label in ("1-T", "2-T")] == [["5000", "5.00", "090.0"], ["8000", "8.00", "090.0"]]
    assert row(sheet, "2-T")[5] == "270.0"
    assert "Straight to the target (T), Car ---" in sheet
    alone = section(written([HOME], east(5000.0, "Car")), "Straight to the target (T), Car")
    assert "Degrees clockwise from true" in alone


def test_on_one_spot_there_is_no_direction() -> None:
    assert row(written([HOME, HOME]), "1-2") == ["0", "0.00", "0.00", *["-"] * 7]


def test_the_sun_by_the_hour_at_the_equinox() -> None:
    """On the equator it stands east before noon (12:07:28) and west after, 15 degrees an hour."""
    sheet = section(written([HOME]), "The sun over place 1")
    shown = {at: (float(true), int(high)) for at, true, high in re.findall(r"(\d\d:00) (\d+\.\d) \S+ (\d+)", sheet)}
    assert sorted(shown) == [f"{hour:02d}:00" for hour in range(7, 19)]
    for at, (true_deg, high) in shown.items():
        hours = int(at[:2]) - (12 + 7 / 60 + 28 / 3600)
        assert high == pytest.approx(90 - abs(hours) * 15, abs=0.6)
        if at != "12:00":
            assert true_deg == pytest.approx(90.0 if hours < 0 else 270.0, abs=1.5)


def test_the_sun_at_departure() -> None:
    """At 9:00 it is 90 - 15 x 3.124 = 43 degrees high; at 5:00 it is not up."""
    sheet = written([HOME], outing=Outing(EQUINOX, UTC_ZONE, time(9, 0)))
    assert re.search(r"At departure, 09:00, it stands at 0(89|90)\.\d° true, \d+\.\d° magnetic, 43° high\.", sheet)
    early = written([HOME], outing=Outing(EQUINOX, UTC_ZONE, time(5, 0)))
    assert "At departure, 05:00, the sun is not up." in early
    assert "Departure 05:00 UTC, in the dark." in " ".join(early.split())


# Coarse places


def test_a_locator_is_a_box_and_nothing_on_the_sheet_is_finer() -> None:
    found = read("IE32pq")[0]
    sheet = written([Place("IE32pq", found.position, found.radius_m), Place("B", Position(-47.2, -12.7), 1.0)])
    assert "Locator IE32pq  " in sheet
    assert "Known only to about 3.9 km" in sheet
    assert "UTM about 28G" in sheet
    assert row(sheet, "1-2")[0] == "-"
    assert re.fullmatch(r"\d{3}", row(sheet, "1-2")[3])


def test_an_error_that_nobody_knows_is_no_zero() -> None:
    sheet = written([HOME, east(3000.0)])
    assert row(sheet, "1-2")[-1] == "-"
    assert "How well it is known is not known." in " ".join(sheet.split())
    known = written([HOME._replace(radius_m=0.7), east(3000.0)._replace(radius_m=0.7)])
    assert row(known, "1-2")[-1] == "0.1"
    assert "is not known." not in section(known, "1  Ommery")


def test_places_that_may_be_one_have_no_direction() -> None:
    shown = row(written([HOME._replace(radius_m=5000.0), east(3000.0)._replace(radius_m=1.0)]), "1-2")
    assert shown[2:] == ["3", *["-"] * 6, "any"]


@pytest.mark.parametrize(
    ("degrees", "shown"),
    [(0.0, "000.0"), (359.94, "359.9"), (359.96, "000.0"), (9.95, "010.0"), (None, "-")],
)
def test_a_bearing_carries_over_north(degrees: float | None, shown: str) -> None:
    assert bearing(degrees) == shown


def test_a_bearing_in_whole_degrees_carries_too() -> None:
    assert [bearing(one, 1.0) for one in (359.4, 359.5, 0.5)] == ["359", "000", "001"]


@pytest.mark.parametrize(
    ("degrees", "shown"), [(0.04, "0.0°"), (-0.04, "0.0°"), (-0.06, "0.1° west"), (12.3, "12.3° east")]
)
def test_a_side_only_where_there_is_one(degrees: float, shown: str) -> None:
    assert east_or_west(degrees) == shown


# Clocks


def known_zone(name: str) -> Zone:
    try:
        return zone(name)
    except InputError:
        pytest.skip(f"this system has no time zone {name}")


def test_times_on_another_date_say_so() -> None:
    """On the other side of the Earth noon is at 00:07 UTC, dawn on the day before."""
    sheet = written([Place("Far", Position(0.0, 179.9))], outing=Outing(EQUINOX, zone("+12:00")))
    assert re.search(r"UTC +17:44 19 Mar", sheet)
    assert row(sheet, "local")[0] == "05:44"


def test_the_light_is_that_of_the_day_that_the_departure_is_in() -> None:
    """20:00 UTC at 180 E is 8 in the morning of the next day: the light ends at 06:31 UTC of that."""
    far = [Place("Far", Position(0.0, 179.9)), Place("Farther", Position(0.0, 179.95))]
    assert walked(written(far), 2)[-1] == "06:31"
    evening = written(far, outing=Outing(EQUINOX, UTC_ZONE, time(20, 0)))
    assert re.search(r"UTC +17:4\d +18:0\d +00:0\d 21 Mar +06:1\d 21 Mar +06:31 21 Mar", evening)


def test_clocks_that_change_are_told_and_a_skipped_time_is_refused() -> None:
    """New Zealand: forward from 02:00 on 27 September 2026, back from 03:00 on 5 April 2026 (from memory)."""
    clocks = known_zone("Pacific/Auckland")
    far = Place("Far", Position(-47.0, 179.0))
    forward = written([far], outing=Outing(date(2026, 9, 27), clocks))
    assert "The clocks change on this day: UTC+12:00, later UTC+13:00." in " ".join(forward.split())
    with pytest.raises(InputError, match="02:30 does not come"):
        written([far], outing=Outing(date(2026, 9, 27), clocks, time(2, 30)))
    back = " ".join(written([far], outing=Outing(date(2026, 4, 5), clocks, time(2, 30))).split())
    assert "The departure is the first 02:30 of two." in back
    assert "Departure 02:30 (13:30 4 Apr UTC), in the dark." in back


@pytest.mark.parametrize(
    "name", ["Nowhere/Such", "../../etc/passwd", "/etc/passwd", "\0", "", "Pacific", "+15:00", "+5", "\x1b[31m"]
)
def test_what_is_no_zone_is_refused_with_words(name: str) -> None:
    with pytest.raises(InputError, match="give one as"):
        zone(name)


@pytest.mark.parametrize(
    ("name", "hours"), [("UTC", 0.0), ("z", 0.0), ("+05:30", 5.5), ("-0330", -3.5), ("UTC+01:00", 1.0)]
)
def test_an_offset_is_a_zone(name: str, hours: float) -> None:
    moment = datetime(2026, 3, 20, 12, tzinfo=UTC)
    assert zone(name).local(moment).utcoffset() == timedelta(hours=hours)
    assert zone(name).moment(moment.date(), time(12)) == moment - timedelta(hours=hours)


def test_this_computer_s_clocks_go_there_and_back() -> None:
    moment = computer_zone().moment(date(2026, 3, 20), time(12))
    assert computer_zone().local(moment).replace(tzinfo=None) == datetime(2026, 3, 20, 12)


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

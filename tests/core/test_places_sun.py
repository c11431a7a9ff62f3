"""Light against computed and published times, the days when the sun does not rise or set, and where it stands."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Position
from core.places.sun import DayKind, SunDay, in_words, solar_date, sun_day, sun_position
from tests.tables import rows

TABLE, PUBLISHED = rows("sun_times.csv"), rows("sun_published.csv")
EVENTS = ("civil_dawn", "sunrise", "sunset", "civil_dusk")
TOLERANCE_S = 3.0
"""Asked for is 10 s below 60 degrees. 3 s hold up to 70 degrees on the days of the table."""
FAR_NORTH_TOLERANCE_S = 5.0
"""At 78 degrees, where the sun crosses the horizon at a slant."""


def place(row: dict[str, str]) -> Position:
    return Position(float(row["lat"]), float(row["lon"]))


def day_of(row: dict[str, str]) -> SunDay:
    return sun_day(place(row), date.fromisoformat(row["local_date"]))


def ids(row: dict[str, str]) -> str:
    return f"{row['place']} {row['local_date']}"


def test_the_tables_are_whole() -> None:
    assert (len(TABLE), len(PUBLISHED)) == (55, 5)
    assert sum(row[event] == "" for row in TABLE for event in EVENTS) == 18


@pytest.mark.parametrize("row", TABLE, ids=ids)
def test_the_computed_times(row: dict[str, str]) -> None:
    found = day_of(row)._asdict()
    tolerance_s = TOLERANCE_S if abs(float(row["lat"])) < 70 else FAR_NORTH_TOLERANCE_S
    for event in EVENTS:
        if row[event] == "":
            assert found[event] is None, event
        else:
            off_s = (found[event] - datetime.fromisoformat(row[event].replace("Z", "+00:00"))).total_seconds()
            assert abs(off_s) <= tolerance_s, event


@pytest.mark.parametrize("row", PUBLISHED, ids=[row["event"] for row in PUBLISHED])
def test_the_published_times_to_the_minute(row: dict[str, str]) -> None:
    day = sun_day(place(row), date.fromisoformat(row["date"]))
    zone = timezone(timedelta(hours=float(row["utc_offset_h"])))
    found = getattr(day, {"transit": "noon"}.get(row["event"], row["event"])).astimezone(zone)
    rounded = found + timedelta(seconds=30)
    assert rounded.strftime("%H:%M") == row["published_local_time"]
    second = found.hour * 3600 + found.minute * 60 + found.second
    hours, minutes, seconds = (int(part) for part in row["skyfield_1_55"].split(":"))
    assert abs(second - (hours * 3600 + minutes * 60 + seconds)) <= TOLERANCE_S


FAR_NORTH = Position(69.65, 18.95)


@pytest.mark.parametrize(
    ("where", "day", "kinds", "words"),
    [
        (Position(47.0, 8.0), date(2026, 6, 21), (DayKind.ORDINARY, DayKind.ORDINARY), ()),
        (
            FAR_NORTH,
            date(2026, 6, 21),
            (DayKind.ABOVE, DayKind.ABOVE),
            ("The sun does not set", "Civil twilight lasts all night"),
        ),
        (FAR_NORTH, date(2026, 12, 21), (DayKind.BELOW, DayKind.ORDINARY), ("The sun does not rise",)),
        (
            Position(78.2, 15.6),
            date(2026, 12, 21),
            (DayKind.BELOW, DayKind.BELOW),
            ("The sun does not rise", "No civil twilight"),
        ),
        (
            Position(64.1, -21.9),
            date(2026, 6, 21),
            (DayKind.ORDINARY, DayKind.ABOVE),
            ("Civil twilight lasts all night",),
        ),
        (
            FAR_NORTH,
            date(2026, 5, 18),
            (DayKind.ONLY_RISES, DayKind.ABOVE),
            ("The sun rises and does not set", "Civil twilight lasts all night"),
        ),
        (
            Position(-90.0, 0.0),
            date(2026, 3, 22),
            (DayKind.ONLY_SETS, DayKind.ABOVE),
            ("The sun sets and does not rise", "Civil twilight lasts all night"),
        ),
    ],
)
def test_the_days_out_of_the_ordinary_have_names(
    where: Position, day: date, kinds: tuple[DayKind, DayKind], words: tuple[str, ...]
) -> None:
    found = sun_day(where, day)
    sun = found.sun
    assert ((sun, found.civil), in_words(found)) == (kinds, words)
    assert (found.sunrise is None) == (sun not in {DayKind.ORDINARY, DayKind.ONLY_RISES})
    assert (found.sunset is None) == (sun not in {DayKind.ORDINARY, DayKind.ONLY_SETS})


def test_a_year_at_the_pole_has_one_sunrise_and_one_sunset() -> None:
    days = [sun_day(Position(90.0, 0.0), date(2026, 3, 10) + timedelta(days=n)) for n in range(210)]
    assert [(found.noon.month, found.noon.day) for found in days if found.sunrise] == [(3, 18)]
    assert [(found.noon.month, found.noon.day) for found in days if found.sunset] == [(9, 25)]
    assert sum(found.sun is DayKind.ABOVE for found in days) == 190


def test_light_and_dark_follow_one_another_around_the_midnight_sun() -> None:
    """No sunrise is lost or told twice on the days when it begins and ends."""
    days = [sun_day(FAR_NORTH, date(2026, 4, 20) + timedelta(days=n)) for n in range(120)]
    told = sorted((at, rises) for found in days for at, rises in ((found.sunrise, True), (found.sunset, False)) if at)
    assert [rises for _, rises in told] == [n % 2 == 0 for n in range(len(told))]
    assert len({at for at, _ in told}) == len(told) > 90


def low_precision_sun(latitude: float, longitude: float, utc: datetime) -> tuple[float, float]:
    """Azimuth and elevation by the low-precision formulae of the Astronomical Almanac (from memory; 0.01 degrees)."""
    days = (utc - datetime(2000, 1, 1, 12, tzinfo=UTC)).total_seconds() / 86_400
    anomaly = math.radians(357.529 + 0.98560028 * days)
    lon = math.radians(280.459 + 0.98564736 * days + 1.915 * math.sin(anomaly) + 0.020 * math.sin(2 * anomaly))
    tilt = math.radians(23.439 - 0.00000036 * days)
    ascension = math.atan2(math.cos(tilt) * math.sin(lon), math.cos(lon))
    declination = math.asin(math.sin(tilt) * math.sin(lon))
    sidereal = math.radians(15 * (18.697374558 + 24.06570982441908 * days) + longitude)
    hour, lat = sidereal - ascension, math.radians(latitude)
    up = math.sin(lat) * math.sin(declination) + math.cos(lat) * math.cos(declination) * math.cos(hour)
    east = -math.cos(declination) * math.sin(hour)
    north = math.cos(lat) * math.sin(declination) - math.sin(lat) * math.cos(declination) * math.cos(hour)
    return math.degrees(math.atan2(east, north)) % 360, math.degrees(math.asin(up))


INSTANTS = st.datetimes(datetime(2000, 1, 1), datetime(2049, 12, 31), timezones=st.just(UTC))
LATITUDES, LONGITUDES = st.floats(-90, 90), st.floats(-180, 180)


@given(LATITUDES, LONGITUDES, INSTANTS)
def test_the_sun_stands_where_another_formula_puts_it(latitude: float, longitude: float, utc: datetime) -> None:
    found = sun_position(Position(latitude, longitude), utc)
    azimuth, elevation = low_precision_sun(latitude, longitude, utc)
    assert found.elevation_deg == pytest.approx(elevation, abs=0.03)
    # A hundredth of a degree on the sky is more in azimuth the nearer the sun is to the zenith.
    off = math.remainder(found.azimuth_deg - azimuth, 360.0) * math.cos(math.radians(elevation))
    assert abs(off) < 0.03
    assert 0.0 <= found.azimuth_deg < 360.0


def test_at_noon_it_stands_in_the_south_north_of_the_tropics_and_in_the_north_south_of_them() -> None:
    for latitude, azimuth in ((47.0, 180.0), (-47.0, 0.0)):
        where = Position(latitude, 8.0)
        found = sun_position(where, sun_day(where, date(2026, 3, 20)).noon)
        assert abs(math.remainder(found.azimuth_deg - azimuth, 360.0)) < 0.02
        assert found.elevation_deg == pytest.approx(43.0, abs=0.3)


@given(LATITUDES, LONGITUDES, st.dates(date(1900, 1, 2), date(2100, 12, 30)))
def test_events_come_in_their_order_and_the_sun_is_where_they_say(latitude: float, longitude: float, day: date) -> None:
    where = Position(latitude, longitude)
    found = sun_day(where, day)
    for at, height in (
        (found.sunrise, -50 / 60),
        (found.sunset, -50 / 60),
        (found.civil_dawn, -6),
        (found.civil_dusk, -6),
    ):
        if at is not None:
            assert sun_position(where, at).elevation_deg == pytest.approx(height, abs=0.001)
            assert abs(at - found.noon) <= timedelta(hours=12)
    for first, then in ((found.sunrise, found.sunset), (found.civil_dawn, found.civil_dusk)):
        assert first is None or then is None or first < then
    assert solar_date(where, found.noon) == day


@given(st.floats(-64, 64), LONGITUDES, st.dates(date(1900, 1, 2), date(2100, 12, 30)))
def test_below_the_circles_every_day_is_ordinary(latitude: float, longitude: float, day: date) -> None:
    found = sun_day(Position(latitude, longitude), day)
    assert found.sun is DayKind.ORDINARY
    assert found.sunrise is not None
    assert found.sunset is not None
    assert found.sunrise < found.noon < found.sunset


def test_the_local_date_is_by_the_sun() -> None:
    utc = datetime(2026, 1, 1, 2, 0, tzinfo=UTC)
    assert solar_date(Position(0.0, -60.0), utc) == date(2025, 12, 31)
    assert solar_date(Position(0.0, 8.0), utc) == date(2026, 1, 1)


def test_what_cannot_be_known_is_refused() -> None:
    where = Position(47.0, 8.0)
    with pytest.raises(ValueError, match="zone"):
        sun_position(where, datetime(2026, 1, 1))
    with pytest.raises(ValueError, match="zone"):
        solar_date(where, datetime(2026, 1, 1))
    for end in (datetime.min, datetime.max):
        with pytest.raises(ValueError, match="1900 to 2100"):
            solar_date(where, end.replace(tzinfo=UTC))
    for year in (1, 1899, 2101, 9999):
        with pytest.raises(ValueError, match="1900 to 2100"):
            sun_day(where, date(year, 6, 1))


def test_a_sun_that_goes_down_twice_in_one_day_sets_the_last_time() -> None:
    """Near the pole in autumn: down just after midnight, up again, down for the winter's dusk."""
    found = sun_day(Position(89.6, -42.0), date(2026, 9, 24))
    assert found.sunrise is not None
    assert found.sunset is not None
    assert found.sun is DayKind.ORDINARY
    assert found.noon - timedelta(hours=12) < found.sunrise < found.sunset

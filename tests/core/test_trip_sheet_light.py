"""What a trip sheet says of light, compass, coarse places and clocks where they fail."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta

import pytest

from core.errors import InputError
from core.fix import Position
from core.places.reading import read
from core.sheet_pen import bearing, east_or_west
from core.sheet_time import Zone, computer_zone, zone
from core.trip_sheet import Outing, Place
from tests.sheets import EQUINOX, HOME, UTC_ZONE, east, row, section, walked, written

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

"""Lengths as they are typed, wherever one may be: in any unit, a bare number as ever; and lengths in texts of ours."""

from __future__ import annotations

import re

import pytest

from core.benchmark import HeightKind, read_height, split_error
from core.blur import Blur, BlurKind, parse_blur
from core.errors import InputError, UsageError
from core.settings.key import Key
from core.settings.table import find
from core.settings.values import parse
from core.track_rule import TrackRule, parse_rule
from core.trust_rules import RULES
from core.units import LENGTH_UNITS, METRIC, SYSTEMS, UNITS, Units, length_m, length_unit_m

STATUTE, NAUTICAL = SYSTEMS["statute"], SYSTEMS["nautical"]
FOOT_M, MILE_M, NM_M = (UNITS[name].size for name in ("ft", "mi", "NM"))


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("500 m", 500.0),
        ("500m", 500.0),
        ("1.5 km", 1500.0),
        ("1,5 km", 1500.0),
        ("500 ft", 500 * FOOT_M),
        ("500 Feet", 500 * FOOT_M),
        ("300 yd", 300 * UNITS["yd"].size),
        ("3 mi", 3 * MILE_M),
        ("3  miles", 3 * MILE_M),
        ("2 NM", 2 * NM_M),
        ("2 nm", 2 * NM_M),
        ("2 nautical miles", 2 * NM_M),
        ("1 nautical mile", NM_M),
        ("6 in", 0.1524),
        ("2 cm", 0.02),
    ],
)
def test_a_length_is_read_in_its_unit(text: str, metres: float) -> None:
    assert length_m(text) == pytest.approx(metres, rel=1e-12)
    assert length_m(f"  {text} ", 1.0) == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize("text", ["", "m", "mi", "3 min", "3 m/s", "3 M H", "-3 m", "3 m 2", "1e3 m", "3..5 m", "٣ m"])
def test_what_is_no_length_is_none(text: str) -> None:
    assert length_m(text) is None
    assert length_m(text, 1.0) is None


def test_a_bare_number_counts_what_it_always_did_whatever_the_units_in_use() -> None:
    assert length_m("3") is None
    assert length_m("3", 1.0) == 3.0
    assert length_m("3", 1000.0) == 3000.0


def test_every_unit_that_may_be_typed_is_one() -> None:
    assert {"m", "km", "ft", "yd", "mi", "nm", "foot", "miles", "nautical miles"} <= set(LENGTH_UNITS)
    assert all(length_unit_m(word) for word in LENGTH_UNITS)
    assert length_unit_m("min") is None


# Where one is typed


def key(place: str) -> Key:
    found = find(*place.split("."))
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("place", "text", "metres"),
    [
        ("home.radius_m", "500", 500.0),
        ("home.radius_m", "500 m", 500.0),
        ("home.radius_m", "0.5 mi", 804.672),
        ("home.radius_m", "1 NM", 1852.0),
        ("stations.antenna_m", "20 ft", 6.096),
        ("stations.antenna_m", "6,5", 6.5),
        ("ranging_error_m.rtk_fixed", "2 cm", 0.02),
    ],
)
def test_a_setting_in_metres_is_typed_in_any_unit(place: str, text: str, metres: float) -> None:
    assert parse(key(place), text) == pytest.approx(metres, rel=1e-9)


def test_its_range_stays_that_of_metres() -> None:
    with pytest.raises(UsageError, match="metres from 1 to 50000 are wanted"):
        parse(key("home.radius_m"), "100 mi")
    with pytest.raises(UsageError, match="minutes from 0 to 600"):
        parse(key("before_dark.margin_min"), "30 ft")


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("every 100 ft", TrackRule(every_m=30.48)),
        ("every 0.1 mi or 20 deg", TrackRule(every_m=160.9344, turn_deg=20.0)),
        ("every 1 nm", TrackRule(every_m=1852.0)),
        ("every 50 yards", TrackRule(every_m=45.72)),
        ("every 10 min", TrackRule(every_s=600.0)),
        ("every 10 m", TrackRule(every_m=10.0)),
    ],
)
def test_the_track_s_rule_is_said_in_any_unit(text: str, rule: TrackRule) -> None:
    assert parse_rule(text) == rule
    assert parse_rule(str(rule)) == rule


@pytest.mark.parametrize(
    ("text", "metres"), [("100m", 100.0), ("2 km", 2000.0), ("300ft", 91.44), ("1 mi", MILE_M), ("0.5nm", 926.0)]
)
def test_a_blur_is_typed_in_any_unit(text: str, metres: float) -> None:
    assert parse_blur(text) == Blur(BlurKind.DIGITS, pytest.approx(metres))  # type: ignore[arg-type]  # compared alone


@pytest.mark.parametrize("text", ["100", "100 mi", "0 ft"])
def test_a_blur_without_a_unit_or_out_of_range_is_none(text: str) -> None:
    with pytest.raises(UsageError, match="300ft"):
        parse_blur(text)


def test_a_mark_s_error_and_height_are_typed_in_any_unit() -> None:
    assert split_error("41 N 20 E +- 0.02 m") == ("41 N 20 E", 0.02)
    assert split_error("41 N 20 E +- 2") == ("41 N 20 E", 2.0)
    assert split_error("41 N 20 E ± 1 in") == ("41 N 20 E", 0.0254)
    assert read_height("100 ft ellipsoid") == (100 * FOOT_M, HeightKind.ELLIPSOID)
    assert read_height("98.7 sea") == (98.7, HeightKind.SEA_LEVEL)
    assert read_height("98.7 m msl") == (98.7, HeightKind.SEA_LEVEL)
    with pytest.raises(InputError, match="no place has a height"):
        read_height("30000 ft sea")


# Texts of ours


def test_texts_are_told_in_the_user_s_units() -> None:
    text = "firm up to 15 m, by 30 m: doubtful; 0.02 m, 4 m/s, 2 km, 10 min, 3 mi, a 1.5 MHz"
    assert METRIC.own_lengths(text) == text
    told = "firm up to 49 ft, by 98 ft: doubtful; 0.066 ft, 4 m/s, 1.2 mi, 10 min, 3 mi, a 1.5 MHz"
    assert STATUTE.own_lengths(text) == told
    assert NAUTICAL.own_lengths(text) == text.replace("2 km", "1.1 NM")
    assert Units("km", "yd").own_lengths("by 30 m") == "by 33 yd"


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_no_threshold_stays_in_metres(rule: object) -> None:
    thresholds = getattr(rule, "thresholds")  # noqa: B009 - the parameter is any rule
    assert not re.search(r"\d m\b", STATUTE.own_lengths(thresholds))


# Speeds that stand still


@pytest.mark.parametrize("units", [METRIC, STATUTE, NAUTICAL, Units(speed="km/h"), Units(speed="m/s")])
def test_a_unit_stays_in_its_place_while_its_figure_grows(units: Units) -> None:
    shown = [units.steady_rate(mps) for mps in (0.0, 1.4, 2.8, 9.94, 9.96, 10.0, 27.7, 27.8, 45.0, 99.9)]
    assert len({len(one) for one in shown}) == 1
    assert len({tuple(found.start() for found in re.finditer(r"[a-z/]+", one)) for one in shown}) == 1
    assert [one.split() for one in shown[:2]] == ["  ".join(units.rates(mps)).split() for mps in (0.0, 1.4)]

"""The page of a recording in the units in use: words, axes, rulers and tables; what others fix in metres stays."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from core.report.page import page
from core.report.scatter import scale_of
from core.report.strip import PLOT
from core.units import METRIC, SYSTEMS, UNITS, use
from tests.reports import At, Read, drawing, labels, north, paths, recorded, report_of

METRES = re.compile(r"\d[\d.\N{THIN SPACE}]* (?:c|k)?m\b(?!/)|m/s|km/h")


def walk(second: int) -> At:
    """A climb northwards at 1.49 m/s; then a stop long enough for a scatter."""
    return At(north(1.49 * min(second, 300)), 2.9 if second < 300 else 0.0, 100.0 + min(second, 300) / 10)


REPORT = report_of(recorded(walk, range(900)))


@pytest.fixture
def metric() -> Iterator[None]:
    yield
    use(METRIC)


def shown(system: str) -> str:
    use(SYSTEMS[system])
    return page(REPORT, "1.2.3")


@pytest.mark.usefixtures("metric")
def test_in_metric_units_it_is_metric() -> None:
    text = Read(shown("metric")).text
    assert "1.5 m/s, 5.4 km/h" in text
    assert "Metres above mean sea level" in text
    assert "Metres a second over ground" in text


@pytest.mark.usefixtures("metric")
def test_in_statute_units_nothing_is_told_in_metres() -> None:
    text = Read(shown("statute")).text
    own = text.split("Where", 1)[1]
    assert [found for found in METRES.findall(own) if found] == []
    for words in (
        "Feet above mean sea level",
        "Miles an hour over ground",
        "3.3 mph",
        " ft",
        "height, ft",
        "speed, mph",
    ):
        assert words in text, words
    assert "HDOP x 13 ft assumed" in text  # 4 m


@pytest.mark.usefixtures("metric")
def test_in_nautical_units_ways_are_nautical_and_heights_in_metres() -> None:
    text = Read(shown("nautical")).text
    assert "Knots over ground" in text
    assert "Metres above mean sea level" in text
    assert "mph" not in text
    assert "km/h" not in text


@pytest.mark.usefixtures("metric")
@pytest.mark.parametrize("system", SYSTEMS)
def test_forms_that_standards_fix_are_the_same_in_any_units(system: str) -> None:
    """UTM and MGRS count metres, ISO 6709 and geo: write heights in them."""
    rows = r"(UTM or UPS|MGRS|ISO 6709|geo: URI|locator)</th>(.*?)</tr>"
    assert re.findall(rows, shown(system)) == re.findall(rows, shown("metric"))


@pytest.mark.usefixtures("metric")
@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize(("plot", "unit"), [("elevation", "height"), ("speed", "speed")])
def test_a_curve_stands_where_its_axis_says(system: str, plot: str, unit: str) -> None:
    """The highest of the curve, read off the figures beside the rules, is the recording's own."""
    drawn = drawing(shown(system), plot)
    size = UNITS[getattr(SYSTEMS[system], unit) or "m/s"].size
    levels = [(float(words.replace("\N{THIN SPACE}", "")), y) for words, x, y in labels(drawn) if x < PLOT.left]
    (low, low_y), (high, high_y) = levels[0], levels[-1]
    top_y = min(y for piece in paths(drawn, "curve a")[0] for _, y in piece)
    value = low + (high - low) * (top_y - low_y) / (high_y - low_y)
    wanted = {"elevation": 130.0, "speed": 2.9 * 1852 / 3600}[plot]
    assert value * size == pytest.approx(wanted, rel=0.01)


@pytest.mark.usefixtures("metric")
@pytest.mark.parametrize(("system", "unit"), [("metric", "m"), ("statute", "ft"), ("nautical", "m")])
def test_rulers_are_round_in_the_unit(system: str, unit: str) -> None:
    text = shown(system)
    (scale,) = [words for words, _, _ in labels(drawing(text, "trail")) if re.fullmatch(r"[125]0* \w+", words)]
    assert scale.endswith(f" {unit}")
    reach = scale_of(REPORT.standing.longest[0])
    names = [words for words, _, _ in labels(drawing(text, "stop-1"))]
    told = [float(words.split()[0]) * {"cm": 0.01, "in": 0.0254, "m": 1.0, "ft": 0.3048}[words.split()[1]]
            for words in names if words != "N"]  # fmt: skip
    assert told == [pytest.approx(reach), pytest.approx(reach / 2)]

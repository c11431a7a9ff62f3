"""The paragraphs: their length, their sources, and every number in them against the code or against what is published.

Where the code has the figure, it is taken from the code. The others are those of the project's trade facts, by the
letter of their section, or calculated here.
"""

from __future__ import annotations

import math
import re
import subprocess
import sys

import pytest

from core import explanations as module
from core.accuracy import R95_OVER_DRMS, RANGING_ERROR_M
from core.aged import GONE_AFTER_S
from core.arrival import LEAST_RADIUS_M, TOO_COARSE_M
from core.ascent import CLIMB_M, HIGH_TURN_M, LOW_TURN_M
from core.before_dark import FACTOR
from core.clock_guards import LEAP_WAIT_S
from core.clock_report import WORKS_S
from core.closing import LEAST_FOR_ETA_S, SLOWEST_MPS
from core.course import SEEN, SURE
from core.dates import ROLLOVER_DAYS
from core.evidence import FALL_DB, JUMP_SLACK_M, NULL_ISLAND_DEG, WINDOW_S
from core.explanations import LEAST_WORDS, MOST_WORDS, explanations, read
from core.fix import FixMode
from core.gps_time import LEAP_SECONDS, WEEK_S, WEEKS_COUNTED
from core.latency import ASSUMED
from core.moving import CHORD_M, FAST_M, SLOW_M, STILL_MPS
from core.obstruction import BAND_DEG, SECTOR_DEG
from core.pace import CLIMB_S_PER_M, PATH_MPS, TOBLER_MPS
from core.places.magnetic import BLACKOUT_NT, CAUTION_NT, FIRST_YEAR, LAST_DAY
from core.places.sun import CIVIL_DEG
from core.return_trail import LOOKAHEAD_M
from core.sources.player import FASTEST, SLOWEST
from core.straight import LEAST_STRETCH_M
from core.trust_rules import RULES

EVERY = explanations()
THRESHOLDS = {rule.id: re.findall(r"[\d.]+", rule.thresholds) for rule in RULES}
MINUTE_M = 1852.0
"""Of latitude, a nautical mile."""


def f(value: float) -> str:
    return f"{value:g}"


CODED: dict[str, tuple[str, ...]] = {
    "age": (f(GONE_AFTER_S),),
    "hdop": (*THRESHOLDS["hdop"], f(RANGING_ERROR_M[FixMode.AUTONOMOUS]), f"{R95_OVER_DRMS * 4.0:.0f}", "1"),
    "pdop": tuple(THRESHOLDS["pdop"]),
    "error_95": (
        *(f"{R95_OVER_DRMS:.2f}", f(RANGING_ERROR_M[FixMode.AUTONOMOUS]), f(RANGING_ERROR_M[FixMode.DIFFERENTIAL])),
        *THRESHOLDS["error"],
    ),
    "best_four": (*THRESHOLDS["signal"], "40"),
    "correction_age": (*THRESHOLDS["correction"], "30", "60"),
    "jump": (f(JUMP_SLACK_M),),
    "frozen": ("20",),
    "null_island": (f(NULL_ISLAND_DEG),),
    "signals_fall": (f(FALL_DB), f(WINDOW_S)),
    "course": (f(SURE.enter_mps), f(SEEN.enter_mps), "11", "23"),
    "turn": (f(LEAST_STRETCH_M), "3"),
    "by_trail": (f(LOOKAHEAD_M),),
    "eta": (f(LEAST_FOR_ETA_S), f(SLOWEST_MPS)),
    "arrival": (f(LEAST_RADIUS_M), f(TOO_COARSE_M)),
    "arrival_errors": ("5", "12", f(math.hypot(5, 12))),
    "trip_distance": (f(FAST_M), f(SLOW_M), f(CHORD_M), "600", "1800"),
    "moving_time": (f(STILL_MPS),),
    "ascent": (f(LOW_TURN_M), f(HIGH_TURN_M), f(CLIMB_M), "3", "1102"),
    "turn_back": (f(FACTOR),),
    "walking_time": (
        *(f"{PATH_MPS * 3.6:g}", f"{3600 / CLIMB_S_PER_M:g}", f"{TOBLER_MPS * 3.6:g}"),
        *("1892", "1993", "300"),
    ),
    "obstruction": (f(SECTOR_DEG), f(BAND_DEG)),
    "twilight": (f(-CIVIL_DEG),),
    "declination": (f(CAUTION_NT), f(BLACKOUT_NT), f(FIRST_YEAR), f(LAST_DAY.year)),
    "slot_modes": (f(WORKS_S), "12.64", "15"),
    "latency": (f(ASSUMED.low_s), f(ASSUMED.high_s)),
    "leap_seconds": (f(LEAP_SECONDS[-1][1]), f(LEAP_SECONDS[-1][0].year), f"{LEAP_WAIT_S / 60:g}", "12.5"),
    "gps_time": (f"{WEEK_S:,}", "6", "1980"),
    "rollover": (f(WEEKS_COUNTED), f"{ROLLOVER_DAYS / 365.25:.1f}", "1999", "2019", "2038"),
    "date": (f(WEEKS_COUNTED),),
    "date_corrected": (f(WEEKS_COUNTED), f(ROLLOVER_DAYS), f"{ROLLOVER_DAYS / 365.25:.1f}", "1999", "2019", "2038"),
    "source_state": (f(SLOWEST), f(FASTEST)),
    "r95": (f"{R95_OVER_DRMS:.2f}",),
}
"""By paragraph, every number that it states; those that the code has come from the code."""

CALCULATED: dict[str, tuple[str, ...]] = {
    "decimal_degrees": (f"{60 * MINUTE_M / 1000:.0f}", f"{60 * MINUTE_M / 10_000:.0f}"),
    "degrees_minutes": ("0.001", f"{MINUTE_M / 1000:.2f}", "0.50", "50", "730"),
    "degrees_minutes_seconds": (f"{MINUTE_M / 60:.0f}", f"{MINUTE_M / 600:.0f}"),
    "square": ("7", "2", "100"),
    "bearings_north": (f"{1000 * math.tan(math.radians(1)):.1f}",),
    "time_back": (f"{299_792_458 / 1e6:.0f}",),
    "cep": ("2.08",),
    "drms": ("63",),
    "two_drms": (f"{200 * 0.5 * math.erf(2 / math.sqrt(2)):.1f}", f"{100 * (1 - math.exp(-4)):.1f}", "2", "2.4"),
    "height_scatter": ("1.96",),
    "made_from": ("500", "4800"),
}

PUBLISHED: dict[str, tuple[str, ...]] = {
    "utm": ("6", "500,000"),  # definition, from memory
    "mgrs": ("10", "100"),  # d, from memory
    "locator": ("6.6", "4.6", "45", "655", "463", "84", "1999"),  # d, calc and S37
    "geo_uri": ("84",),
    "ellipsoid": ("106", "85", "50"),  # c, from memory, and l, S71
    "utc": ("12.5",),  # a, S12
    "speed": ("0.2",),  # b, S15
    "heading": ("20",),  # invented
    "dimensions": ("3", "2"),
    "vdop": ("0.90", "1.16"),  # k, calc
    "datum": ("84",),
    "verdict": ("7",),  # the key of the page
    "bearing": ("288", "231"),  # f, calc
    "cross_track": ("2",),
    "profile": ("20",),
    "elevation": ("0", "90", "30", "60", "5", "15"),
    "azimuth": ("90", "180", "55"),
    "cn0": ("45", "35", "25"),  # a, S9
    "satellite": ("5", "70"),
    "mask": ("0.90", "1.75", "20", "1.95", "35", "1.16", "2.74", "3.82"),  # k, calc
    "cliff": ("30", "0.90", "1.57", "1.16", "2.02"),  # k, calc
    "street": ("55", "2.60", "1.59"),  # k, calc
    "satellite_worth": ("80", "0.90", "1.16", "1.32"),  # k, calc
    "benchmark": ("180",),  # c, from memory
    "taken": ("50",),  # contract, checksums
    "wire": ("1980",),  # "the 1980s"
    "event": ("30",),  # a, S12
}
"""By section of the trade facts and source there."""
HUNDREDTHS = {"95"}
"""Of the measure that the board uses throughout."""


def numbers(words: str) -> set[str]:
    return set(re.findall(r"\d+(?:[.,]\d+)*", words))


@pytest.mark.parametrize("key", EVERY)
def test_every_number_is_that_of_the_code_of_a_sum_or_of_a_source(key: str) -> None:
    known = {*CODED.get(key, ()), *CALCULATED.get(key, ()), *PUBLISHED.get(key, ())}
    assert numbers(EVERY[key].words) - HUNDREDTHS == known


@pytest.mark.parametrize("one", EVERY.values(), ids=lambda one: one.key)
def test_every_paragraph_can_be_read_aloud_and_names_its_source(one: module.Explanation) -> None:
    assert LEAST_WORDS <= len(one.words.split()) <= MOST_WORDS
    assert one.words[0].isupper() or one.words[0] == '"'
    assert one.words.endswith((".", "?"))
    assert len(one.title) <= 40
    said = "seen|second hand|from memory|no source|our own|calculated|worked out|common practice|by hand|invented"
    stated = "checked|RFC|normal law|Karney|measured|rules of this program|follows from|least squares|sidereal"
    assert re.search(f"{said}|{stated}|definition|check values", one.source), one.source
    assert not one.source.endswith(".")


def test_titles_are_no_ones_else_and_no_paragraph_holds_a_control_character() -> None:
    titles = [one.title for one in EVERY.values()]
    assert len(set(titles)) == len(titles)
    assert all((one.title + one.words + one.source).isprintable() for one in EVERY.values())


def test_one_in_four_is_outside_two_metres_within_the_edge() -> None:
    sigma = 7.0 / math.sqrt(-2 * math.log(0.05))
    assert 0.5 * math.erfc(2.0 / sigma / math.sqrt(2)) == pytest.approx(0.25, abs=0.02)


def test_minutes_heard_as_seconds_are_far_off() -> None:
    """0.59 minutes taken for 59 seconds: the worst of all pairs of figures."""
    worst = max(abs(n / 60 - n / 100) for n in range(60)) * MINUTE_M
    assert worst == pytest.approx(730.0, abs=5.0)


def test_five_hundred_characters_never_catch_up_at_4800() -> None:
    assert 500 * 10 / 4800 > 1.0


def test_half_of_a_round_scatter_and_95_per_cent_of_it() -> None:
    cep, r95, drms = (math.sqrt(-2 * math.log(1 - p)) for p in (0.5, 0.95, 1 - math.exp(-1)))
    assert r95 / cep == pytest.approx(2.08, abs=0.005)
    assert drms == pytest.approx(math.sqrt(2))
    assert 1 - math.exp(-1) == pytest.approx(0.63, abs=0.005)
    assert 2 * drms / cep == pytest.approx(2.4, abs=0.005)


def test_a_damaged_file_is_no_explanation() -> None:
    for text in ("[a", '[a]\ntitle = "A"\nwords = "b"\n'):
        with pytest.raises((ValueError, KeyError)):
            read(text)


def test_a_board_that_is_opened_does_not_wait_for_the_paragraphs() -> None:
    code = "import sys, tui.app; print('core.explanations' in sys.modules, 'tui.explained_figures' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert told.stdout.split() == ["False", "False"]

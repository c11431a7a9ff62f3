"""What the page of an averaging says, and the waypoint that is made of it. All invented, on open ocean."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from core.averaging import average
from core.benchmark import HeightKind, Mark
from core.fix import Position
from core.site import SiteReport
from core.site_session import SampleView
from core.site_waypoint import site_waypoint, span
from tests.sites import begun, stood
from tests.tui.support import board_state
from tests.walks import OCEAN, Noise
from tui.panes.averaging import AveragingPane
from tui.panes.scrolling import NO_ROOM


def page_of(report: SiteReport, size: tuple[int, int] = (60, 50)) -> str:
    """What the page says of it."""
    pane = AveragingPane()
    state = board_state()
    pane.state = state.changed(snapshot=replace(state.snapshot, site=report))
    return "\n".join("".join(span.text for span in row) for row in pane.rows(*size))


@cache
def report_of(seconds: int) -> SiteReport:
    site = begun(stood(seconds, noise=Noise(1.5, 20.0, 0.3)))
    site.stop()
    return site.report()


# The page


def test_the_page_says_what_a_mean_is_worth() -> None:
    report = report_of(900)
    assert report.average
    text = page_of(report, (80, 60))
    assert "ended  14 min  900 fixes" in text
    for name in ("CEP", "DRMS", "R95", "2DRMS"):
        assert text.count(name) >= 2, "a figure and a definition"
    assert report.average.horizontal_95_m is not None, report.average.declined
    assert "random part alone" in text
    assert "takes neighbours for independent" in text
    assert "Never removed: wrong datum" in text


def test_a_declined_interval_is_a_reason_and_no_figure() -> None:
    report = report_of(60)
    found = report.average
    assert found
    declined = replace(found, horizontal_95_m=None, vertical_95_m=None, declined="too short to tell", waiting=())
    text = page_of(replace(report, average=declined))
    assert "none stated: too short to tell" in text
    assert "+-" not in text


def test_digits_follow_the_uncertainty() -> None:
    report = report_of(900)
    found = report.average
    assert found
    coarse, fine = (page_of(replace(report, average=replace(found, horizontal_95_m=m))) for m in (2.0, 0.05))
    assert len(mean_line(fine)) > len(mean_line(coarse))


def mean_line(text: str) -> str:
    (line,) = [one for one in text.splitlines() if one.startswith("mean ")]
    return line


def test_the_direction_from_the_mark_is_in_words() -> None:
    report = report_of(900)
    assert report.position
    north, east = report.position.latitude_deg, report.position.longitude_deg
    mark = Mark("Pillar 7", Position(north + 1e-4, east - 1e-4), 0.0, 0.01, 40.0, HeightKind.SEA_LEVEL)
    text = " ".join(page_of(replace(report, mark=mark)).split())
    # 1e-4 degrees at 10.5 north: 11.06 m of the meridian, 10.95 m of the parallel (WGS 84 radii of curvature).
    assert "the mean lies 10.9 m east and 11.1 m south of it" in text or "10.9 m east and 11.1 m south" in text
    assert "135° true" in text
    assert "the mean is 20.0 m below it" in text


@pytest.mark.parametrize("size", [(39, 20), (60, 37), (80, 57), (20, 6), (10, 2)])
def test_every_size_says_the_mean_first_and_names_what_is_missing(size: tuple[int, int]) -> None:
    report = report_of(900)
    text = page_of(replace(report, mark=Mark("Pillar 7", OCEAN)), size)
    assert len(text.splitlines()) <= size[1]
    if size[1] >= 20:
        assert "mean" in text
    if size == (39, 20):
        assert text.splitlines()[-1].endswith("rows more below: Down")
        assert "Never removed" in text, "before what may be scrolled to"


@pytest.mark.parametrize("height", range(1, 60))
def test_whatever_is_cut_is_named_as_missing(height: int) -> None:
    """At every height, also where a block just fits."""
    everything = [one for one in page_of(report_of(900), (39, 500)).splitlines() if one]
    shown = [one for one in page_of(report_of(900), (39, height)).splitlines() if one]
    assert len(shown) <= height
    whole = height >= len(everything)
    left = len(everything) - height + 1
    word = NO_ROOM if height == 1 else f"{left} rows more below: Down"
    assert shown == everything if whole else shown == [*everything[: height - 1], word]


def test_nothing_begun_tells_how_to_begin_and_what_it_is_good_for() -> None:
    text = " ".join(page_of(SiteReport()).split())
    assert "S begins an averaging" in text
    assert "Never removed" in text


# The waypoint


def test_the_waypoint_carries_the_method() -> None:
    report = report_of(900)
    found = report.average
    assert found
    told = replace(found, horizontal_95_m=0.42, correlation_s=62.4, effective_count=28.7, outliers=(3, 4), declined="")
    saved = site_waypoint(replace(report, average=told), ["Average 1 12:00 UTC"], "invented")
    assert saved.name == "Average 2 12:14 UTC"
    assert saved.error_95_m == 0.42
    assert saved.mode == "autonomous"
    assert saved.altitude_m == pytest.approx(20.0, abs=0.1)
    assert saved.note.startswith("mean of 898 fixes in 14 min, correlation 62 s, effective 29, 2 outliers out")
    assert "0.42 m, 95 %, random part: not in it wrong datum" in saved.note
    assert saved.note.endswith("invented")


def test_a_declined_interval_leaves_the_error_of_a_single_fix_and_says_why() -> None:
    report = report_of(60)
    found = report.average
    assert found
    told = replace(found, horizontal_95_m=None, declined="too short")
    saved = site_waypoint(replace(report, average=told), [])
    assert saved.error_95_m == report.error_95_m == 7.0
    assert "no uncertainty of the mean stated (too short)" in saved.note
    assert "that of a single fix, 7.0 m" in saved.note


@pytest.mark.parametrize(("seconds", "words"), [(45.9, "45 s"), (60, "1 min"), (3599, "59 min"), (3600, "1 h 0 min")])
def test_a_length_of_time_in_words(seconds: float, words: str) -> None:
    assert span(seconds) == words


def test_the_view_of_samples_is_not_copied() -> None:
    report = report_of(60)
    assert isinstance(report.samples, SampleView)
    assert average(list(report.samples.points)).count == report.samples.count

"""The mean kept as a waypoint: what its note owns up to. Positions are open ocean."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from core.averaging import NO_AVERAGE, SiteAverage
from core.errors import InputError
from core.fix import FixMode, Position, Utc
from core.site import SiteReport
from core.site_waypoint import NOT_IN_IT, method, site_waypoint
from core.waypoint import NOTE_LIMIT

MEAN = SiteAverage(120, 119.0, correlation_s=12.4, effective_count=4.6, horizontal_95_m=1.234)
REPORT = SiteReport(
    average=MEAN,
    position=Position(10.5, -20.25),
    altitude_m=12.5,
    covered_s=119.0,
    modes=((FixMode.DIFFERENTIAL, 100), (FixMode.AUTONOMOUS, 20)),
    last=Utc(43_259_000, date(2031, 5, 4)),
    error_95_m=6.0,
)
"""Invented."""


def test_before_any_fix_has_counted_there_is_nothing_to_keep() -> None:
    for report in (SiteReport(), replace(REPORT, average=None), replace(REPORT, position=None)):
        with pytest.raises(InputError, match="there is no mean yet"):
            site_waypoint(report, [])


def test_the_mean_carries_its_own_error_and_when_it_was_made() -> None:
    kept = site_waypoint(REPORT, [])
    assert kept.name == "Average 1 12:00 UTC"
    assert (kept.position, kept.altitude_m, kept.error_95_m) == (REPORT.position, 12.5, 1.234)
    assert kept.time == datetime(2031, 5, 4, 12, 0, 59, tzinfo=UTC)
    assert kept.mode == "differential"


def test_without_a_time_or_a_mode_none_is_made_up() -> None:
    kept = site_waypoint(replace(REPORT, last=None, modes=()), [])
    assert (kept.name, kept.time, kept.mode) == ("Average 1 no time", None, "")
    dateless = site_waypoint(replace(REPORT, last=Utc(43_259_000, None)), [])
    assert (dateless.name, dateless.time) == ("Average 1 12:00 UTC", None)


def test_the_note_says_of_what_kinds_the_fixes_were_and_on_which_datum() -> None:
    said = method(replace(REPORT, datum="W84"), replace(MEAN, outliers=(3, 7, 8)))
    assert said.startswith(
        "mean of 117 fixes in 1 min, correlation 12 s, effective 5, 3 outliers out, 100 differential and 20 "
        "autonomous, datum W84; uncertainty 1.23 m, 95 %, random part"
    )
    assert NOT_IN_IT in said


def test_what_is_not_known_is_left_out_of_the_note() -> None:
    bare = method(replace(REPORT, modes=((FixMode.AUTONOMOUS, 2),)), SiteAverage(2, 1.0, declined="too few fixes"))
    assert bare.startswith("mean of 2 fixes in 1 min; no uncertainty of the mean stated (too few fixes)")
    assert bare.endswith("the error given is that of a single fix, 6.0 m")


def test_where_not_even_a_single_fix_has_an_error_none_is_given() -> None:
    report = replace(REPORT, average=NO_AVERAGE, error_95_m=None)
    kept = site_waypoint(report, [])
    assert kept.error_95_m is None
    assert kept.note.endswith("the error given is unknown")


def test_a_remark_ends_the_note_and_never_makes_it_longer_than_notes_may_be() -> None:
    assert site_waypoint(REPORT, [], "by the gate").note.endswith("; by the gate")
    assert len(site_waypoint(REPORT, [], "x" * NOTE_LIMIT).note) == NOTE_LIMIT

"""One pass over a recording: the figures are those of the digest and of the trip, and its breaks those of the gaps."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.accuracy import ErrorModel
from core.digest import digest
from core.events import EventKind
from core.report.collect import MOST_EVENTS
from core.report.columns import runs
from core.sources.recording import has_checksums, open_recording
from core.trust import Verdict
from tests.build import line
from tests.recordings import FOLDER, needs_recordings
from tests.reports import At, north, recorded, report_of, report_of_file

ROOT = Path(__file__).parents[2]
BUNDLED = [
    ROOT / "replays" / f"{name}.nmea.gz"
    for name in ("first_walk", "interference", "rtk_arrives", "tall_houses", "under_trees", "rolled_over")
]
WALK_KNOTS = 2.9
"""1.49 m/s."""


def walk(second: int) -> At:
    return At(north(1.49 * second), WALK_KNOTS, 100.0 + second / 10)


@pytest.mark.parametrize("path", BUNDLED, ids=lambda path: path.name)
def test_the_figures_are_those_of_the_digest(path: Path) -> None:
    found = report_of_file(path)
    assert found.digest == digest(open_recording(path).blocks(), True, lambda: None, ErrorModel())
    assert found.totals is not None
    assert round(found.totals.distance_m, 2) == found.digest["distance_m"]


TIMED_OTHERWISE = {"phone-2022-walk-cold-start.nmea", "ship-2014-no-checksums-time-prefix.nmea"}
"""A report goes by times of arrival as a replay does, a digest reads at once: a verdict or two may differ then."""


@needs_recordings
@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.nmea")), ids=lambda path: path.name)
def test_the_figures_of_real_recordings_are_those_of_the_digest(path: Path) -> None:
    required = has_checksums(path)
    found = report_of_file(path, required=required).digest
    expected = digest(open_recording(path).blocks(), required, lambda: None, ErrorModel())
    if path.name not in TIMED_OTHERWISE:
        assert found == expected
        return
    assert {key for key in found if found[key] != expected[key]} <= {"distance_m", "verdicts"}
    assert found["distance_m"] == pytest.approx(expected["distance_m"], rel=0.001)
    assert all(abs(found["verdicts"][key] - count) <= 2 for key, count in expected["verdicts"].items())


@pytest.mark.parametrize("path", BUNDLED, ids=lambda path: path.name)
def test_the_way_breaks_where_the_trip_has_gaps_and_jumps(path: Path) -> None:
    found = report_of_file(path)
    assert found.totals is not None
    assert found.trail.pieces - 1 == found.totals.gaps + found.totals.jumps
    assert sum(one.begins for one in found.trail.usable) == found.trail.pieces


def test_a_gap_of_a_minute_breaks_the_way_and_every_line() -> None:
    found = report_of(recorded(lambda s: None if 300 <= s < 360 else walk(s), range(600)))
    assert found.totals is not None
    assert (found.trail.pieces, found.totals.gaps) == (2, 1)
    for name in ("height", "speed", "in_fix", "hdop", "error", "verdict"):
        assert len(runs(found.series[name])) == 2, name


def test_void_epochs_leave_figures_blank_and_count_no_satellite() -> None:
    found = report_of(recorded(lambda s: At(None) if 300 <= s < 330 else walk(s), range(600)))
    assert len(runs(found.series["hdop"])) == len(runs(found.series["height"])) == 2
    assert min(one.low for one in found.series["in_fix"]) == 0.0
    assert len(runs(found.series["in_fix"])) == 1
    assert {event.kind for event in found.happened.shown} >= {EventKind.LOST, EventKind.REGAINED}


def test_of_nothing_nothing_is_known() -> None:
    found = report_of(b"")
    assert (found.totals, found.start, found.end, found.trail.pieces) == (None, None, None, 0)
    assert all(columns == () for columns in found.series.values())
    assert found.quality.errors.median is None


def test_heights_and_speeds_are_those_of_the_sentences() -> None:
    found = report_of(recorded(walk, range(300)))
    heights = found.series["height"]
    first_s = heights[0].at_s
    assert heights[0].first == pytest.approx(100.0 + first_s / 10)
    assert heights[-1].last == pytest.approx(129.9)
    assert found.series["speed"][5].first == pytest.approx(WALK_KNOTS * 0.514444, abs=1e-3)
    assert [(one.low, one.high) for one in found.series["in_fix"]] == [(9.0, 9.0)] * 300
    assert {one.low for one in found.series["vdop"]} == {1.3}


def test_the_ends_are_the_first_and_last_usable_places() -> None:
    found = report_of(recorded(walk, range(300)))
    assert found.start is not None
    assert found.end is not None
    assert found.end.fix.position == pytest.approx(north(1.49 * 299), abs=1e-7)
    usable_from = 300 - found.digest["verdicts"]["firm"] - found.digest["verdicts"]["usable"]
    assert found.start.fix.position == pytest.approx(north(1.49 * usable_from), abs=1e-7)


def scripted_stop(second: int) -> At:
    """300 s of walk, 600 s of rest that scatters between four corners, and on."""
    if second < 300:
        return walk(second)
    if second >= 900:
        return walk(second - 600)
    east = 0.6 if second % 2 else -0.6
    up = 0.6 if second % 4 < 2 else -0.6
    latitude, longitude = north(1.49 * 300 + up)
    return At((latitude, longitude + east / 109_460.0), 0.05)  # a degree of longitude at 10.5 north, WGS 84 (calc)


def test_a_stop_is_found_with_its_length_and_its_scatter() -> None:
    found = report_of(recorded(scripted_stop, range(1200)))
    assert found.standing.count == 1
    (stop,) = found.standing.longest
    assert 570 <= stop.seconds <= 612
    assert stop.at_s == pytest.approx(300, abs=15)
    assert 895 <= stop.at_s + stop.seconds <= 901  # the steps by which walking is noticed are no part of it
    assert stop.average.spread is not None
    assert stop.average.spread.cep_m == pytest.approx(0.72**0.5, abs=0.1)
    assert stop.middle == pytest.approx(north(1.49 * 300), abs=2e-6)
    assert len(stop.dots) <= stop.average.count


def test_a_stop_too_short_is_none() -> None:
    script = lambda s: walk(s) if s < 300 else walk(300) if s < 420 else walk(s - 120)  # noqa: E731 -- short
    assert report_of(recorded(script, range(800))).standing.count == 0


def test_a_walk_is_no_stop() -> None:
    assert report_of(recorded(walk, range(900))).standing.count == 0


def test_too_many_events_are_cut_by_weight_and_counted() -> None:
    """Every twelve seconds the fix goes and comes back."""
    found = report_of(recorded(lambda s: At(None) if s % 12 < 2 else walk(s), range(12 * 150)))
    shown, left_out = found.happened
    assert len(shown) == MOST_EVENTS
    assert left_out > 0
    kinds = [event.kind for event in shown]
    assert EventKind.VERDICT not in kinds[:-1] or kinds.count(EventKind.LOST) >= 149
    assert EventKind.FIRST_FIX in kinds
    assert [event.at_s for event in shown] == sorted(event.at_s for event in shown)


def test_rejections_contradictions_and_datums_are_counted() -> None:
    wrong = (
        line("GNRMC,120000.00,A,1030.0000,N,02015.0000,W,5.0,90.0,040531,,,A").replace(b"*", b"*0", 1)[:-4] + b"\r\n"
    )
    data = recorded(walk, range(60), dict.fromkeys(range(60), "GNDTM,999,,0.0,N,0.0,E,0.0,W84")) + wrong
    found = report_of(data)
    assert found.counts.rejected
    assert found.quality.datums == {"999": 60}


def test_satellites_go_where_their_sentences_say() -> None:
    tracks = report_of(recorded(walk, range(60))).sky.tracks
    assert {name: (one[0].azimuth_deg, one[0].elevation_deg, one[0].cno_dbhz) for name, one in tracks.items()} == {
        f"G{n:02d}": (30 * n % 360, 5 * n, 30 + n) for n in range(1, 13)
    }


def test_the_verdict_over_time_is_the_number_of_the_verdict() -> None:
    found = report_of(recorded(lambda s: At(None) if s < 30 else walk(s), range(300)))
    columns = found.series["verdict"]
    assert columns[0].low == Verdict.NO_FIX
    assert columns[-1].high == Verdict.FIRM

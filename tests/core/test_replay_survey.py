"""What the background reading of a recording finds, beside what playing all of it finds."""

from __future__ import annotations

import gzip
import threading
from itertools import pairwise
from pathlib import Path
from time import perf_counter

import pytest

import core.replay_survey as module
from core.checkpoint import pack
from core.events import EVENTS_KEPT
from core.model import FixModel
from core.replay_survey import ReplaySurvey
from core.sources.piece_index import PieceIndex
from core.sources.recording import open_recording
from core.trust import Verdict
from tests.build import gga, lines, rmc
from tui.opening import Opening

REPLAYS = Path(__file__).parents[2] / "replays"
PATIENCE_S = 60.0


def fresh(path: Path) -> FixModel:
    model = Opening(path).feed(lambda: None)._model
    assert isinstance(model, FixModel)
    return model


def surveyed(path: Path) -> ReplaySurvey:
    found = ReplaySurvey(PieceIndex(), pack(fresh(path)), perf_counter)
    found.run(open_recording(path))
    return found


def test_it_finds_every_event_and_verdict_that_playing_finds() -> None:
    path = REPLAYS / "interference.nmea.gz"
    model, recording = fresh(path), open_recording(path)
    for piece in recording.pieces():
        model.feed(piece.data, piece.at_s)
    model.finish()
    wanted = model.snapshot()
    found = surveyed(path).survey
    assert found.is_done
    assert found.events == wanted.events
    assert len(found.events) > 5
    steps = [(one.at_s, Verdict(one.verdict)) for one in wanted.samples]
    assert [*found.verdicts] == [b for a, b in pairwise([(-1.0, None), *steps]) if a[1] != b[1]]


def test_in_the_background_it_finds_the_same_and_ends_by_itself() -> None:
    path = REPLAYS / "first_walk.nmea.gz"
    found = ReplaySurvey(PieceIndex(), pack(fresh(path)), perf_counter)
    found.begin(open_recording(path), 0.0)
    assert found._thread is not None
    found._thread.join(PATIENCE_S)
    assert found.is_over
    assert found.survey == surveyed(path).survey


def test_stopped_it_gives_up_soon_and_lets_go_of_the_file() -> None:
    path = REPLAYS / "four_hours.nmea.gz"
    found, recording = ReplaySurvey(PieceIndex(), pack(fresh(path)), perf_counter), open_recording(path)
    found.begin(recording, PATIENCE_S)
    found.stop()
    assert found._thread is not None
    found._thread.join(PATIENCE_S)
    assert found.is_over
    assert not found.survey.is_done
    assert recording._raw.closed


def test_stopped_before_it_began_it_never_begins() -> None:
    path = REPLAYS / "first_walk.nmea.gz"
    found = ReplaySurvey(PieceIndex(), pack(fresh(path)), perf_counter)
    found.stop()
    found.begin(open_recording(path), 0.0)
    assert [one.name for one in threading.enumerate() if one.name == "survey"] == []


def test_more_events_than_a_model_keeps_are_all_there(tmp_path: Path) -> None:
    path = tmp_path / "flicker.nmea"
    seconds = range(6000)
    path.write_bytes(
        b"".join(
            lines(rmc(s), gga(s)) if s // 4 % 2 else lines(rmc(s, status="V", more="N"), gga(s, "0")) for s in seconds
        )
    )
    survey = surveyed(path).survey
    assert len(survey.events) > 1000
    assert all(a.at_s <= b.at_s for a, b in pairwise(survey.events))


def test_a_damaged_recording_is_surveyed_up_to_the_damage(tmp_path: Path) -> None:
    path = tmp_path / "cut.nmea.gz"
    path.write_bytes(gzip.compress(b"".join(lines(rmc(s), gga(s)) for s in range(4000)))[:-2000])
    survey = surveyed(path).survey
    assert survey.is_done
    assert survey.reached_s > 100.0
    assert survey.events


def test_samples_are_the_newest_hour_of_each_checkpoint() -> None:
    found = surveyed(REPLAYS / "four_hours.nmea.gz")
    last = found._checkpoints[-1]
    samples = found.model_at(last).snapshot().samples
    assert len(samples) == 3600
    assert all(a.at_s < b.at_s for a, b in pairwise(samples))
    assert samples[-1].at_s > last.at_s - 5.0


def test_a_recording_that_flickers_all_the_time_fills_neither_memory_nor_time_bar(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A mode that changes at each epoch: events and verdicts are thinned, and seeking knows every one all the same."""
    path = tmp_path / "flickers.nmea"
    path.write_bytes(b"".join(lines(rmc(n, status="AV"[n % 2]), gga(n, "10"[n % 2])) for n in range(3000)))
    whole = surveyed(path)
    monkeypatch.setattr(module, "MOST_SHOWN", 200)
    thinned = surveyed(path)
    assert len(whole.survey.events) > 2000
    for found in (thinned.survey.events, thinned.survey.verdicts):
        assert 100 <= len(found) <= 200
    assert thinned.survey.events[0] == whole.survey.events[0]
    assert {*thinned.survey.events} <= {*whole.survey.events}
    longest_s = max(b.at_s - a.at_s for a, b in pairwise(thinned.survey.events))
    assert longest_s < 3 * 3000 / len(thinned.survey.events)
    a, b = (one.model_at(one.checkpoint_before(2500.0)).snapshot().events for one in (whole, thinned))
    assert a == b
    assert len(a) >= EVENTS_KEPT

"""The track's rule changed while something is watched: at once for what is received, not in the midst of a replay."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from core.outing import Outing
from core.settings.table import find
from core.sources.feed import Feed
from core.sources.source import SourceKind
from core.track_rule import TrackRule
from tests.tui.support import REPLAYING, Epoch, ScriptedSource, arrivals_of, board_app, judging_model, until
from tests.walks import OCEAN, fix_at, straight
from tui.setting_rows import counts

OFTEN, SELDOM = TrackRule(every_s=1.0), TrackRule(every_s=3600.0)


def walk(outing: Outing, first: int, last: int) -> int:
    """So many seconds of a straight walk; the points there are then."""
    for step in straight(OCEAN, 0.0, 400)[first:last]:
        outing.take(fix_at(step), step.at_s, usable=True)
    return outing.report().track.count


def test_a_new_rule_counts_from_the_next_epoch_on_and_what_is_kept_stays() -> None:
    outing = Outing(SELDOM)
    few = walk(outing, 0, 100)
    assert few <= 2
    outing.use_rule(OFTEN)
    many = walk(outing, 100, 200)
    assert many >= few + 95
    outing.use_rule(SELDOM)
    assert walk(outing, 200, 300) == many


def test_it_holds_through_a_new_trip_and_its_undoing() -> None:
    outing = Outing(SELDOM)
    before = walk(outing, 0, 100)
    outing.use_rule(OFTEN)
    assert outing.reset()
    since = walk(outing, 100, 200)
    assert since >= 85  # a usual walk is told from wandering after so many seconds
    assert outing.undo_reset()
    assert walk(outing, 200, 250) >= before + since + 40


class Watched:
    """Opens a scripted source of a kind, with an outing to look at."""

    label, remark = "quennet.nmea", ""

    def __init__(self, kind: SourceKind) -> None:
        self.outing = Outing(SELDOM)
        self.source = ScriptedSource(arrivals_of(Epoch()), replace(REPLAYING, kind=kind))

    def feed(self, on_news: object) -> Feed:
        return Feed(self.source, judging_model(self.outing), on_news)  # type: ignore[arg-type]  # the board's own


@pytest.mark.parametrize(("kind", "at_once"), [(SourceKind.LIVE, True), (SourceKind.REPLAY, False)])
async def test_what_the_board_does_when_it_is_set(tmp_path: Path, kind: SourceKind, at_once: bool) -> None:
    watched = Watched(kind)
    app = board_app(tmp_path, watched)
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: app.state.status.kind is kind)
        app.apply_settings(replace(app.session.settings, track=OFTEN))
        assert (walk(watched.outing, 0, 100) > 50) is at_once


async def test_without_a_source_nothing_fails(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)):
        app.apply_settings(replace(app.session.settings, track=OFTEN))


def test_the_row_says_when_it_counts() -> None:
    key = find("track", "rule")
    assert key is not None
    assert counts(key) == "at once; in a replay when it is opened the next time"

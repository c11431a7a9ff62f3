"""A recording and a feed begin with the first byte: what came before they were there was missing from them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from core.feeding.plan import feed_plan
from core.feeding.wish import FeedWish
from core.sources.feed import Feed
from tests.faults.wires import loopback_port
from tests.live.board import SIZE, Strings, live_board


@pytest.fixture
def begun(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[tuple[bool, bool]]]:
    """Whether a recorder, and a feed, were there each time that something began to be read."""
    found: list[tuple[bool, bool]] = []
    start = Feed.start

    def watched(feed: Feed) -> None:
        found.append((feed.tap is not None, feed.outlet is not None))
        start(feed)

    monkeypatch.setattr(Feed, "start", watched)
    yield found


async def test_recorder_and_feed_are_there_before_anything_is_read(
    tmp_path: Path, begun: list[tuple[bool, bool]]
) -> None:
    app = live_board(tmp_path, Strings(), record=True)
    app.wanted_feed = feed_plan(FeedWish((f"tcp:{loopback_port()}",)))
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        app.open(app._openings[0])
        await pilot.pause()
    assert begun == [(True, True)] * 2, "the second time clients had stayed"

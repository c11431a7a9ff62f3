"""The board of a soak, with a thread beside it that says every few seconds what the process holds.

`python -m tests.benchmarks.soak_inside FILE ARGUMENT...`: FILE takes a JSON object a line, the rest is as for fixboard.
Linux only.
"""

from __future__ import annotations

import gc
import json
import os
import sys
import threading
import time
from collections import Counter
from pathlib import Path
from typing import Any

EVERY_S = 5.0
COMMONEST = 12
_FEEDS: list[Any] = []
"""The newest."""


def main() -> int:
    """Run the board, watched."""
    path = Path(sys.argv[1])
    _note_feeds()
    threading.Thread(target=_watch, args=(path,), name="soak", daemon=True).start()
    from tui.cli import main as board

    return board(sys.argv[2:])


def _note_feeds() -> None:
    """The board freezes what is there once it stands, so its feed is not to be found among the objects."""
    from core.sources.feed import Feed

    start = Feed.start

    def noted(self: Feed) -> None:
        _FEEDS[:] = [self]
        start(self)

    Feed.start = noted  # type: ignore[method-assign]  # a benchmark looks in from outside


def _watch(path: Path) -> None:
    while True:
        time.sleep(EVERY_S)
        with path.open("a", encoding="ascii") as stream:
            stream.write(json.dumps(_held()) + "\n")


def _held() -> dict[str, Any]:
    """Counts of this process, and where its feed stands."""
    objects = gc.get_objects()
    kinds = Counter(type(one).__name__ for one in objects)
    feed = _FEEDS[0] if _FEEDS else None
    report = feed.outing.report() if feed is not None and feed.outing is not None else None
    timeline = feed.timeline() if feed is not None else None
    fields = Path("/proc/self/statm").read_text(encoding="ascii").split()
    return {
        "rss_kb": int(fields[1]) * os.sysconf("SC_PAGE_SIZE") // 1024,
        "objects": len(objects) + gc.get_freeze_count(),
        "threads": threading.active_count(),
        "fds": sum(1 for _ in Path("/proc/self/fd").iterdir()),
        "points": report.track.count if report else 0,
        "moved_m": report.totals.distance_m if report else 0.0,
        "passed_s": report.totals.moving_s + report.totals.stopped_s + report.totals.gap_s if report else 0.0,
        "media_s": timeline.position_s if timeline else None,
        "kinds": dict(kinds.most_common(COMMONEST)),
    }


if __name__ == "__main__":
    sys.exit(main())

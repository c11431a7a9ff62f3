"""Without colours and without UTF-8 every state is told by words and shapes: all still differ."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from pathlib import Path

from core.logbook import RecorderState, RecorderStatus
from core.sources.source import SourceKind, SourceState
from core.spelled import stand_in
from core.trust import Verdict
from tests.tui.conftest import same_everywhere
from tests.tui.support import ISLE, REPLAYING, Epoch, board_app, board_state, played, screen_rows, show, walked
from tui.state import BoardState

__all__ = ["same_everywhere"]


def _verdict(verdict: Verdict) -> BoardState:
    state = board_state(walked(4), target=ISLE)
    return state.changed(snapshot=replace(state.snapshot, trust=replace(state.snapshot.trust, verdict=verdict)))


def _kind(kind: SourceKind) -> BoardState:
    return board_state(walked(4), status=replace(REPLAYING, kind=kind))


STATES: dict[str, BoardState] = {
    **{f"verdict {one.words}": _verdict(one) for one in Verdict},
    **{f"source {kind.value}": _kind(kind) for kind in SourceKind if kind is not SourceKind.REPLAY},
    "nothing yet": BoardState(),
    "lost": board_state(played(Epoch(), Epoch(second=1.0, valid=False)), target=ISLE),
    "grown old": board_state(walked(4), age_s=4.0, target=ISLE),
    "gone": board_state(walked(4), age_s=30.0, target=ISLE),
    "simulated": board_state(walked(4, Epoch(mode="S", quality="8")), target=ISLE),
    "dead reckoning": board_state(walked(4, Epoch(mode="E", quality="6")), target=ISLE),
    "source failed": board_state(walked(4), status=replace(REPLAYING, state=SourceState.FAILED, detail="unplugged")),
    "recording": board_state(walked(4), recorder=RecorderStatus(RecorderState.RECORDING)),
    "recording failed": board_state(walked(4), recorder=RecorderStatus(RecorderState.FAILED, reason="full")),
}
WORDS = {
    "lost": "no fix",
    "gone": "no position",
    "nothing yet": "no fix",
    "simulated": "simulated",
    "dead reckoning": "estimated",
    "source failed": "unplugged",
    "verdict doubtful": "[=   ] doubtful",
    "verdict usable": "[==  ] usable",
    "verdict firm": "[====] firm",
    "verdict no fix": "[    ] no fix",
}


def in_ascii(text: str) -> str:
    return "".join(char if char.isascii() else stand_in(char) for char in text)


async def test_every_state_differs_from_every_other_in_ascii_alone(tmp_path: Path) -> None:
    app = board_app(tmp_path, glyphs="plain")
    drawn = {}
    async with app.run_test(size=(100, 30)) as pilot:
        for name, state in STATES.items():
            show(app, state)
            await pilot.pause()
            rows = screen_rows(app)
            drawn[name] = in_ascii("\n".join(rows))
            assert len(drawn[name]) == len("\n".join(rows))
    for one, other in combinations(drawn, 2):
        assert drawn[one] != drawn[other], (one, other)
    for name, words in WORDS.items():
        assert words in drawn[name], name


async def test_the_chosen_row_of_a_list_has_a_mark(tmp_path: Path) -> None:
    app = board_app(tmp_path, glyphs="plain")
    for number in range(3):
        app.session.mark(walked(4).fix._replace(altitude_m=float(number)))
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, board_state(walked(4)))
        await pilot.press("t")
        await pilot.pause()
        marks = []
        for _ in range(3):
            marks.append([n for n, row in enumerate(screen_rows(app)) if row.startswith(">")])
            await pilot.press("down")
            await pilot.pause()
    assert [len(one) for one in marks] == [1, 1, 1]
    assert len({one[0] for one in marks}) == 3

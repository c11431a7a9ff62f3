"""Going to a moment of a recording: the state there is the one that playing there makes, in a fraction of a second.

From the nearest checkpoint of the survey (`core.replay_survey`) the pieces up to the moment are fed silently: so all
of a snapshot is the same by construction, and nothing has to be recomputed in a way of its own. While the survey has
not come so far, the moment is shown at once from a short warm-up; what adds up over the whole session is then left
blank, and said to be (`CUMULATIVE`), until the survey has come there. Runs in the feed's thread.

What the user did meanwhile is no part of the recording; `USERS` lists what becomes of it.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, NamedTuple

from core.checkpoint import pack
from core.clock_report import NO_CLOCK
from core.errors import InputError
from core.model import Counts, FixModel, Snapshot
from core.outing import NO_REPORT
from core.replay_survey import Checkpoint, ReplaySurvey
from core.sky_memory import NO_HISTORY
from core.sources.player import Goal, Landing, Player
from core.sources.recording import Mark, Piece

AFFORDABLE = 1_000_000
"""Bytes that are played silently without asking: some ten thousand sentences, half a second."""
WARM_UPS_S = (600.0, 300.0, 120.0, 60.0, 30.0)
"""How far before the moment a warm-up begins, the longest affordable: 300 epochs are all that values look back at."""
EPOCHS_KEPT = 64
WAIT_S = 0.02

CUMULATIVE: dict[str, tuple[Any, str]] = {
    "counts": (Counts(), "left blank"),
    "events": ((), "left blank; the survey has those up to where it has come"),
    "trip": (NO_REPORT, "left blank"),
    "sky_history": (NO_HISTORY, "left blank"),
    "clock": (NO_CLOCK, "left blank: its filter looks back a minute and a half, its guards to the start"),
}
"""Fields of a Snapshot that add up over the session: what stands for them after a warm-up alone, and why."""
SHORTER: dict[str, str] = {
    "samples": "begins with the warm-up; charts are shorter for it",
    "texts": "those of the warm-up",
    "wire": "those of the warm-up, which mostly is all that is kept",
    "last_fix": "None where the warm-up has none",
    "trust": "how long a thing has lasted is counted from the warm-up on",
}
"""Fields that look back without adding up: of the warm-up, so they say less, and nothing wrong."""
USERS: dict[str, str] = {
    "going": "the route is steered again, its progress begins with what a seek plays silently",
    "site": "an averaging under way ends, its result stays: no mean may be taken across a leap in time",
    "trip": "legs and resets of the user are forgotten: the trip is the recording's from its beginning",
}
"""Fields in which the user has a part, in a replay, and what a seek makes of it."""
PARTIAL = "still reading the recording: counts, events, trip, sky history and clock follow ({:.0f} % read)"
CHANGED = "the recording was changed on the disk while it was played: open it again to be sure of what is shown"
SITE_ENDED = "the averaging has ended: the replay went to another moment"


class Found(NamedTuple):
    """Where a goal has led."""

    model: FixModel
    landing: Landing


class Start(NamedTuple):
    """Where silent playing begins."""

    mark: Mark
    at_s: float | None
    """Of the newest piece that the model has been fed; None for a fresh one."""


class Seeker:
    """Of one player and its model. All methods but `survey` and `close` belong to the feed's thread."""

    def __init__(self, player: Player, model: FixModel) -> None:
        """`model` has been fed nothing yet."""
        self._player = player
        route, model.navigator.route = model.navigator.route, None
        self.surveyor = ReplaySurvey(player.index, pack(model), player.clock)
        model.navigator.route = route
        self._stamp = player.recording.stamp()
        self._at_s = 0.0
        """Of the newest piece that the model has been fed."""
        self._is_new = True
        """Whether it has been fed nothing yet."""
        self._is_finished = False
        self._ends: deque[float] = deque(maxlen=EPOCHS_KEPT)
        """Of the last epochs: the piece after which the next one began."""
        self._seen = 0
        self._pieces_of_epoch = self._pieces_since = 0
        self._has_begun = False
        self.is_partial = False
        """Whether the model knows a warm-up only."""

    def begin_survey(self) -> None:
        """In the background, from now on. Nothing where the recording cannot be opened twice, or is another by now."""
        if self._has_begun:
            return
        self._has_begun = True
        try:
            again = self._player.recording.again()
        except InputError:
            return
        if again is None:
            return
        if again.stamp() == self._stamp:
            self.surveyor.begin(again)
        else:
            again.close()

    def close(self) -> None:
        """Nothing more is wanted."""
        self.surveyor.stop()

    # What is played

    def note(self, model: FixModel, piece_at_s: float) -> None:
        """The model has been fed a piece."""
        seen = model.epochs_seen
        if seen != self._seen:
            if self._seen:
                self._ends.append(self._at_s)
            self._seen = seen
            self._pieces_of_epoch, self._pieces_since = self._pieces_since, 0
        self._pieces_since += 1
        self._at_s, self._is_new, self._is_finished = piece_at_s, False, False

    def finished(self) -> None:
        """The model has been told that the input has ended."""
        self._is_finished = True

    def shown(self, snapshot: Snapshot) -> Snapshot:
        """What the screen may have of it."""
        if not self.is_partial:
            return snapshot
        return replace(snapshot, **{name: value for name, (value, _) in CUMULATIVE.items()})

    # Goals

    def go(self, goal: Goal, model: FixModel, gives_up: Callable[[], bool]) -> Found:
        """To a goal; as far as it has come where another one has come up meanwhile. What is found is consistent."""
        rest = self._player.leave()

        def is_over() -> bool:
            return self._player.goal is not goal or gives_up()

        if goal.epochs > 0:
            return self._step_on(model, rest, is_over)
        until_s = self._epoch_before(model, is_over) if goal.epochs else goal.at_s
        return self._go_to(until_s, model, rest, is_over)

    def completed(self, model: FixModel, gives_up: Callable[[], bool]) -> FixModel | None:
        """The full model of the very same moment, once the survey has come to it; None before."""
        self._say_partial()
        checkpoint = self.surveyor.checkpoint_before(self._at_s)
        if self._is_finished or self._is_far(checkpoint.mark, self._at_s) or not self._is_unchanged():
            return None
        self._player.leave()
        at_s = self._at_s
        fresh, start = self._model_at(checkpoint)
        landing = self._play(_on_the_way(fresh, model), start, at_s, gives_up)
        fresh.site, self.is_partial = model.site, False
        self._player.replace(landing.pieces, landing.ahead)
        self._player.note = ""
        return fresh

    # How

    def _go_to(
        self, until_s: float, model: FixModel, rest: tuple[Iterator[Piece], Piece | None], is_over: Callable[[], bool]
    ) -> Found:
        if model.site:
            model.site.stop(SITE_ENDED)
        self._player.note = "" if self._is_unchanged() else CHANGED
        self.surveyor.hurry(True)
        try:
            self._wait_for_index(until_s, is_over)
        finally:
            self.surveyor.hurry(False)
        checkpoint = self._checkpoint(until_s)
        if self._goes_on(model, until_s, checkpoint):
            return Found(model, self._feed(model, rest, until_s, is_over))
        warm = None if until_s <= 0.0 else self._warm_up(until_s, checkpoint)
        self.is_partial = warm is not None
        self._say_partial()
        fresh, start = self._model_at(checkpoint, warm)
        landing = self._play(_on_the_way(fresh, model), start, until_s, is_over)
        fresh.site = model.site
        return Found(fresh, landing)

    def _model_at(self, checkpoint: Checkpoint, warm: Mark | None = None) -> tuple[FixModel, Start]:
        """The model of a checkpoint; a fresh one to be warmed up from a mark."""
        if warm is not None:
            return self.surveyor.model_at(self.surveyor.checkpoint_before(-1.0)), Start(warm, None)
        at_s = checkpoint.at_s if checkpoint.at_s >= 0.0 else None
        return self.surveyor.model_at(checkpoint), Start(checkpoint.mark, at_s)

    def _checkpoint(self, until_s: float) -> Checkpoint:
        known = self._is_unchanged() and until_s > 0.0
        return self.surveyor.checkpoint_before(until_s if known else -1.0)

    def _goes_on(self, model: FixModel, until_s: float, checkpoint: Checkpoint) -> bool:
        """Whether the model itself may simply be played on: nearer than any checkpoint, and all the recording's."""
        touched = model.outing is not None and model.outing.is_touched
        if self.is_partial or self._is_finished or touched or self._is_new:
            return False
        here = self._player.index.before(self._at_s)
        if here is not None and self._is_far(here.mark, until_s):
            return False
        return checkpoint.at_s < self._at_s <= until_s and until_s > 0.0

    def _warm_up(self, until_s: float, checkpoint: Checkpoint) -> Mark | None:
        """Where to begin instead of at the checkpoint, where that is too far."""
        if not self._is_far(checkpoint.mark, until_s) or not self._is_unchanged():
            return None
        for warm_s in WARM_UPS_S:
            entry = self._player.index.before(until_s - warm_s)
            if entry is not None and not self._is_far(entry.mark, until_s):
                return entry.mark
        entry = self._player.index.before(until_s)
        return entry.mark if entry else None

    def _is_far(self, mark: Mark, until_s: float) -> bool:
        """Whether playing from there would take long, as far as the index knows, and a nearer checkpoint may come."""
        survey, entry = self.surveyor.survey, self._player.index.before(until_s)
        if survey.is_done or survey.reached_s >= until_s:
            return False
        return entry is not None and entry.mark.offset - mark.offset > AFFORDABLE

    def _is_unchanged(self) -> bool:
        """Nothing of what was there has been written over; that more has been added does not matter."""
        now, before = self._player.recording.stamp(), self._stamp
        if now == before:
            return True
        if not (isinstance(now, tuple) and isinstance(before, tuple)):
            return False
        return now[:2] == before[:2] and now[2] > before[2]

    def _wait_for_index(self, until_s: float, is_over: Callable[[], bool]) -> None:
        """Seconds at most, of a file of a hundred megabytes; where there is no index, the file is played through."""
        index = self._player.index
        while index.duration_s is None and index.reached_s < until_s and not self.surveyor.is_over and not is_over():
            self.surveyor.wait(WAIT_S)

    def _play(self, model: FixModel, start: Start, until_s: float, is_over: Callable[[], bool]) -> Landing:
        """A model of that moment, from there on."""
        self._ends.clear()
        self._seen, self._is_new, self._is_finished = model.epochs_seen, start.at_s is None, False
        self._at_s = start.at_s or 0.0
        self._pieces_of_epoch = self._pieces_since = 0
        recording = self._player.recording
        try:
            recording.go_to(start.mark)
        except InputError as error:
            return Landing(iter(()), None, self._at_s, str(error))
        return self._feed(model, (recording.pieces(), None), until_s, is_over)

    def _feed(
        self,
        model: FixModel,
        rest: tuple[Iterator[Piece], Piece | None],
        until_s: float,
        is_over: Callable[[], bool],
    ) -> Landing:
        """All up to a moment; up to the very beginning: the first piece. Never nothing at all."""
        pieces, ahead = rest
        try:
            while (piece := ahead or next(pieces, None)) is not None:
                ahead = None
                if is_over() or (not self._is_new and (piece.at_s > until_s or until_s <= 0.0)):
                    return Landing(pieces, piece, max(self._at_s, min(until_s, piece.at_s)))
                model.feed(piece.data, piece.at_s)
                self.note(model, piece.at_s)
        except InputError as error:
            return Landing(iter(()), None, self._at_s, str(error))
        return Landing(pieces, None, self._at_s)

    # Epochs

    def _step_on(
        self, model: FixModel, rest: tuple[Iterator[Piece], Piece | None], is_over: Callable[[], bool]
    ) -> Found:
        """To the end of the next epoch: where it looks complete, or has as many pieces as the one before."""
        pieces, ahead = rest
        before, began = self._seen, 0
        try:
            while not is_over() and (piece := ahead or next(pieces, None)) is not None:
                ahead = None
                model.feed(piece.data, piece.at_s)
                self.note(model, piece.at_s)
                began = began or (self._seen if self._seen != before else 0)
                if began and (
                    model.epoch_complete or self._pieces_since >= self._pieces_of_epoch or self._seen > began
                ):
                    break
        except InputError as error:
            return Found(model, Landing(iter(()), None, self._at_s, str(error)))
        return Found(model, Landing(pieces, ahead, self._at_s))

    def _epoch_before(self, model: FixModel, is_over: Callable[[], bool]) -> float:
        """When the epoch before the newest one had come."""
        if not self._ends:
            self._look_back(model, is_over)
        return self._ends[-1] if self._ends else 0.0

    def _look_back(self, model: FixModel, is_over: Callable[[], bool]) -> None:
        """Play the way to here once more, from farther back, to learn where the epochs on it end."""
        at_s = self._at_s
        for back_s in (0.001, EPOCHS_KEPT / 2, 600.0):
            checkpoint = self._checkpoint(max(0.0, at_s - back_s))
            warm = self._warm_up(at_s, checkpoint)
            scratch, start = self._model_at(checkpoint, warm)
            self._play(scratch, start, at_s, is_over)
            if self._ends or at_s <= back_s:
                return

    def _say_partial(self) -> None:
        if self.is_partial:
            reached_s, all_s = self.surveyor.survey.reached_s, self._player.index.limit_s
            self._player.note = PARTIAL.format(100 * reached_s / all_s if all_s > 0 else 0.0)


def _on_the_way(fresh: FixModel, model: FixModel) -> FixModel:
    """With the user's route. Not yet with the averaging: it must not count what is played silently."""
    fresh.navigator.route = model.navigator.route
    return fresh

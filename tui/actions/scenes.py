"""Actions on the chapters of a recording: go from one to the next, with what each sets.

Page, mask and pace of a chapter are set when the user goes to it by key: that is asking for its scene. While the
recording plays on by itself nothing moves under the user's hands; only on stage (V) the scenes follow by themselves,
since that is what the presenter has prepared them for. What a chapter has set goes with it: the next one without a
mask or pace of its own takes it back, unless the user has changed it meanwhile.
"""

from __future__ import annotations

from typing import NamedTuple

from core.chapters import AGAIN_S, Chapter
from core.sources.player import Player
from core.timeline import Timeline
from tui.actions.replaying import ReplayActions

NONE_YET = "No chapters here: M makes one, fixboard chapters proposes some."


class _Aim(NamedTuple):
    """The chapter that a key went to last."""

    player: Player
    at_s: float
    jumps: int
    """Of the player, before it landed."""

    def holds(self, player: Player, timeline: Timeline) -> bool:
        """Whether nothing but this has moved the player since."""
        return player is self.player and timeline.jumps <= self.jumps + 1


class _Scene(NamedTuple):
    """What a chapter has set, and what was there before."""

    mask_deg: int | None = None
    pace: float | None = None
    pace_before: float | None = None


class SceneActions(ReplayActions):
    """From one chapter to the next."""

    _scene = _Scene()
    _passed: Chapter | None = None
    _gone_to: _Aim | None = None

    def action_next_chapter(self) -> None:
        """The next, with its scene."""
        player = self._chapter_player()
        if player is None:
            return
        chapter = self.state.chapters.after(self._here_s(player))
        if chapter is None:
            self._say("That was the last chapter.")
        else:
            self._go_to_chapter(chapter)

    def action_previous_chapter(self) -> None:
        """The begin of this one; from there, the one before."""
        player = self._chapter_player()
        if player is None:
            return
        # At a fast pace two seconds are over before a finger can press again.
        again_s = AGAIN_S * max(1.0, min(player.status().pace or 1.0, 100.0))
        chapter = self.state.chapters.before(self._here_s(player), again_s)
        if chapter is None:
            self._say("There is no chapter before this.")
        else:
            self._go_to_chapter(chapter)

    def _forget_scenes(self) -> None:
        """Another recording is open."""
        self._scene, self._passed, self._gone_to = _Scene(), None, None

    def _watch_scenes(self, player: Player) -> None:
        """On stage, what begins."""
        before, self._passed = self._passed, self.state.chapters.at(player.timeline().position_s)
        if self.state.is_stage and self._passed is not None and self._passed != before:
            self._set_scene(self._passed)

    def _chapter_player(self) -> Player | None:
        player = self._replay()
        if player is not None and not self.state.chapters.items:
            self._say(NONE_YET)
            return None
        return player

    def _here_s(self, player: Player) -> float:
        """Where it plays; after a chapter's key, not before that chapter: the nearest epoch may lie a little before."""
        timeline, aim = player.timeline(), self._gone_to
        if aim is not None and aim.holds(player, timeline):
            return max(timeline.position_s, aim.at_s)
        return timeline.position_s

    def _go_to_chapter(self, chapter: Chapter) -> None:
        self.seek_to(chapter.at_s)
        if self._player:
            self._gone_to = _Aim(self._player, chapter.at_s, self._player.timeline().jumps)
        self._set_scene(chapter)

    def _set_scene(self, chapter: Chapter) -> None:
        self._passed = chapter
        if chapter.page:
            self.board.page = chapter.page
        mask_deg = self._set_mask(chapter)
        pace, before = self._set_chapter_pace(chapter)
        self._scene = _Scene(mask_deg, pace, before)

    def _set_mask(self, chapter: Chapter) -> int | None:
        if chapter.mask_deg is not None:
            mask_deg = round(chapter.mask_deg)
            self._show(sky=self.state.sky.as_received._replace(mask_deg=mask_deg))
            return mask_deg
        if self._scene.mask_deg is not None and self.state.sky.mask_deg == self._scene.mask_deg:
            self._show(sky=self.state.sky._replace(mask_deg=0))
        return None

    def _set_chapter_pace(self, chapter: Chapter) -> tuple[float | None, float | None]:
        """The pace that was set, and the one that is gone back to."""
        player = self._player
        if player is None:
            return None, None
        now, scene = player.status().pace, self._scene
        was_ours = scene.pace is not None and now == scene.pace
        before = scene.pace_before if was_ours else now
        wanted = chapter.pace if chapter.pace is not None else before if was_ours else None
        if wanted is not None:
            player.set_pace(wanted)
            self._show()
        return (chapter.pace, before) if chapter.pace is not None else (None, None)

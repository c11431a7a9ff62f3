"""Actions on the averaging of one spot: begin, pause, end, save, compare with a mark."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from core.errors import FixboardError
from core.fix import Position
from core.site import BY_USER, SiteState
from core.site_file import SiteFile
from core.site_keeper import SiteKeeper
from core.sources.feed import Feed
from core.sources.source import SourceKind
from tui import wording
from tui.actions.trip import TripActions
from tui.canvas.cells import one_cell_each
from tui.canvas.palettes import Depth
from tui.screens.pick import Choice, PickScreen
from tui.screens.prompt import PromptScreen
from tui.session import Session

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.benchmark import HeightKind, Mark
    from core.site import SiteAverager

WHICH_MARK = "Which published mark? A place in any notation or a waypoint's name, +- its accuracy"
WHICH_HEIGHT = "Its height and of which kind? Enter alone: none"
WHICH_NAME = "Its name?"
NO_RECEIVER = "There is nothing to average: no receiver and no recording is open."
HELD = "This is a held place, no measurement: there is nothing to average. k goes back to the receiver."


@dataclass(frozen=True, slots=True)
class _Typed:
    """What of a mark has been asked so far."""

    position: Position
    coarse_m: float
    error_m: float | None


class AveragingActions(TripActions):
    """The averaging under way."""

    def __init__(self, session: Session, depth: Depth | None) -> None:
        super().__init__(session, depth)
        self._site_keeper = SiteKeeper(SiteFile(session.data))
        self._site_trouble = ""
        self._site_before = SiteState.NONE

    def action_toggle_averaging(self) -> None:
        """Start, pause, go on: whatever comes next."""
        site = self._site
        if site is None:
            return
        if site.pause():
            self._save_site()
            self._say("Averaging is paused. S goes on on the same spot, E ends it.")
        elif site.resume():
            self._save_site()
            self._say("Averaging goes on. It holds only if the receiver stands on the very same spot.")
        elif self._start(site):
            self._say("Averaging begins with the next usable fix. Leave the receiver where it is. A shows it.")
        self._show_site()

    def action_end_averaging(self) -> None:
        """End it; the result stays on the page."""
        from core.site_waypoint import span

        site = self._site
        if site is None:
            return
        if not site.stop():
            self._say("No averaging is under way: S begins one.", "warning")
            return
        self._save_site()
        report = site.report()
        self._say(f"Averaging has ended: {report.samples.count:,} fixes in {span(report.covered_s)}. W saves the mean.")
        self._show_site()

    def action_save_average(self) -> None:
        """The mean as a waypoint, saved at once; naming it comes after."""
        from core.site_waypoint import site_waypoint

        site = self._site
        if site is None:
            return
        form = self.board.form
        if form.is_open:
            self._say("A waypoint is being named: Enter saves, Esc leaves it as it is.", "warning")
            return
        status = self.state.status
        remark = f"averaged in the {status.kind.value.lower()} {status.name}" if status.kind.is_recorded else ""
        report = site.report()
        try:
            fresh = site_waypoint(report, [one.name for one in self.session.waypoints], remark)
            waypoint = self.session.add(fresh)
        except FixboardError as error:
            self._say(wording.as_sentence(str(error)), "warning")
            return
        honest_m = report.average.horizontal_95_m if report.average else None
        exactly = (
            f" to {wording.metres(honest_m)} (95 %, random part)"
            if honest_m is not None
            else " with the error of a single fix: no interval can be stated yet"
        )
        self._say(f"Saved{exactly}: {waypoint.name}.")
        form.edit(waypoint, "Saved. Name it and Enter, or Esc: it stays as it is.")

    def action_set_mark(self) -> None:
        """What the mean is compared with: another mark, or none."""
        site = self._site
        if site is None:
            return
        mark = site.report().mark
        if mark is None:
            self._ask_for_mark(site)
            return

        def picked(number: int | None) -> None:
            if number == 0:
                self._ask_for_mark(site)
            elif number == 1:
                self._set_mark(site, None)

        choices = [Choice("Another mark", "typed in any notation"), Choice("No mark", "the mean stands alone")]
        self.push_screen(PickScreen(one_cell_each(f"Compared with {mark.name}"), choices, ""), picked)

    def _ask_for_mark(self, site: SiteAverager, before: str = "") -> None:
        def typed(text: str | None) -> None:
            if text:
                self._read_mark(site, text)

        self.push_screen(PromptScreen(WHICH_MARK, "41 01.8003 N 179 54.9001 E +- 0.02 m", before), typed)

    def _read_mark(self, site: SiteAverager, text: str) -> None:
        """A waypoint by its name, else a place: of several readings the user picks."""
        from core.benchmark import HeightKind, Mark, split_error
        from core.places.reading import read

        try:
            bare, error_m = split_error(text)
            known = next((one for one in self.session.waypoints if one.name == bare), None)
            readings = () if known else read(bare)
        except FixboardError as error:
            self._say(wording.as_sentence(str(error)), "error")
            self._ask_for_mark(site, text)
            return
        if known is None:
            self._take_one(
                readings, lambda one: self._ask_for_height(site, _Typed(one.position, one.radius_m, error_m))
            )
            return
        height = None if known.altitude_m is None else HeightKind.SEA_LEVEL
        error_m = known.error_95_m if error_m is None else error_m
        self._set_mark(site, Mark(known.name, known.position, 0.0, error_m, known.altitude_m, height))

    def _ask_for_height(self, site: SiteAverager, so_far: _Typed, before: str = "") -> None:
        """Of a height without its kind nobody could say what it is compared with: asked again."""
        from core.benchmark import HEIGHT_EXAMPLE, read_height

        def typed(text: str | None) -> None:
            if text is None:
                self._ask_for_name(site, so_far, None)
                return
            try:
                height = read_height(text)
            except FixboardError as error:
                self._say(wording.as_sentence(str(error)), "error")
                self._ask_for_height(site, so_far, text)
                return
            self._ask_for_name(site, so_far, height)

        self.push_screen(PromptScreen(WHICH_HEIGHT, HEIGHT_EXAMPLE, before), typed)

    def _ask_for_name(self, site: SiteAverager, so_far: _Typed, height: tuple[float, HeightKind] | None) -> None:
        from core.benchmark import Mark, mark_name

        height_m, kind = height or (None, None)

        def typed(text: str | None) -> None:
            name = mark_name(text or "")
            mark = Mark(name, so_far.position, so_far.coarse_m, so_far.error_m, height_m, kind)
            self._set_mark(site, mark)

        self.push_screen(PromptScreen(WHICH_NAME, "as it is published"), typed)

    def _set_mark(self, site: SiteAverager, mark: Mark | None) -> None:
        site.set_mark(mark)
        self._save_site()
        self._say(f"The mean is compared with {mark.name}." if mark else "Compared with no mark any more.")
        self._show_site()

    @property
    def _site(self) -> SiteAverager | None:
        """Of this feed; says why where there is none."""
        site = self._feed.site if self._feed else None
        if site is None:
            self._say(HELD if self.state.is_held else NO_RECEIVER, "warning")
        return site

    def _start(self, site: SiteAverager) -> bool:
        if self._feed is not None and self._is_kept(self._feed):
            return self._site_keeper.start(site)
        return site.start()

    def _show_site(self) -> None:
        """At once, though no epoch may come for a while."""
        site = self._feed.site if self._feed else None
        if site is not None:
            self._show(snapshot=replace(self.state.snapshot, site=site.report()))

    def _begin_trip(self, feed: Feed) -> None:
        """A live averaging goes on where the last run left it; that of a recording is not kept."""
        super()._begin_trip(feed)
        self._site_before = SiteState.NONE
        if feed.site is not None and feed.status().kind is SourceKind.LIVE:
            told = self._site_keeper.begin(feed.site, datetime.now(tz=UTC))
            if told:
                self.notify(one_cell_each(told), title="Averaging", severity="information", markup=False, timeout=20)

    def _keep_trip(self) -> None:
        super()._keep_trip()
        self._site_keeper.look()
        trouble = self._site_keeper.trouble
        if trouble and trouble != self._site_trouble:
            self._say(f"The averaging is not being saved: {trouble}", "error")
        self._site_trouble = trouble
        self._watch_site()

    def _watch_site(self) -> None:
        """What it has come to by itself is said once."""
        report = self.state.snapshot.site
        halted = report.state in {SiteState.AWAY, SiteState.PAUSED} and report.why != BY_USER
        if halted and report.state is not self._site_before:
            told = one_cell_each(f"{wording.as_sentence(report.why)}.")
            self.notify(told, title="Averaging", severity="warning", markup=False, timeout=20)
        self._site_before = report.state

    def _end_trip(self) -> None:
        super()._end_trip()
        self._site_keeper.end()

    def _save_site(self) -> None:
        self._site_keeper.save()

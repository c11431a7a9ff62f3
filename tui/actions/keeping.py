"""Actions on the list of waypoints: edit, add, delete, hand over."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from core.errors import FixboardError
from core.fix import Position
from core.waypoint import Waypoint
from tui.actions.files import FileActions
from tui.actions.going import GoingActions
from tui.canvas.cells import one_cell_each
from tui.canvas.palettes import Depth
from tui.messages import PlaceIntent, PlaceWritten
from tui.own_keys import key_of
from tui.screens.pick import Choice, PickScreen
from tui.screens.prompt import PromptScreen
from tui.session import Session

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.formats.given_track import GivenTrack
    from core.places.found import Reading
    from core.waypoints import Removed
    from tui.screens.places import PlacesScreen

IMPORT, EXPORT = "Import which GPX file?", "Export to which file?"
FOLLOW = "Follow the track of which file?"


class KeepingActions(GoingActions, FileActions):
    """The user's waypoints."""

    def __init__(self, session: Session, depth: Depth | None) -> None:
        super().__init__(session, depth)
        self._removed: list[Removed] = []

    def action_list_places(self) -> None:
        """The list."""
        from tui.screens.places import PlacesScreen

        self.push_screen(PlacesScreen(self.board, self.session.waypoints))

    def on_place_intent(self, message: PlaceIntent) -> None:
        """What is wanted of a waypoint of the list."""
        message.stop()
        if message.waypoint is None:
            {"exchange": self._exchange, "undo": self._undo_delete}[message.intent]()
            return
        wanted = {"go": self._go_and_leave, "route": self._append, "edit": self._edit, "delete": self._delete}
        wanted.get(message.intent, self._hold)(message.waypoint)

    def on_place_written(self, message: PlaceWritten) -> None:
        """A form was filled in."""
        message.stop()
        if message.old is None:
            self._read_new(message)
        else:
            self._change(message.old, message)

    def _undo_delete(self) -> None:
        """Bring back what was deleted last."""
        if not self._removed:
            self._say("Nothing was deleted in this run.", "warning")
            return
        try:
            self.session.restore(self._removed[-1])
        except FixboardError as error:
            self._say(str(error), "error")
            return
        self._removed.pop()
        self._places_changed()
        self._say("It is back.")

    def _exchange(self) -> None:
        """Import or export."""
        count = len(self._list.listed) if self._list else 0
        choices = [
            Choice("Import", "waypoints of a GPX file, beside yours"),
            Choice("Export", f"the {count} listed"),
            Choice("Follow a track", "of a GPX, KML or GeoJSON file: be led along it"),
        ]
        acts = ((IMPORT, self._import), (EXPORT, self._export), (FOLLOW, self._ask_which_way))

        def picked(number: int | None) -> None:
            if number is not None:
                self._ask_for_file(*acts[number])

        self.push_screen(PickScreen("Waypoints and files", choices, ""), picked)

    def _ask_for_file(self, question: str, act: Callable[[Path], None]) -> None:
        def typed(text: str | None) -> None:
            path = self._typed_path(text) if text else None
            if path is not None:
                act(path)

        self.push_screen(PromptScreen(question, "a path"), typed)

    def _ask_which_way(self, path: Path) -> None:
        """A track has two ends."""
        from core.formats.given_track import read_track

        try:
            track = read_track(path)
        except FixboardError as error:
            self.notify(one_cell_each(str(error)), title="No track", severity="error", timeout=20, markup=False)
            return
        choices = [Choice("As it was gone", "to its end"), Choice("Backwards", "to its beginning")]

        def picked(number: int | None) -> None:
            if number is not None:
                self._follow_track(path, track, backwards=number == 1)

        self.push_screen(PickScreen(f"{len(track.points)} points of {one_cell_each(path.name)}", choices, ""), picked)

    def _follow_track(self, path: Path, track: GivenTrack, *, backwards: bool) -> None:
        from core.given_route import route_along

        end = track.points[0 if backwards else -1]
        self._steer_back(Waypoint(f"End of {path.stem}", end.position), route_along(track, backwards=backwards))
        if self._list:
            self._list.dismiss(None)
        self._say("Along the track. x ends it. Watch the way: whoever wrote it may not have gone it.")

    def _hold(self, waypoint: Waypoint) -> None:
        """Overridden where sources are known."""

    @property
    def _list(self) -> PlacesScreen | None:
        from tui.screens.places import PlacesScreen

        return next((one for one in reversed(self.screen_stack) if isinstance(one, PlacesScreen)), None)

    def _places_changed(self, choose: Waypoint | None = None) -> None:
        if self._list:
            self._list.refill(self.session.waypoints, choose)

    def _go_and_leave(self, waypoint: Waypoint) -> None:
        self._go_to((waypoint,))
        if self._list:
            self._list.dismiss(None)

    def _edit(self, waypoint: Waypoint) -> None:
        form = self._form()
        if form:
            form.edit(waypoint, "Enter saves, Esc leaves it as it is.")
            if self._list:
                self._list.shield()

    def _delete(self, waypoint: Waypoint) -> None:
        try:
            self._removed.append(self.session.remove(waypoint))
        except FixboardError as error:
            self._say(str(error), "error")
            return
        self._places_changed()
        self._say(f"Deleted: {waypoint.name}. {key_of('undo_delete')} brings it back.{self._without(waypoint)}")

    def _without(self, waypoint: Waypoint) -> str:
        """The way goes on without it; what to say of that."""
        legs = (self.state.target, *self.state.then) if self.state.target else ()
        if waypoint not in legs:
            return ""
        self._go_to(tuple(leg for leg in legs if leg != waypoint), keep_leg=True)
        return " The way no longer leads there."

    def _change(self, old: Waypoint, written: PlaceWritten) -> None:
        """An empty name keeps the old one: a waypoint without a name cannot be found again."""
        new = replace(old, name=written.name or old.name, note=written.note, kind=written.kind)
        try:
            was_there, new = self.session.change(old, new)
        except FixboardError as error:
            self._complain(str(error))
            return
        self._leave_form()
        self._follow(old, new)
        self._places_changed(new)
        self._say(f"Saved: {new.name}." if was_there else f"{old.name} was changed elsewhere: saved beside it.")

    def _follow(self, old: Waypoint, new: Waypoint) -> None:
        """A target keeps its leg when it gets another name."""
        if self.state.target == old or old in self.state.then:
            swap = {old: new}
            target, *then = (swap.get(one, one) for one in (self.state.target, *self.state.then) if one)
            self._show(target=target, then=tuple(then))
            self._keep_route((target, *then))

    def _read_new(self, written: PlaceWritten) -> None:
        from core.places.reading import read

        try:
            readings = read(written.place)
        except FixboardError as error:
            self._complain(str(error))
            return
        self._take_one(readings, lambda one: self._add(written, one.position))

    def _take_one(self, readings: Sequence[Reading], take: Callable[[Reading], None]) -> None:
        """The only reading at once; of several the user picks."""
        if len(readings) == 1:
            take(readings[0])
            return
        choices = [Choice(f"{one.position[0]:.6f}, {one.position[1]:.6f}", one.explanation) for one in readings]

        def picked(number: int | None) -> None:
            if number is not None:
                take(readings[number])

        self.push_screen(PickScreen("That can be read in several ways", choices, ""), picked)

    def _add(self, written: PlaceWritten, position: Position) -> None:
        """How coarsely it was written is no 95 % error: that stays unknown."""
        from core.marks import free_name

        name = written.name or free_name("Place", [one.name for one in self.session.waypoints])
        waypoint = Waypoint(name, position, note=written.note, kind=written.kind)
        try:
            waypoint = self.session.add(waypoint)
        except FixboardError as error:
            self._complain(str(error))
            return
        self._leave_form()
        self._places_changed(waypoint)
        self._say(f"Added: {name}.")

    def _import(self, path: Path) -> None:
        try:
            found = self.session.import_places(path)
        except FixboardError as error:
            self.notify(one_cell_each(str(error)), title="Not imported", severity="error", timeout=20, markup=False)
            return
        self._places_changed()
        here = f", {found.already_here} were here already" if found.already_here else ""
        unusable = f", {found.unusable} have no usable place" if found.unusable else ""
        self._say(f"Imported {found.added}{here}{unusable}.")

    def _export(self, path: Path) -> None:
        listed = self._list.listed if self._list else []
        try:
            self.session.export_places(path, listed)
        except FixboardError as error:
            self._not_exported(str(error))
            return
        self._say(f"Exported {len(listed)} to {path}.")

    def _complain(self, text: str) -> None:
        form = self._form()
        if form and form.is_open:
            form.complain(text)
        else:
            self._say(text, "error")

    def _leave_form(self) -> None:
        form = self._form()
        if form and form.is_open:
            form.close()

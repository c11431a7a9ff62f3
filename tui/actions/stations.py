"""Actions on lists of stations: find the nearest, go there, copy, point the beam, take a list over."""

from __future__ import annotations

from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING

from core.errors import FixboardError
from core.route_memory import STATION
from core.sources.source import SourceKind
from core.waypoint import NAME_LIMIT, Waypoint
from replays import names as bundled
from replays import stations as bundled_stations
from tui.actions.beam import BeamActions
from tui.actions.going import GoingActions
from tui.canvas.cells import one_cell_each
from tui.own_keys import key_of
from tui.reading_aside import undisturbed
from tui.screens.pick import Choice, PickScreen
from tui.screens.prompt import PromptScreen
from tui.speaking import printable

if TYPE_CHECKING:
    from core.station_book import StationBook
    from core.station_folder import Taken
    from core.stations import Station
    from tui.screens.stations import StationsScreen
    from tui.station_messages import StationIntent, StationsRead

ADD = "Copy which list of stations into your folder?"
NOWHERE = "That station has no place: {key} says why."
_CHOICES = (
    Choice("Leave it as it is", "nothing is copied"),
    Choice("Replace it", "the list before stays beside it, ended by .bak"),
)


class StationActions(BeamActions, GoingActions):
    """The user's lists of radio stations."""

    _looking_at_lists = False
    """Whether a thread looks at the files: never two, since a book is for one at a time."""

    def action_find_nearest(self) -> None:
        """The list, the nearest first."""
        from tui.screens.stations import StationsScreen  # start-up time: most sessions need no stations

        self.push_screen(StationsScreen(self.board, self.session.settings.stations.antenna_m))

    def on_station_intent(self, message: StationIntent) -> None:
        """What is wanted of a station, or of the lists."""
        message.stop()
        if message.station is None:
            {"look": self._look_at_lists, "report": self._report_lists, "add": self._ask_for_list}[message.intent]()
        else:
            {"go": self._go_to_station, "copy": self._copy_field, "beam": self._beam_to_station}[message.intent](
                message.station
            )

    def on_stations_read(self, message: StationsRead) -> None:
        """The thread has looked."""
        message.stop()
        self._looking_at_lists = False
        if self._stations:
            self._stations.take(message.contents, is_demo=message.is_demo)

    @property
    def _stations(self) -> StationsScreen | None:
        from tui.screens.stations import StationsScreen  # the same

        return next((one for one in reversed(self.screen_stack) if isinstance(one, StationsScreen)), None)

    @cached_property
    def _station_books(self) -> dict[Path, StationBook]:
        """By their folder: the settings may name another at any time."""
        return {}

    @property
    def _station_book(self) -> StationBook:
        from core.station_book import StationBook  # the same

        folder = self.session.station_folder
        return self._station_books.setdefault(folder, StationBook(folder))

    @cached_property
    def _demo_stations(self) -> StationBook:
        from core.station_book import StationBook  # the same

        return StationBook(None, (Path(str(bundled_stations())),))

    def _plays_invented(self) -> bool:
        """Whether what is watched is invented itself: only there may invented stations be offered."""
        status = self.state.status
        is_bundled = status.name.removesuffix(".gz").removesuffix(".nmea") in bundled()
        return status.kind is SourceKind.REHEARSAL or (status.kind is SourceKind.REPLAY and is_bundled)

    def _look_at_lists(self) -> None:
        if not self._looking_at_lists:
            self._looking_at_lists = True
            self.run_worker(partial(self._read_lists, self._plays_invented()), thread=True, group="station-reading")

    def _read_lists(self, invented: bool) -> None:
        from tui.station_messages import StationsRead  # the same

        contents, is_demo = self._station_book.look(undisturbed), False
        if invented and not contents.lists:
            contents, is_demo = self._demo_stations.look(), True
        self.post_message(StationsRead(contents, is_demo))

    def _report_lists(self) -> None:
        from tui.screens.station_report import StationReportScreen  # the same
        from tui.station_words import report  # the same

        screen = self._stations
        lines = list(report(screen.contents)) if screen else []
        folder = f"Your folder of lists: {self.session.station_folder}"
        self.push_screen(StationReportScreen([*lines, folder]))

    def _go_to_station(self, station: Station) -> None:
        """As to a waypoint; where its list put it, and as coarsely."""
        if station.position is None:
            self._say(NOWHERE.format(key=key_of("list_report")), "warning")
            return
        name = one_cell_each(station.title)[:NAME_LIMIT]
        note = f"{station.source}, row {station.row}"
        self._go_to((Waypoint(name, station.position, note=note, kind=STATION, error_95_m=station.radius_m),))
        if self._stations:
            self._stations.dismiss(None)
        self._say(f"To {name}, where the list puts it.")

    def _copy_field(self, station: Station) -> None:
        """By the terminal (OSC 52), and in words, since not every terminal does it and none says so."""
        from tui.station_words import copyable  # the same

        fields = copyable(station)

        def picked(number: int | None) -> None:
            if number is not None:
                name, text = fields[number]
                self.copy_to_clipboard(printable(text))
                self._say(f"Copied, if the terminal allows it: {name} {text}")

        choices = [Choice(name, one_cell_each(text)) for name, text in fields]
        self.push_screen(PickScreen(f"Copy what of {one_cell_each(station.title)}?", choices, "It is empty."), picked)

    def _beam_to_station(self, station: Station) -> None:
        from core.beam import End  # the same

        if station.position is None:
            self._say(NOWHERE.format(key=key_of("list_report")), "warning")
        else:
            self.action_beam_sheet(End(one_cell_each(station.title), station.position, station.radius_m))

    def _ask_for_list(self) -> None:
        def typed(text: str | None) -> None:
            if text is not None:
                self._take_list_over(text, replace=False)

        self.push_screen(PromptScreen(ADD, "a path: CSV, GPX or GeoJSON"), typed)

    def _take_list_over(self, text: str, *, replace: bool) -> None:
        try:
            path = Path(text).expanduser()
        except RuntimeError:  # the way Path says that it knows no such user
            self._say(f"{text}: there is no such home folder.", "error")
            return
        self.run_worker(partial(self._copy_list, path, replace), thread=True, group="station-copying")

    def _copy_list(self, path: Path, replace: bool) -> None:
        """Reading a large list takes seconds: in a thread."""
        from core.station_folder import take_list  # the same

        try:
            with undisturbed():
                taken = take_list(path, self.session.station_folder, replace=replace)
        except FixboardError as error:
            self.call_from_thread(self._complain_of_list, str(error))
        else:
            self.call_from_thread(self._list_taken, path, taken)

    def _complain_of_list(self, text: str) -> None:
        self.notify(one_cell_each(text), title="Not copied", severity="error", timeout=20, markup=False)

    def _list_taken(self, path: Path, taken: Taken) -> None:
        from core.station_folder import Taken  # the same

        if taken is Taken.OTHER_THERE:
            self._ask_to_replace_list(path)
            return
        words = {Taken.COPIED: "Copied", Taken.REPLACED: "Replaced", Taken.THERE_ALREADY: "There already"}
        self._say(f"{words[taken]}: {path.name}. {key_of('list_report')} says what was understood.")
        self._look_at_lists()

    def _ask_to_replace_list(self, path: Path) -> None:
        def picked(number: int | None) -> None:
            if number == 1:
                self._take_list_over(str(path), replace=True)

        title = f"Another list in your folder is called {one_cell_each(path.name)}"
        self.push_screen(PickScreen(title, _CHOICES, ""), picked)

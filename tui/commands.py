"""Every command of the board, once: keys, footer, palette and help are all made from this table."""

from __future__ import annotations

from typing import NamedTuple

from textual.binding import Binding


class Command(NamedTuple):
    """Something the user can make the board do."""

    id: str
    """Of the binding, so that keys can be remapped."""
    key: str
    """As Textual writes keys; alternatives separated by commas."""
    label: str
    """In the footer: two words at most."""
    help: str
    """In help and palette: what it does."""
    group: str
    footer: bool = False
    """Whether the footer has room for it."""

    @property
    def action(self) -> str:
        """As Textual writes actions; pages are one action with a name."""
        page = self.id.removeprefix("page_")
        return self.id if page == self.id else f"page('{page}')"


GROUPS = ("Pages", "Board", "Go to", "Waypoints", "Averaging", "Replay", "Logbook", "Program")

COMMANDS: tuple[Command, ...] = (
    # First, since the footer of a narrow screen is cut on the right.
    Command("help", "f1,question_mark,h", "Help", "Keys, words and cautions", "Program", footer=True),
    Command("page_board", "0,b,escape", "Board", "All panes that fit", "Pages"),
    Command("page_position", "1", "Position", "The position alone", "Pages"),
    Command("page_fix", "2", "Fix", "How the fix came about", "Pages"),
    Command("page_sky", "3", "Sky", "The sky with its geometry and a what-if; tracks, signals, obstruction", "Pages"),
    Command("page_compass", "4", "Compass", "The compass alone", "Pages"),
    Command("page_goto", "5", "Go-to", "The way to the target alone", "Pages"),
    Command("page_wire", "6", "Wire", "The raw sentences alone", "Pages"),
    Command("page_why", "7", "Why", "Why the verdict is what it is: every rule and what it found", "Pages"),
    Command("page_signals", "8", "Signals", "Signal strengths by system", "Pages"),
    Command("page_charts", "9", "Charts", "The last minutes as strip charts", "Pages"),
    Command("page_large", "v", "Large", "The way to the target in large figures, for arm's length", "Pages"),
    Command("page_events", "e", "Events", "What happened in this session", "Pages"),
    Command("page_trail", "p", "Trail", "The track on a map, with its profile", "Pages"),
    Command("page_trip", "i", "Trip", "Totals, legs, and when to turn back before dark", "Pages"),
    Command("page_clock", "C", "Clock", "This computer's clock against the satellites'", "Pages"),
    Command("page_averaging", "A", "Averaging", "The mean of one spot and what it is worth", "Pages"),
    Command("charts_back", "left", "Earlier", "Charts back in time; the trail west; less of a what-if", "Pages"),
    Command("charts_on", "right", "Later", "Charts on; the trail east; more of a what-if", "Pages"),
    Command("trail_up", "up", "Map north", "Move the trail north; the row above in a what-if", "Pages"),
    Command("trail_down", "down", "Map south", "Move the trail south; the row below in a what-if", "Pages"),
    Command("zoom_in", "pageup", "Nearer", "Show less of the trail, larger; the sky's layer before", "Pages"),
    Command("zoom_out", "pagedown", "Farther", "Show more of the trail, smaller; the sky's next layer", "Pages"),
    Command("trail_follow", "home", "Follow", "Keep the position on the trail's page; the sky as received", "Pages"),
    Command("trail_fit", "end", "Fit", "Show all of the trail", "Pages"),
    Command(
        "drop", "delete,backspace", "Out or in", "In a what-if: a satellite, system or wall out, or in again", "Pages"
    ),
    Command("charts_span", "s", "Span", "Next length of the charts' time axis", "Pages"),
    Command("cycle_notation", "n", "Notation", "Next way of writing the position", "Board", footer=True),
    Command(
        "turn_compass",
        "u",
        "Up",
        "Turn compass and sky: north-up, course-up, head-up where there is a heading",
        "Board",
        footer=True,
    ),
    Command("cycle_theme", "c", "Colours", "Next theme: dark, daylight, night", "Board"),
    Command("pause_wire", "w", "Hold wire", "Hold the raw sentences still, or let them run", "Board"),
    Command(
        "toggle_alert",
        "a",
        "Bell",
        "Ring when the fix is lost, back or doubtful; or be silent",
        "Board",
    ),
    Command("cycle_reference", "d", "North", "Bearings in words: true, magnetic, grid", "Board"),
    Command("copy_position", "y", "Copy", "Copy the position in the chosen notation", "Board"),
    Command("mark_here", "m", "Mark", "Mark here as a waypoint, saved at once", "Go to", footer=True),
    Command("go_to_mark", "g", "Go to", "Make the newest mark the target", "Go to", footer=True),
    Command("list_places", "t", "Places", "Waypoints: find, go to, edit, add, hold, hand over", "Go to", footer=True),
    Command("next_leg", "j", "Next leg", "Go on to the next waypoint of the route", "Go to"),
    Command("drop_target", "x", "Drop", "Have no target any more", "Go to"),
    Command("hold_place", "k", "Hold", "Hold a place of the list without a receiver; from one, back", "Go to"),
    Command("back_by_trail", "f", "By trail", "Be led back along the trail", "Go to"),
    Command("back_to_start", "z", "Start", "Go straight to the start of the trail", "Go to"),
    Command("new_leg", "l", "Leg", "End this leg of the trip and begin the next", "Go to"),
    Command("reset_trip", "f8", "New trip", "Begin a new trip; F9 brings the old one back", "Go to"),
    Command("undo_reset", "f9", "Undo trip", "Undo the new trip: the old one, and what came since", "Go to"),
    Command("toggle_averaging", "S", "Average", "Average this spot: start, pause, go on", "Averaging"),
    Command("end_averaging", "E", "End mean", "End the averaging; its result stays on the page", "Averaging"),
    Command("save_average", "W", "Save mean", "Save the mean as a waypoint, with what it is worth", "Averaging"),
    Command("set_mark", "B", "Benchmark", "Compare the mean with a published mark", "Averaging"),
    Command("toggle_pause", "space", "Pause", "Pause the recording, or play on", "Replay", footer=True),
    Command("faster", "plus,equals_sign,right_square_bracket", "Faster", "Play at a faster pace", "Replay"),
    Command("slower", "minus,left_square_bracket", "Slower", "Play at a slower pace", "Replay"),
    Command("toggle_recording", "r", "Record", "Record what the receiver says, or stop", "Program"),
    Command("open_other", "o", "Open", "Watch something else: a port, the network, a recording", "Program"),
    Command("logbook", "L", "Logbook", "Recorded sessions: replay, name, export, delete; where was I", "Program"),
    Command("export", "X", "Export", "Write this recording, or the trip so far, for other programs", "Program"),
    Command("quit", "q", "Quit", "Leave fixboard", "Program", footer=True),
)

PLACE_COMMANDS: tuple[Command, ...] = (
    Command("go_to_chosen", "enter", "Go to", "Go to the chosen waypoint", "Waypoints", footer=True),
    Command("edit_chosen", "f2", "Edit", "Change its name, note and kind", "Waypoints", footer=True),
    Command("next_sort", "f3", "Sort", "Order by distance, name or time", "Waypoints", footer=True),
    Command("add_place", "f4", "Add", "Add a place by typing it in any notation", "Waypoints", footer=True),
    Command("hold_chosen", "f5", "Hold", "Run the board from it without a receiver", "Waypoints", footer=True),
    Command(
        "route_chosen", "f6", "Route", "Append it to the route: legs follow by themselves", "Waypoints", footer=True
    ),
    Command("exchange_places", "f7", "Files", "Import a GPX file, or export those listed", "Waypoints", footer=True),
    Command("delete_chosen", "f8", "Delete", "Delete it; F9 brings it back", "Waypoints", footer=True),
    Command("undo_delete", "f9", "Undo", "Bring back what was deleted last", "Waypoints", footer=True),
    Command("leave_places", "escape", "Back", "Back to the board", "Waypoints", footer=True),
)
"""What the list of waypoints can do. Letters filter it, so its keys are others."""

LOG_COMMANDS: tuple[Command, ...] = (
    Command("play_session", "enter", "Replay", "Play the chosen session", "Logbook", footer=True),
    Command("write_session", "f2", "Name", "Change its name and note", "Logbook", footer=True),
    Command("sort_sessions", "f3", "Sort", "Order by date, name, way or size", "Logbook", footer=True),
    Command("ask_where", "f4", "Where", "Where was I at 14:32, 15:10? From this session", "Logbook", footer=True),
    Command("empty_deleted", "f6", "Empty", "Remove for good what was deleted", "Logbook"),
    Command("export_session", "f7", "Export", "Write it as GPX, KML, GeoJSON, CSV or NMEA", "Logbook", footer=True),
    Command("delete_session", "f8", "Delete", "Delete it; F9 brings it back", "Logbook", footer=True),
    Command("undo_session", "f9", "Undo", "Bring back the session that was deleted last", "Logbook", footer=True),
    Command("leave_logbook", "escape", "Back", "Back to the board", "Logbook", footer=True),
)
"""What the logbook can do; as in the list of waypoints, where the meaning is the same."""

CAUTIONS = (
    "Not for primary navigation, and not for safety of life: carry a map and a compass.",
    "Watch the way, not the screen. Do not work the board while driving.",
    "Heights are not for aviation.",
    "In an emergency phone the local emergency number first; local rules and licensed practice go before this board.",
)
"""The usual cautions of the trade (common practice; trade-facts of the project, section j)."""

KEY_NAMES = {f"f{number}": f"F{number}" for number in range(1, 13)} | {
    "escape": "Esc", "space": "Space", "plus": "+", "equals_sign": "=", "minus": "-", "question_mark": "?",
    "up": "Up", "down": "Down", "pageup": "PgUp", "pagedown": "PgDn", "home": "Home", "end": "End",
    "delete": "Del", "backspace": "Backspace",
    "enter": "Enter", "left": "Left", "right": "Right", "left_square_bracket": "[", "right_square_bracket": "]",
}  # fmt: skip


def key_names(command: Command) -> str:
    """The keys as printed on them, the first first."""
    return " ".join(KEY_NAMES.get(key, key) for key in command.key.split(","))


def bindings(commands: tuple[Command, ...] = COMMANDS) -> list[Binding]:
    """For the App, or a screen: one binding a key, the footer's wishes kept."""
    return [
        Binding(
            command.key,
            command.action,
            command.label,
            show=command.footer,
            id=command.id,
            tooltip=command.help,
            key_display=KEY_NAMES.get(command.key.split(",", maxsplit=1)[0]),
        )
        for command in commands
    ]

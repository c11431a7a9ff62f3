"""Every command of the board, once: keys, footer, palette and help are all made from this table."""

from __future__ import annotations

from typing import NamedTuple

from textual.binding import Binding

from tui.own_keys import keys_of

_WITH_FIGURES = {
    "step_back": "step(-1)",
    "step_on": "step(1)",
    "back_10_s": "seek_by(-10)",
    "on_10_s": "seek_by(10)",
    "back_1_min": "seek_by(-60)",
    "on_1_min": "seek_by(60)",
    "back_10_min": "seek_by(-600)",
    "on_10_min": "seek_by(600)",
    "finer_text": "ambiguity(-1)",
    "coarser_text": "ambiguity(1)",
    "symbol_before": "symbol(-1)",
    "symbol_after": "symbol(1)",
    "copy_text": "copy('aprs')",
    "copy_geo": "copy('geo')",
    "copy_iso": "copy('iso')",
    "audience_before": "audience(-1)",
    "audience_after": "audience(1)",
    "copy_words": "want('copy')",
    "write_words": "want('write')",
}
"""By the command's name: the action that serves several, and its figure or word."""


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
        """As Textual writes actions; pages are one action with a name, jumps one with a length."""
        if self.id in _WITH_FIGURES:
            return _WITH_FIGURES[self.id]
        page = self.id.removeprefix("page_")
        return self.id if page == self.id else f"page('{page}')"


GROUPS = (
    "Pages",
    "Board",
    "Go to",
    "Waypoints",
    "Averaging",
    "Replay",
    "Chapters",
    "Logbook",
    "Stations",
    "Settings",
    "Sheets",
    "Program",
)

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
    Command("page_ab", "D", "A and B", "A second recording beside this one: both skies, the difference", "Pages"),
    Command("charts_back", "left", "Earlier", "Charts back in time; the trail west; less of a what-if", "Pages"),
    Command("charts_on", "right", "Later", "Charts on; the trail east; more of a what-if", "Pages"),
    Command("trail_up", "up", "Map north", "Trail north; a row up in a what-if, wire or long page", "Pages"),
    Command("trail_down", "down", "Map south", "Trail south; a row down in a what-if, wire or long page", "Pages"),
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
    Command("in_words", "I", "In words", "The whole state as plain lines: to hear, to copy, to a file", "Board"),
    Command("copy_position", "y", "Copy", "Copy the position in the chosen notation", "Board"),
    Command("mark_here", "m", "Mark", "Mark here as a waypoint, saved at once", "Go to", footer=True),
    Command("go_to_mark", "g", "Go to", "Make the newest mark the target", "Go to", footer=True),
    Command("list_places", "t", "Places", "Waypoints: find, go to, edit, add, hold, hand over", "Go to", footer=True),
    Command("find_nearest", "F", "Stations", "The nearest radio stations of your lists", "Go to"),
    Command("next_leg", "j", "Next leg", "Go on to the next waypoint of the route", "Go to"),
    Command("beam_sheet", "U", "Beam", "Where to turn the beam: to the target or a typed place", "Go to"),
    Command("position_text", "Q", "Hand on", "The position as QR code for a phone, APRS text, ISO 6709, geo:", "Go to"),
    Command("say_position", "G", "Give", "Give the position by voice: script, read-back, what you heard", "Go to"),
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
    Command("toggle_pause", "space", "Pause", "Pause the recording, play on, at its end again", "Replay", footer=True),
    Command("faster", "plus,equals_sign,right_square_bracket", "Faster", "Play at a faster pace", "Replay"),
    Command("slower", "minus,left_square_bracket", "Slower", "Play at a slower pace", "Replay"),
    Command("step_back", "comma", "Step back", "One epoch back, and stand there", "Replay"),
    Command("step_on", "full_stop", "Step on", "One epoch on, and stand there", "Replay"),
    Command("back_10_s", "less_than_sign", "Back 10 s", "Ten seconds back", "Replay"),
    Command("on_10_s", "greater_than_sign", "On 10 s", "Ten seconds on", "Replay"),
    Command("back_1_min", "left_parenthesis", "Back 1 min", "A minute back", "Replay"),
    Command("on_1_min", "right_parenthesis", "On 1 min", "A minute on", "Replay"),
    Command("back_10_min", "left_curly_bracket", "Back 10 min", "Ten minutes back", "Replay"),
    Command("on_10_min", "right_curly_bracket", "On 10 min", "Ten minutes on", "Replay"),
    Command("previous_event", "colon", "Event before", "To shortly before the event that was last", "Replay"),
    Command("next_event", "semicolon", "Event", "To shortly before the next event", "Replay"),
    Command("ask_time", "T", "To a time", "Go to a time of day, so much on or back, a part of the whole", "Replay"),
    Command("loop", "R", "Loop", "Play a stretch again and again: its begin, its end, off", "Replay"),
    Command("next_chapter", "N", "Chapter", "The next chapter, with its page, mask and pace", "Chapters"),
    Command("previous_chapter", "P", "Chapter back", "The begin of this chapter, or the chapter before", "Chapters"),
    Command("add_chapter", "M", "New", "Make a chapter at this moment of the recording", "Chapters"),
    Command("list_chapters", "K", "Chapters", "The list of chapters: go to, edit, delete", "Chapters"),
    Command("toggle_stage", "V", "Stage", "The open page in large letters for a room, or as usual again", "Program"),
    Command("toggle_recording", "r", "Record", "Record what the receiver says, or stop", "Program"),
    Command("toggle_feed", "O", "Feed", "Feed other programs with the position, or stop", "Program"),
    Command("toggle_saving", "Y", "Saving", "Save power: drawn once a second, no turning, no charts", "Program"),
    Command("open_other", "o", "Open", "Watch something else: a port, the network, a recording", "Program"),
    Command("logbook", "L", "Logbook", "Recorded sessions: replay, name, export, delete; where was I", "Program"),
    Command("export", "X", "Export", "Write this recording, or the trip so far, for other programs", "Program"),
    Command("explain_page", "H", "Explain", "Explain the figures of this page; on the wire page a sentence", "Program"),
    Command("settings", "Z", "Settings", "All settings with their values: change one, saved at once", "Program"),
    Command("quit", "q", "Quit", "Leave fixboard", "Program", footer=True),
)

PLACE_COMMANDS: tuple[Command, ...] = (
    # First, as in all lists: a narrow footer leaves out the last ones.
    Command("leave_places", "escape", "Back", "Back to the board", "Waypoints", footer=True),
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
)
"""What the list of waypoints can do. Letters filter it, so its keys are others."""

LOG_COMMANDS: tuple[Command, ...] = (
    Command("leave_logbook", "escape", "Back", "Back to the board", "Logbook", footer=True),
    Command("play_session", "enter", "Replay", "Play the chosen session", "Logbook", footer=True),
    Command("write_session", "f2", "Name", "Change its name and note", "Logbook", footer=True),
    Command("sort_sessions", "f3", "Sort", "Order by date, name, way or size", "Logbook", footer=True),
    Command("ask_where", "f4", "Where", "Where was I at 14:32, 15:10? From this session", "Logbook", footer=True),
    Command("empty_deleted", "f6", "Empty", "Remove for good what was deleted", "Logbook"),
    Command("export_session", "f7", "Export", "Write it as GPX, KML, GeoJSON, CSV or NMEA", "Logbook", footer=True),
    Command("delete_session", "f8", "Delete", "Delete it; F9 brings it back", "Logbook", footer=True),
    Command("undo_session", "f9", "Undo", "Bring back the session that was deleted last", "Logbook", footer=True),
)
"""What the logbook can do; as in the list of waypoints, where the meaning is the same."""

CHAPTER_COMMANDS: tuple[Command, ...] = (
    Command("leave_chapters", "escape", "Back", "Back to the board", "Chapters", footer=True),
    Command("go_to_chapter", "enter", "Go to", "Go to the chosen chapter", "Chapters", footer=True),
    Command("write_chapter", "f2", "Edit", "Change its title, words, time, page, mask, pace", "Chapters", footer=True),
    Command("new_chapter", "f4", "New", "Make a chapter at this moment", "Chapters", footer=True),
    Command("delete_chapter", "f8", "Delete", "Delete it; F9 brings it back", "Chapters", footer=True),
    Command("undo_chapter", "f9", "Undo", "Bring back the chapter that was deleted last", "Chapters", footer=True),
)
"""What the list of chapters can do; as in the list of waypoints, where the meaning is the same."""

STATION_COMMANDS: tuple[Command, ...] = (
    Command("leave_stations", "escape", "Back", "Back to the board", "Stations", footer=True),
    Command("go_to_station", "enter", "Go to", "Make the chosen station the target", "Stations", footer=True),
    Command("copy_field", "f2", "Copy", "Copy a field of it: choose which", "Stations", footer=True),
    Command("next_band", "f3", "Band", "Only the next band there is; then all", "Stations", footer=True),
    Command("next_mode", "f4", "Mode", "Only the next mode there is; then all", "Stations", footer=True),
    Command("list_report", "f5", "Lists", "What was understood of each list, and doubted", "Stations", footer=True),
    Command("beam_to_station", "f6", "Beam", "Where to turn the beam for it", "Stations", footer=True),
    Command("add_list", "f7", "Add list", "Copy a list into your folder of lists", "Stations", footer=True),
    Command("more_details", "f8", "More", "Further details, where they do not fit", "Stations", footer=True),
)
"""What the list of stations can do; letters filter it, so its keys are others."""

SETTING_COMMANDS: tuple[Command, ...] = (
    Command(
        "change_setting",
        "enter",
        "Change",
        "Change the chosen setting: on, off, pick, or type",
        "Settings",
        footer=True,
    ),
    Command(
        "reset_setting", "f8", "Default", "Take it out of the file, so that it is as usual", "Settings", footer=True
    ),
    Command("undo_setting", "f9", "Undo", "As it was before the last change", "Settings", footer=True),
    Command("leave_settings", "escape", "Back", "Back to the board", "Settings", footer=True),
)
"""What the list of settings can do; letters filter it, so its keys are others."""

HAND_ON_COMMANDS: tuple[Command, ...] = (
    Command("finer_text", "left", "Finer", "QR code: fewer digits of the APRS text blank", "Sheets"),
    Command("coarser_text", "right", "Coarser", "QR code: more of them blank", "Sheets"),
    Command("symbol_before", "up", "Symbol before", "QR code: the symbol before", "Sheets"),
    Command("symbol_after", "down", "Symbol", "QR code: the next symbol", "Sheets"),
    Command("reveal_code", "enter", "Show", "QR code: show it near home all the same", "Sheets"),
    Command("text_comment", "f2", "Comment", "QR code: the comment of the APRS text", "Sheets"),
    Command("text_form", "f3", "Form", "QR code: the text plain or compressed", "Sheets"),
    Command("text_time", "f4", "Time", "QR code: the next kind of time in the text", "Sheets"),
    Command("copy_text", "f5", "Copy", "QR code: copy the APRS text", "Sheets"),
    Command("copy_geo", "f6", "Copy geo:", "QR code: copy the geo: URI", "Sheets"),
    Command("copy_iso", "f7", "Copy ISO 6709", "QR code: copy ISO 6709", "Sheets"),
    Command("write_texts", "f8", "Write", "QR code: write texts at an interval, or stop", "Sheets"),
)
"""What the sheet with the QR code can do."""

BEAM_COMMANDS: tuple[Command, ...] = (
    Command("narrower_beam", "left", "Narrower", "Beam sheet: the next narrower beam", "Sheets"),
    Command("wider_beam", "right", "Wider", "Beam sheet: the next wider beam", "Sheets"),
    Command("save_beam", "f2", "Save", "Beam sheet: save it in a file", "Sheets"),
    Command("copy_beam", "f5", "Copy", "Beam sheet: copy it", "Sheets"),
)
"""What the beam sheet can do."""

WHERE_COMMANDS: tuple[Command, ...] = (
    Command("copy_where", "f5", "Copy", "Where was I: copy the lines", "Sheets"),
)  # fmt: skip
"""What the sheet of places and times can do."""

WORDS_COMMANDS: tuple[Command, ...] = (
    Command("renew_words", "f5", "Now", "In words: the moment of now", "Sheets"),
    Command("copy_words", "y", "Copy", "In words: copy all lines", "Sheets"),
    Command("write_words", "w", "Write", "In words: write them to a file", "Sheets"),
)
"""What the sheet of the state in words can do."""

GIVE_COMMANDS: tuple[Command, ...] = (
    Command("audience_before", "left", "Audience before", "Giving it: the listeners before", "Sheets"),
    Command("audience_after", "right", "Audience", "Giving it: the next listeners", "Sheets"),
    Command("renew_script", "f2", "Now", "Giving it: the position of now", "Sheets"),
    Command("other_line", "f3", "Heard", "Giving it: check a read-back, or resolve what was heard", "Sheets"),
    Command("next_blur", "f4", "Blur", "Giving it: the next way to give less", "Sheets"),
    Command("copy_script", "f5", "Copy", "Giving it: copy the script", "Sheets"),
)
"""What the sheet to be read out can do."""

SHEETS: tuple[tuple[Command, ...], ...] = (
    HAND_ON_COMMANDS,
    BEAM_COMMANDS,
    WHERE_COMMANDS,
    WORDS_COMMANDS,
    GIVE_COMMANDS,
)
"""Each lies over the board with keys of its own."""
TYPED_ON = frozenset({WHERE_COMMANDS, GIVE_COMMANDS})
"""Sheets with a line to type in: letters go there."""

CAUTIONS = (
    "Not for primary navigation, and not for safety of life: carry a map and a compass.",
    "Watch the way, not the screen. Do not work the board while driving.",
    "Heights are not for aviation.",
    "In an emergency phone the local emergency number first; local rules and licensed practice go before this board.",
    "Whenever you give a position, state its datum and have it read back.",
    "Transmit only within your licence.",
    "A position that you share is public, and may be kept for good.",
)
"""The usual cautions of the trade (common practice; trade-facts of the project, section j).

The one source of the notice at the first start and of the help; README has the same sentences.
"""

KEY_NAMES = {f"f{number}": f"F{number}" for number in range(1, 13)} | {
    "escape": "Esc", "space": "Space", "plus": "+", "equals_sign": "=", "minus": "-", "question_mark": "?",
    "up": "Up", "down": "Down", "pageup": "PgUp", "pagedown": "PgDn", "home": "Home", "end": "End",
    "comma": ",", "full_stop": ".", "less_than_sign": "<", "greater_than_sign": ">",
    "left_parenthesis": "(", "right_parenthesis": ")", "left_curly_bracket": "{", "right_curly_bracket": "}",
    "colon": ":", "semicolon": ";",
    "delete": "Del", "backspace": "Backspace",
    "enter": "Enter", "left": "Left", "right": "Right", "left_square_bracket": "[", "right_square_bracket": "]",
}  # fmt: skip


def key_names(command: Command) -> str:
    """The keys as printed on them, the first first."""
    return " ".join(KEY_NAMES.get(key, key) for key in keys_of(command.id, command.key).split(","))


def bindings(commands: tuple[Command, ...] = COMMANDS, *, is_first: bool = False) -> list[Binding]:
    """For the App, or a screen: one binding a key, the footer's wishes kept.

    `is_first`: before what has the focus, which may scroll by them.
    """
    return [
        Binding(
            command.key,
            command.action,
            command.label,
            show=command.footer,
            id=command.id,
            tooltip=command.help,
            key_display=KEY_NAMES.get(command.key.split(",", maxsplit=1)[0]),
            priority=is_first,
        )
        for command in commands
    ]

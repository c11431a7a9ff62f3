"""The words of the command line. The commands themselves are imported when they run, for the sake of start-up time."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from tui import argument_values as values
from tui.parsing import Parser, ShowVersion, later, own_version
from tui.shared_options import board, checksums, common, feed, json, json_too, pace

CAUTION = (
    "Not for primary navigation, and not for safety of life. In an emergency phone the local emergency number first."
)
_END = f"""{CAUTION}

fixboard COMMAND --help says more of each command, with examples. A recording to try them with:
  fixboard rehearse under_trees -o walk.nmea.gz"""
PLACES = "a place in any notation, a waypoint's or station's name; one that begins with a minus sign works as it stands"
RECORDING = "a recording of NMEA 0183, plain or .gz"
SOURCES = "a serial port, tcp://host:port or udp://:port"

if TYPE_CHECKING:
    Subcommands = argparse._SubParsersAction[argparse.ArgumentParser]
    Options = argparse._ActionsContainer


def parsed(arguments: Sequence[str]) -> argparse.Namespace:
    """What was typed, checked. Exits with 2 where it is wrong, saying what would be right, and after help.

    Where the command comes first nothing is asked of the others, and to make them all takes as long as to run some.
    """
    first = arguments[0] if arguments else ""
    return parser((first,) if first in _COMMANDS else None if first else ()).parse_args(arguments)


def parser(only: Sequence[str] | None = None) -> argparse.ArgumentParser:
    """For all commands, or for those named. Wrong usage exits with 2 and says what would be right."""
    top: argparse.ArgumentParser = Parser(
        prog="fixboard",
        description="Where am I, how far can I trust that, which way do I go, what time is it.",
        epilog=_END,
        parents=[common(), board()],
    )
    top.add_argument("--version", action=ShowVersion)
    top.set_defaults(run=later("board", "choose"), debug_log=None)
    commands = top.add_subparsers(title="commands", metavar="COMMAND")
    for name in _COMMANDS if only is None else only:
        _COMMANDS[name](commands)
    return top


def _add_from(options: Options) -> None:
    options.add_argument(
        "--from", dest="source", metavar="SOURCE", help=f"a recording, {SOURCES}, or - for standard input"
    )


def _add_baud(options: Options) -> None:
    options.add_argument("--baud", type=values.baud, metavar="N", help="the line's speed; without it, it is sought")


def _add_wait(options: Options, usual_s: float, what: str) -> None:
    options.add_argument("--wait", type=values.seconds, default=usual_s, metavar="S", help=f"{what} ({usual_s:g})")


def _add_live(commands: Subcommands) -> None:
    live = commands.add_parser("live", help="the board on a receiver", parents=[common(), board(), checksums(), feed()])
    live.add_argument("source", metavar="SOURCE", nargs="?", help=f"{SOURCES}; without it, the receiver is sought")
    _add_baud(live)
    live.add_argument("--record", action="store_true", default=argparse.SUPPRESS, help="record from the start")
    live.set_defaults(run=later("board", "live"))


def _add_place(commands: Subcommands) -> None:
    place = commands.add_parser("place", help="a place in every form", parents=[common(), json()])
    place.add_argument("text", metavar="TEXT", help=PLACES)
    place.set_defaults(run=later("places", "place"))


def _add_bearing(commands: Subcommands) -> None:
    bearing = commands.add_parser("bearing", help="distance and directions", parents=[common(), json()])
    bearing.add_argument("start", metavar="FROM", help=PLACES)
    bearing.add_argument("end", metavar="TO", help=PLACES)
    bearing.set_defaults(run=later("places", "bearing"))


def _add_beam(commands: Subcommands) -> None:
    beam = commands.add_parser("beam", help="where to turn the beam, a sheet to print", parents=[common(), json()])
    beam.add_argument("start", metavar="FROM", help=PLACES)
    beam.add_argument("end", metavar="TO", help=PLACES)
    beam.add_argument("--beamwidth", type=values.beamwidth, metavar="DEG", help="of the antenna, degrees (30)")
    beam.add_argument("--at", metavar="TIME", help="for sun and declination, as 2031-05-04T14:32, UTC (now)")
    beam.add_argument("--ascii", action="store_true", help="no characters but ASCII, for printers that want it")
    beam.set_defaults(run=later("beam", "beam"))


def _add_position_text(commands: Subcommands) -> None:
    text = commands.add_parser(
        "position-text",
        help="the APRS text of a position",
        description="The APRS text of a position on one line. Whoever transmits it needs a licence.",
        parents=[common(), checksums()],
    )
    where = text.add_mutually_exclusive_group()
    where.add_argument("--at", metavar="PLACE", help=f"{PLACES}; without it, where the receiver is")
    _add_from(where)
    text.add_argument(
        "--ambiguity", type=values.ambiguity, default=0, metavar="N", help="0 to 4 digits are left blank (0)"
    )
    text.add_argument("--compressed", action="store_true", help="the short form, to half a metre; it has no ambiguity")
    text.add_argument("--course", type=values.course, metavar="DEG", help="over ground, true, 0 to 360; with --speed")
    text.add_argument("--speed", type=values.speed, metavar="MPS", help="over ground, m/s")
    text.add_argument("--altitude", type=values.number, metavar="M", help="above mean sea level, metres")
    text.add_argument("--bare", action="store_true", help="no course, speed and altitude but those given")
    text.add_argument("--symbol", default="/[", metavar="PAIR", help="table and code as />, or a name as car (on foot)")
    text.add_argument("--comment", default="", metavar="TEXT", help="behind the position, at most 43 characters")
    text.add_argument("--time", choices=("day", "clock"), help="with the time of it, UTC, to the minute or the second")
    _add_baud(text)
    _add_wait(text, 30.0, "how long to wait for a fix")
    text.set_defaults(run=later("position_text", "position_text"))


def _add_nearest(commands: Subcommands) -> None:
    nearest = commands.add_parser("nearest", help="nearest radio stations", parents=[common(), checksums(), json()])
    nearest.add_argument("place", metavar="PLACE", nargs="?", help=f"{PLACES}; without it, where the receiver is")
    _add_from(nearest)
    nearest.add_argument(
        "--list",
        dest="lists",
        metavar="FILE",
        action="append",
        help="a list of stations (CSV, GPX, GeoJSON), more than once for several; without it, those of your folder",
    )
    nearest.add_argument("--band", metavar="B", help="only this band: 2m, 70cm, or a frequency as 145 MHz")
    nearest.add_argument("--mode", metavar="M", help="only this mode, as the list writes it: FM")
    nearest.add_argument("--count", type=values.count, default=10, metavar="N", help="how many at most (10)")
    _add_baud(nearest)
    _add_wait(nearest, 30.0, "how long to wait for a fix")
    nearest.set_defaults(run=later("stations", "nearest"))


def _add_stations(commands: Subcommands) -> None:
    stations = commands.add_parser(
        "stations", help="what is understood of lists of radio stations", parents=[common(), json()]
    )
    stations.add_argument("files", metavar="FILE", nargs="*", help="lists; without one, those of your folder")
    stations.set_defaults(run=later("stations", "stations"))


def _add_say(commands: Subcommands) -> None:
    say = commands.add_parser("say", help="a position to read out", parents=[common(), checksums(), json()])
    where = say.add_mutually_exclusive_group()
    where.add_argument("--at", metavar="PLACE", help=f"{PLACES}; without it, where the receiver is")
    _add_from(where)
    say.add_argument(
        "--for", dest="audience", choices=("land", "sea", "air"), default="land", help="which search service (land)"
    )
    say.add_argument("--check", metavar="TEXT", help="what was read back to you, in words or figures")
    say.add_argument("--heard", metavar="TEXT", help="a doubtful position of somebody else: all plausible readings")
    say.add_argument("--near", metavar="PLACE", help="for --heard: where the other ought to be")
    say.add_argument(
        "--blur", metavar="HOW", help="give less: 100m, 2km or 300ft (a last digit's worth), ambiguity:0 to 4, locator"
    )
    _add_baud(say)
    _add_wait(say, 30.0, "how long to wait for a fix")
    say.set_defaults(run=later("say", "say"))


def _add_sheet(commands: Subcommands) -> None:
    sheet = commands.add_parser("sheet", help="a trip sheet to print before leaving", parents=[common()])
    sheet.add_argument("places", metavar="PLACE", nargs="+", help=f"where the trip goes, in order: {PLACES}")
    sheet.add_argument("--target", metavar="PLACE", help="what to point at from every place: a station, the car")
    sheet.add_argument("--date", type=values.day, metavar="YYYY-MM-DD", help="the day of the trip (today)")
    sheet.add_argument(
        "--depart", type=values.wall_clock, metavar="HH:MM", help="when you leave the first place, local time"
    )
    sheet.add_argument("--zone", metavar="ZONE", help="as Pacific/Auckland, UTC or +05:30 (this computer's)")
    sheet.add_argument("--pace", type=values.walking_kmh, metavar="KMH", help="your speed on the flat, km/h (5)")
    sheet.add_argument(
        "--climb",
        action="append",
        default=[],
        metavar="M",
        help="metres up on a leg, or up and down as 120/30; once for each leg, in order",
    )
    sheet.add_argument("--ascii", action="store_true", help="no characters but ASCII, for printers that want it")
    sheet.add_argument("-o", "--output", metavar="FILE", help="the file to write; without it, standard output")
    sheet.add_argument("--force", action="store_true", help="replace an older trip sheet of that name")
    sheet.set_defaults(run=later("sheet", "sheet"))


def _add_ports(commands: Subcommands) -> None:
    listed = commands.add_parser("ports", help="serial ports, with what is known of each", parents=[common(), json()])
    listed.set_defaults(run=later("queries", "ports"))


def _add_doctor(commands: Subcommands) -> None:
    doctor = commands.add_parser(
        "doctor",
        help="is all here that a board needs",
        description="Looks at terminal, ports, files and computer, and says what to do. It changes nothing.",
        parents=[common(), json()],
    )
    doctor.add_argument("--listen", action="store_true", help="open the ports too, and hear whether a receiver speaks")
    doctor.set_defaults(run=later("doctor", "doctor"))


def _add_completion(commands: Subcommands) -> None:
    completion = commands.add_parser(
        "completion",
        help="a script that completes words in a shell",
        description="Prints a script for a shell, which completes commands, options and values of fixboard.",
        parents=[common()],
    )
    completion.add_argument("shell", metavar="SHELL", choices=("bash", "zsh", "fish"), help="bash, zsh or fish")
    completion.set_defaults(run=later("completion", "completion"))


def _add_replay(commands: Subcommands) -> None:
    replay = commands.add_parser(
        "replay", help="the board on a recording", parents=[common(), board(), checksums(), pace(), feed()]
    )
    replay.add_argument("file", metavar="FILE", help=RECORDING)
    replay.add_argument("--with", dest="beside", metavar="FILE", help="a second recording, beside it on one time axis")
    replay.set_defaults(run=later("board", "replay"))


def _add_demo(commands: Subcommands) -> None:
    demo = commands.add_parser(
        "demo", help="the board on a bundled recording", parents=[common(), board(), pace(), feed()]
    )
    demo.add_argument("name", metavar="NAME", nargs="?", help="which one; without it the first, or a list to pick from")
    demo.set_defaults(run=later("board", "demo"))


def _add_hold(commands: Subcommands) -> None:
    hold = commands.add_parser(
        "hold", help="the board on a held place, no receiver", parents=[common(), board(), feed()]
    )
    hold.add_argument("place", metavar="PLACE", help=PLACES)
    hold.set_defaults(run=later("board", "hold"))


def _add_now(commands: Subcommands) -> None:
    now = commands.add_parser("now", help="one fix, for scripts", parents=[common(), checksums(), json()])
    _add_from(now)
    _add_baud(now)
    _add_wait(now, 30.0, "how long to wait for a live fix")
    now.set_defaults(run=later("queries", "now"))


def _add_clock(commands: Subcommands) -> None:
    clock = commands.add_parser(
        "clock", help="this computer's clock against the satellites'", parents=[common(), checksums(), json()]
    )
    _add_from(clock)
    _add_baud(clock)
    _add_wait(clock, 120.0, "how long to watch at most")
    clock.add_argument("--latency", metavar="S", help="the receiver's latency where you know it: 0.2, or 0.1-0.3")
    clock.add_argument("--learn", action="store_true", help="learn the latency, while network time keeps this clock")
    clock.add_argument("--computer-is-right", action="store_true", help="for --learn where the system cannot tell")
    clock.add_argument("--set", dest="sets", action="store_true", help="set the clock, after asking")
    clock.set_defaults(run=later("clock", "clock"))


def _add_digest(commands: Subcommands) -> None:
    digest = commands.add_parser("digest", help="what a recording holds", parents=[common(), checksums(), json()])
    digest.add_argument("file", metavar="FILE", help=RECORDING)
    digest.set_defaults(run=later("queries", "digest"))


def _add_explain(commands: Subcommands) -> None:
    explain = commands.add_parser("explain", help="a sentence in words", parents=[common(), checksums(), json()])
    explain.add_argument("sentence", metavar="SENTENCE", help="in single quotes; - reads standard input")
    explain.set_defaults(run=later("explain", "explain"))


def _add_report(commands: Subcommands) -> None:
    report = commands.add_parser("report", help="a recording as one page to read", parents=[common(), checksums()])
    report.add_argument("file", metavar="FILE", help=RECORDING)
    report.add_argument("-o", "--output", metavar="OUT.html", required=True, help="the page to write")
    report.add_argument("--force", action="store_true", help="replace an older page of that name")
    report.set_defaults(run=later("report", "report"), version=own_version)


def _add_chapters(commands: Subcommands) -> None:
    chapters = commands.add_parser(
        "chapters", help="propose chapters of a recording", parents=[common(), checksums(), json()]
    )
    chapters.add_argument("file", metavar="FILE", help=RECORDING)
    chapters.add_argument("--write", action="store_true", help="write them beside it, into NAME.chapters.toml")
    chapters.add_argument("--force", action="store_true", help="replace an older chapter file, kept as .bak")
    chapters.set_defaults(run=later("chapters", "chapters"))


def _add_export(commands: Subcommands) -> None:
    export = commands.add_parser(
        "export", help="a recording, or your waypoints, for other programs", parents=[common(), checksums()]
    )
    export.add_argument("file", metavar="FILE", nargs="?", help=RECORDING)
    export.add_argument("--to", required=True, choices=("gpx", "kml", "geojson", "csv", "nmea"), help="the format")
    export.add_argument(
        "-o", "--output", metavar="OUT", help="the file to write, compressed if it ends in .gz (standard output)"
    )
    export.add_argument("--force", action="store_true", help="replace an older file of that name")
    export.add_argument("--waypoints", action="store_true", help="your waypoints too; without FILE, those alone")
    part = export.add_argument_group("which part, and how much of it, in this order")
    part.add_argument("--since", metavar="T", help="from this time on, UTC: 14:32, 2031-05-04 or 2031-05-04T14:32")
    part.add_argument("--until", metavar="T", help="up to this time")
    part.add_argument("--only", choices=("usable", "firm"), help="only fixes of this verdict or a better one")
    part.add_argument("--trim-ends", metavar="D", help="nothing within 200m, or 500ft, of where it began and ended")
    part.add_argument("--every", metavar="N", help="points at least 10s, 25m, or 150ft, apart")
    part.add_argument("--simplify", metavar="D", help="without points that are within 5m, or 15ft, of the line")
    export.set_defaults(run=later("export", "run"))


def _add_log(commands: Subcommands) -> None:
    log = commands.add_parser("log", help="recorded sessions; where you were at a time", parents=[common(), json()])
    log.set_defaults(run=later("log", "log"))
    parts = log.add_subparsers(title="of one session", metavar="PART")
    shown = parts.add_parser("show", help="one session", parents=[common(), json_too()])
    shown.add_argument("session", metavar="N|NAME", help="its number in the list, its name or its file's name")
    shown.set_defaults(run=later("log", "show_one"))
    at = parts.add_parser("at", help="where you were, for the contact log", parents=[common(), json_too()])
    at.add_argument(
        "times", metavar="TIME", nargs="+", help="14:32, 14:32:10 or 2031-05-04 14:32; UTC, or with local behind it"
    )
    at.add_argument("--session", metavar="N|FILE", help="a session or any recording; without it, one that fits")
    at.set_defaults(run=later("log", "at"))


def _add_rehearse(commands: Subcommands) -> None:
    rehearse = commands.add_parser("rehearse", help="simulate a receiver, into a recording", parents=[common()])
    rehearse.add_argument("scenario", metavar="SCENARIO", help="a scenario in TOML, or the name of a bundled one")
    rehearse.add_argument(
        "-o", "--output", metavar="OUT", required=True, help="the recording to write; compressed if it ends in .gz"
    )
    rehearse.add_argument("--seed", type=values.seed, metavar="N", help="other errors, same walk (the scenario's own)")
    rehearse.add_argument("--force", action="store_true", help="replace an older rehearsal of that name")
    rehearse.set_defaults(run=later("rehearse", "rehearse"))


_COMMANDS: dict[str, Callable[[Subcommands], None]] = {
    "live": _add_live,
    "replay": _add_replay,
    "demo": _add_demo,
    "hold": _add_hold,
    "now": _add_now,
    "clock": _add_clock,
    "digest": _add_digest,
    "explain": _add_explain,
    "log": _add_log,
    "report": _add_report,
    "chapters": _add_chapters,
    "export": _add_export,
    "rehearse": _add_rehearse,
    "ports": _add_ports,
    "place": _add_place,
    "bearing": _add_bearing,
    "sheet": _add_sheet,
    "beam": _add_beam,
    "position-text": _add_position_text,
    "nearest": _add_nearest,
    "stations": _add_stations,
    "say": _add_say,
    "doctor": _add_doctor,
    "completion": _add_completion,
}
"""In the order of the help."""
NAMES = tuple(_COMMANDS)

"""Options that several commands have, each group in a parser of its own to be a parent of theirs."""

from __future__ import annotations

import argparse

from tui import argument_values as values


def common() -> argparse.ArgumentParser:
    """Options of every command, before or after its name. Suppressed defaults: the inner must not undo the outer."""
    options = argparse.ArgumentParser(add_help=False)
    options.add_argument("--debug-log", metavar="FILE", default=argparse.SUPPRESS, help="append details of a failure")
    return options


def feed() -> argparse.ArgumentParser:
    """Where sentences are handed on to, and which."""
    options = argparse.ArgumentParser(add_help=False)
    feed = options.add_argument_group("the position for other programs")
    feed.add_argument(
        "--feed",
        metavar="ADDRESS",
        action="append",
        default=[],
        help="tcp:PORT or udp:PORT (this computer alone unless it says tcp:ADDRESS:PORT), pty, serial:PORT@BAUD; "
        "more than once for several",
    )
    feed.add_argument(
        "--feed-as",
        choices=("auto", "raw", "rebuilt"),
        default="auto",
        help="the source's own sentences, or written anew; auto: raw from a receiver, else rebuilt as simulated",
    )
    feed.add_argument("--feed-types", metavar="TYPES", default="", help="only these, as RMC,GGA")
    feed.add_argument("--feed-rate", type=float, metavar="HZ", help="epochs a second at most")
    feed.add_argument("--feed-talker", metavar="XX", default="", help="of rebuilt sentences, as GP (GN)")
    return options


def board() -> argparse.ArgumentParser:
    """How a board looks. Suppressed defaults, as of `common`."""
    options = argparse.ArgumentParser(add_help=False)
    look = options.add_argument_group("how the board looks")
    look.add_argument(
        "--theme",
        choices=("dark", "daylight", "night"),
        default=argparse.SUPPRESS,
        help="colours for indoors, for the sun, or red ones that leave the eyes used to the dark",
    )
    look.add_argument(
        "--glyphs",
        choices=("braille", "quadrant", "plain"),
        default=argparse.SUPPRESS,
        help="what lines are drawn with: plain where the font lacks the others",
    )
    look.add_argument(
        "--colour",
        choices=("truecolor", "256", "16", "none"),
        default=argparse.SUPPRESS,
        help="how many colours the terminal shows, where fixboard guesses wrong",
    )
    return options


def checksums() -> argparse.ArgumentParser:
    """Whether sentences without a checksum are taken."""
    options = argparse.ArgumentParser(add_help=False)
    options.add_argument(
        "--checksums",
        choices=("require", "allow"),
        help="refuse or take sentences without one (by default a file is read without only if its first 50 have none)",
    )
    return options


def pace() -> argparse.ArgumentParser:
    """How fast a recording is played."""
    options = argparse.ArgumentParser(add_help=False)
    options.add_argument(
        "--pace", type=values.times, default=1.0, metavar="X", help="0.1 to 100 times life, or max (1)"
    )
    return options


def json() -> argparse.ArgumentParser:
    """Objects for programs in the place of lines for people."""
    options = argparse.ArgumentParser(add_help=False)
    options.add_argument("--json", action="store_true", help="one JSON object on standard output")
    return options


def json_too() -> argparse.ArgumentParser:
    """Of a command within a command: what was said before its name is not undone."""
    options = argparse.ArgumentParser(add_help=False)
    options.add_argument(
        "--json", action="store_true", default=argparse.SUPPRESS, help="one JSON object on standard output"
    )
    return options

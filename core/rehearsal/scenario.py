"""A rehearsal as its author writes it, in TOML: where the receiver goes, what is around it, and what befalls it.

    title = "Over the ridge"          # up to 50 characters, shown on the board as REHEARSAL ...
    call = "QX1ABC"                   # of the walker; Q...: no licence anywhere begins so
    start = 2027-05-15T09:00:00Z      # when the receiver is switched on
    rate_hz = 1                       # epochs a second, 1 to 10
    seed = 1                          # another seed, other errors
    geoid_separation_m = 14.0         # heights below are above mean sea level, that is above this
    turn_s = 4.0                      # seconds that a turn, a start and a stop take

    [receiver]                        # all of it may be left out; what it means: core.rehearsal.records
    systems = "GREC"                  # GPS, GLONASS, Galileo, BeiDou
    start = "cold"                    # or warm, or hot
    sbas = true
    mask_deg = 5                      # satellites below are not used
    antenna_db = 0                    # loss of a small antenna
    interference_db = 22              # what an event `interference` takes from every signal
    rollovers = 0                     # how many times 1024 weeks the date is early
    smoothing_s = 2                   # of the position
    first_in_3d = true
    base_station = 101                # of RTK
    minute_decimals = 5               # of coordinates, 4 to 7
    sky_every_s = 1                   # how often the satellites in view are told

    [around.lane]                     # surroundings by name; "open" is there already
    street_height_m = 14              # house fronts along the way (or along street_heading_deg)
    street_width_m = 9
    [around.wood]
    mask_deg = 12                     # land all round
    walls = [[20, 75, 40]]            # from, to, elevation
    trees_db = 14                     # loss under leaves ...
    trees_below_deg = 90              # ... for satellites below this

    [[path]]                          # one after the other
    at = "41 02.100 N 179 52.000 E"   # any notation
    height_m = 212
    pause_s = 90                      # stays this long
    speed_mps = 1.3                   # then goes on, to the next place, so fast (as before where it is left out)
    around = "open"                   # here and on the way to the next place

    [[event]]
    what = "outage"                   # or interference, sbas_off, rtk, rollover
    from_s = 300                      # seconds after switching on
    to_s = 345                        # to the end where it is left out

Angles are clockwise from true north. A key that is left out keeps its usual value, in a path that of the place before.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime

from core.rehearsal.records import ReceiverConfig
from core.rehearsal.scenario_check import events, manner, receiver_config, stops
from core.rehearsal.scenario_parts import Around, Event, Manner, Stop
from core.rehearsal.scenario_table import Table, top_table
from core.shown import shown

__all__ = ["Around", "Event", "Manner", "Scenario", "Stop", "read_scenario"]

LONGEST_TITLE = 50
"""So that its TXT sentence has at most 82 characters (NMEA 0183)."""
FIRST_YEAR, LAST_YEAR = 2001, 2067
"""Of RMC's two digits readers make other centuries for later years (pynmea2 from 69 on)."""
_TITLE = re.compile(r"[ -~]+")
_RESERVED = frozenset("$*,!\\^~")
"""NMEA 0183: not within a sentence's text."""
_CALL = re.compile(r"Q[A-Z]{0,2}[0-9][A-Z0-9]{1,5}")


@dataclass(frozen=True, eq=False)
class Scenario:
    """A rehearsal that has been checked. Compared by identity: its path is worked out once."""

    title: str
    call: str
    start: datetime
    """UTC, of the first epoch."""
    rate_hz: int
    seed: int
    geoid_separation_m: float
    turn_s: float
    receiver: ReceiverConfig
    manner: Manner
    stops: tuple[Stop, ...]
    events: tuple[Event, ...]


_KEYS = (
    "title", "call", "start", "rate_hz", "seed", "geoid_separation_m", "turn_s", "receiver", "around", "path", "event"
)  # fmt: skip


def read_scenario(text: str, name: str) -> Scenario:
    """The scenario of a TOML text; `name` is the file's. Raises InputError with line, key and remedy."""
    top = top_table(text, name, _KEYS)
    start, way = _start(top), stops(top)
    receiver = receiver_config(top.table("receiver"), start)
    return Scenario(
        title=_title(top),
        call=_call(top),
        start=start,
        rate_hz=top.whole("rate_hz", 1, 10, 1),
        seed=top.whole("seed", 0, 10**15 - 1, 1),
        geoid_separation_m=top.number("geoid_separation_m", -110.0, 90.0, 0.0),
        turn_s=top.number("turn_s", 0.5, 600.0, 4.0),
        receiver=receiver,
        manner=manner(top.table("receiver")),
        stops=way,
        events=events(top, way),
    )


def _title(top: Table) -> str:
    title = top.words("title", "Over the ridge")
    if not _TITLE.fullmatch(title) or _RESERVED & set(title) or len(title) > LONGEST_TITLE:
        raise top.wrong(
            "title",
            f"is {shown(title)}: give 1 to {LONGEST_TITLE} letters, figures and signs of ASCII, "
            f"without {' '.join(sorted(_RESERVED))}",
        )
    return title


def _call(top: Table) -> str:
    call = top.words("call", "QX1ABC")
    if not _CALL.fullmatch(call):
        raise top.wrong("call", f"is {shown(call)}: an invented call sign is wanted, with Q before all, as 'QX1ABC'")
    return call


def _start(top: Table) -> datetime:
    found = top.values.get("start")
    if not isinstance(found, datetime) or found.tzinfo is None or found.microsecond:
        said = "is missing" if found is None else f"is {shown(str(found))}"
        raise top.wrong("start", f"{said}: date and time to the second in UTC are wanted, as 2027-05-15T09:00:00Z")
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise top.wrong("start", f"is in {found.year}: give a year from {FIRST_YEAR} to {LAST_YEAR}")
    return found.astimezone(UTC)

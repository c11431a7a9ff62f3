"""The tables of a scenario, checked one by one: every mistake with its line and what would be right."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from itertools import pairwise

from core.dates import ROLLOVER_DAYS
from core.errors import InputError
from core.fix import Position
from core.places.geodesic import distance_m
from core.places.reading import read
from core.rehearsal.records import EVENTS, ReceiverConfig
from core.rehearsal.scenario_parts import Around, Event, Manner, Stop
from core.rehearsal.scenario_table import Table
from core.rehearsal.tracking import Start
from core.rehearsal.walls import Surroundings, Wall
from core.shown import shown

MOST_PLACES = 1000
LONGEST_S = 86_400.0
FIRST_GPS_DAY = date(1980, 1, 6)
FASTEST_MPS = 350.0
_RECEIVER = (
    "systems", "start", "sbas", "mask_deg", "antenna_db", "interference_db", "rollovers", "smoothing_s", "first_in_3d",
    "base_station", "minute_decimals", "sky_every_s",
)  # fmt: skip
_AROUND = (
    "mask_deg", "trees_db", "trees_below_deg", "walls", "street_height_m", "street_width_m", "street_heading_deg"
)  # fmt: skip
_STOP = ("at", "height_m", "pause_s", "speed_mps", "around")
_EVENT = ("what", "from_s", "to_s")


def receiver_config(table: Table, start: datetime) -> ReceiverConfig:
    """Of `[receiver]`; `start` is the scenario's."""
    table.only(_RECEIVER)
    usual = ReceiverConfig()
    return ReceiverConfig(
        systems=_systems(table),
        start=Start(table.choice("start", [str(one) for one in Start], str(usual.start))),
        sbas=table.switch("sbas", usual.sbas),
        mask_deg=table.number("mask_deg", 0.0, 45.0, usual.mask_deg),
        antenna_db=table.number("antenna_db", -10.0, 30.0, usual.antenna_db),
        interference_db=table.number("interference_db", 0.0, 60.0, usual.interference_db),
        rollovers=_rollovers(table, start),
        smoothing_s=table.number("smoothing_s", 0.0, 60.0, usual.smoothing_s),
        first_in_3d=table.switch("first_in_3d", usual.first_in_3d),
        base_station=f"{table.whole('base_station', 0, 1023, int(usual.base_station)):04d}",
    )


def _systems(table: Table) -> str:
    systems = table.words("systems", "GREC", "GREC")
    if not systems or set(systems) - set("GREC") or len(set(systems)) < len(systems):
        raise table.wrong("systems", f"is {shown(systems)}: letters of GREC are wanted, each once")
    return "".join(letter for letter in "GREC" if letter in systems)


def _rollovers(table: Table, start: datetime) -> int:
    turns = table.whole("rollovers", 0, 3, 0)
    if start.date() - timedelta(days=turns * ROLLOVER_DAYS) < FIRST_GPS_DAY:
        raise table.wrong("rollovers", f"is {turns}: at this start it shows a date before GPS time began; give fewer")
    return turns


def manner(table: Table) -> Manner:
    """Of `[receiver]`: how it says things."""
    usual = Manner()
    return Manner(
        _systems(table),
        table.whole("minute_decimals", 4, 7, usual.minute_decimals),
        table.whole("sky_every_s", 1, 60, usual.sky_every_s),
    )


def stops(top: Table) -> tuple[Stop, ...]:
    """Of `[[path]]`, with `[around]`."""
    known = {"open": Around()}
    within = top.table("around")
    known |= {name: _around(within.table(name)) for name in within.values}
    tables = top.tables("path")
    if not 1 <= len(tables) <= MOST_PLACES:
        raise top.wrong("path", f"has {len(tables)} places: write 1 to {MOST_PLACES}, each below a line [[path]]")
    found: list[Stop] = []
    for table in tables:
        found.append(_stop(table, known, found[-1] if found else None))
    _check_path(tables, found)
    return tuple(found)


def _stop(table: Table, known: dict[str, Around], before: Stop | None) -> Stop:
    """Height, speed and surroundings stay as they were where they are left out."""
    table.only(_STOP)
    place, last = _place(table), before or Stop(Position(0.0, 0.0), 0.0, 0.0, 0.0, known["open"])
    if before is not None and before.position == place:
        raise table.wrong("at", "is the place before: for a rest give that one a longer pause_s")
    if before is not None and not before.speed_mps:
        raise table.wrong("", "the way to this place has no speed: give the place before a speed_mps")
    return Stop(
        place,
        table.number("height_m", -500.0, 9000.0, last.height_m),
        table.number("pause_s", 0.0, 86_400.0, 0.0),
        table.number("speed_mps", 0.05, FASTEST_MPS, last.speed_mps) if "speed_mps" in table.values else last.speed_mps,
        known[table.choice("around", known)] if "around" in table.values else last.around,
    )


def _check_path(tables: list[Table], found: list[Stop]) -> None:
    takes_s = lasts_s(found)
    alone = found[0].around
    if len(found) == 1 and alone.street_m is not None and alone.street_heading_deg is None:
        raise tables[0].wrong("around", "is a street, and no way shows how it runs: give it a street_heading_deg")
    if takes_s < 1.0:
        raise tables[-1].wrong("", "the path takes less than a second: give another place, or a pause_s")
    if takes_s > LONGEST_S:
        raise tables[-1].wrong("", f"the path takes {takes_s / 3600:.1f} hours up to here: 24 are the most")


def lasts_s(found: Sequence[Stop]) -> float:
    """How long a path takes."""
    ways = sum(distance_m(one.position, after.position) / one.speed_mps for one, after in pairwise(found))
    return ways + sum(one.pause_s for one in found)


def _place(table: Table) -> Position:
    text = table.words("at", "41 02.100 N 179 52.000 E")
    try:
        found = read(text)
    except InputError as error:
        raise table.wrong("at", f"is not understood: {error}") from error
    if len(found) > 1:
        raise table.wrong("at", f"is {shown(text)}, which can mean {len(found)} places: write N or S, E or W behind it")
    return found[0].position


def _around(table: Table) -> Around:
    table.only(_AROUND)
    keys = [key for key in ("street_height_m", "street_width_m") if key in table.values]
    if len(keys) == 1 or ("street_heading_deg" in table.values and not keys):
        raise table.wrong("", "a street needs street_height_m and street_width_m: give both")
    plain = Surroundings(
        table.number("mask_deg", 0.0, 90.0, 0.0),
        _walls(table),
        table.number("trees_db", 0.0, 60.0, 0.0),
        table.number("trees_below_deg", 0.0, 90.0, 90.0),
    )
    if not keys:
        return Around(plain)
    heading = table.number("street_heading_deg", 0.0, 360.0) if "street_heading_deg" in table.values else None
    size = (table.number("street_height_m", 0.1, 1000.0), table.number("street_width_m", 0.5, 1000.0))
    return Around(plain, size, heading)


def _walls(table: Table) -> tuple[Wall, ...]:
    found = table.values.get("walls", [])
    wanted = "walls are wanted as [[from, to, elevation], ...] in degrees, clockwise from true north"
    if not isinstance(found, list) or not all(_is_wall(one) for one in found):
        raise table.wrong("walls", f"is {shown(found)}: {wanted}")
    try:
        walls = tuple(Wall(*map(float, one)) for one in found)
        Surroundings(walls=walls)
    except InputError as error:
        raise table.wrong("walls", f"will not do: {error}") from error
    return walls


def _is_wall(found: object) -> bool:
    """Three figures; the bounds keep NaN and the endless out."""
    three = isinstance(found, list) and len(found) == 3
    return three and all(type(one) in (int, float) and -360 <= one <= 360 for one in found)  # type: ignore[attr-defined]  # a list here


def events(top: Table, path: Sequence[Stop]) -> tuple[Event, ...]:
    """Of `[[event]]`; none may begin after the path has ended."""
    end_s = lasts_s(path)
    return tuple(_event(table, end_s) for table in top.tables("event"))


def _event(table: Table, path_s: float) -> Event:
    table.only(_EVENT)
    what = table.choice("what", sorted(EVENTS))
    begin, end = table.number("from_s", 0.0, LONGEST_S), math.inf
    if begin >= path_s:
        raise table.wrong("from_s", f"is {begin:g}, and the path ends after {path_s:.0f} s: begin earlier")
    if "to_s" in table.values:
        end = table.number("to_s", 0.0, LONGEST_S)
    if end <= begin:
        raise table.wrong("to_s", f"is {end:g}, and from_s {begin:g}: an event ends after it begins")
    return Event(what, begin, end)

"""The whole trip sheet as blocks of text, in the order in which it is needed, and as pages.

First what has to be found quickly: when to turn, whom to call, who knows of the trip. Then the places, the ways and
the sun, then room to write on.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from core.sheet_page import FORM_FEED, RULE, WIDTH, Block, pages, printed, title
from core.sheet_pen import INDENT, Pen, metres
from core.sheet_places import place_blocks, sun_block
from core.sheet_time import long_date, offset
from core.sheet_ways import leg_block, sum_block, target_block, turn_block
from core.trip_sheet import TripSheet

BEGINS = "Trip sheet"
"""The first words of every sheet, by which a file is known for one."""
CONTACT_ROWS, NOTE_ROWS = 8, 8
_NAME_ROOM = 24
_LINE = "_" * WIDTH


def text(sheet: TripSheet, pen: Pen, between: str = FORM_FEED) -> str:
    """All of it; `between` stands where a page ends and another follows."""
    return printed(pages(_head(sheet, pen), _blocks(sheet, pen)), between)


def _blocks(sheet: TripSheet, pen: Pen) -> Iterator[Block]:
    yield _overview(sheet, pen)
    if sheet.legs:
        yield turn_block(sheet, pen)
        yield leg_block(sheet, pen)
    yield _emergency(pen)
    yield _left_with()
    if sheet.target is not None:
        yield target_block(sheet, pen)
    if sheet.legs:
        yield sum_block(sheet, pen)
    yield from place_blocks(sheet, pen)
    yield sun_block(sheet, pen)
    yield _contacts()
    yield _notes()
    yield _cautions(pen)


def _head(sheet: TripSheet, pen: Pen) -> tuple[str, ...]:
    first, last = (pen.name(sheet.spots[at].place.name, _NAME_ROOM) for at in (0, -1))
    names = first if len(sheet.spots) == 1 else f"{first} to {last}"
    return f"{BEGINS}: {names}", f"{long_date(sheet.outing.day)}, {_clocks(sheet, pen)}", RULE


def _clocks(sheet: TripSheet, pen: Pen) -> str:
    if pen.zone.name == "UTC":
        return "times in UTC"
    beside = offset(pen.zone.local(sheet.outing.middle))
    name = "" if pen.zone.name == beside else f" ({pen.name(pen.zone.name, 30)})"
    return f"clocks at {beside}{name}"


def _overview(sheet: TripSheet, pen: Pen) -> Block:
    total_m = sum(leg.distance_m for leg in sheet.legs)
    count = len(sheet.spots)
    legs = f", {metres(total_m)} in straight lines" if sheet.legs else ""
    target = "" if sheet.target is None else f", target {pen.name(sheet.target.place.name)}"
    return Block(
        tuple(
            pen.says(
                f"{count} place{'s' if count > 1 else ''}{legs}{target}. Positions on WGS 84; mag is magnetic.",
                _leaving(sheet, pen),
                _change(sheet, pen),
            )
        )
    )


def _leaving(sheet: TripSheet, pen: Pen) -> str:
    departure, day = sheet.outing.departure, sheet.spots[0].light
    if departure is None:
        return ""
    dark = (day.civil_dawn and departure < day.civil_dawn) or (day.civil_dusk and departure > day.civil_dusk)
    return f"Departure {pen.latest(departure)}{', in the dark' if dark else ''}."


def _change(sheet: TripSheet, pen: Pen) -> str:
    """Where clocks change within the day, both offsets."""
    early, late = (offset(pen.zone.local(sheet.outing.middle + timedelta(hours=hours))) for hours in (-12, 12))
    changed = "" if early == late else f"The clocks change on this day: {early}, later {late}."
    at = sheet.outing.depart
    twice = at is not None and pen.zone.comes_twice(sheet.outing.day, at)
    return f"{changed} The departure is the first {at:%H:%M} of two." if twice else changed


def _left_with() -> Block:
    return Block(
        (
            title("Left with someone who will act on it"),
            "",
            _blanks(("left with", 33), ("phone", 27)),
            "",
            _blanks(("party", 37), ("vehicle", 25)),
            "",
            _blanks(("back by", 12), ("raise the alarm at", 12), ("by calling", 12)),
        )
    )


def _emergency(pen: Pen) -> Block:
    return Block(
        (
            title("In an emergency"),
            *pen.says(
                "Phone the local emergency number first (112 or 911 in many countries; here: ________________). Say "
                "where you are in one form, digit by digit, with the hemispheres in words and the datum, WGS 84. Have "
                "it read back before you end the call, then give a second form, and the place in plain words. Distress "
                "calls by radio as the law allows.",
                indent=INDENT,
            ),
        )
    )


def _contacts() -> Block:
    columns = (("call", 15), ("UTC", 7), ("MHz, mode", 13), ("sent", 7), ("received", 9), ("locator", 11))
    head = "  ".join(f"{name:<{room}}" for name, room in columns)
    row = "  ".join("_" * room for _, room in columns)
    return Block((title("Contacts"), head, *[line for _ in range(CONTACT_ROWS) for line in ("", row)]))


def _notes() -> Block:
    return Block((title("Notes"), *[line for _ in range(NOTE_ROWS) for line in ("", _LINE)]))


def _cautions(pen: Pen) -> Block:
    return Block(
        (
            title("Cautions"),
            *pen.says(
                "Not for primary navigation, and not for safety of life: carry a map, a compass and a light, and know "
                "how to use them. Iron, vehicles, masts and power lines turn a compass: no declination knows of them. "
                "An old map may be on another datum, hundreds of metres off. Transmit only within your licence. Local "
                "rules and licensed practice go before this sheet.",
                indent=INDENT,
            ),
        )
    )


def _blanks(*fields: tuple[str, int]) -> str:
    return "  ".join(f"{name} {'_' * room}" for name, room in fields)

"""A trip sheet's ways: legs and target as tables of distances and directions, walking times, and the latest turn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate

from core.before_dark import LAST_WORD
from core.pace import NAISMITH, in_hours
from core.places.norths import Bearings
from core.sheet_page import Block, title
from core.sheet_pen import INDENT, NOTHING, Pen, bearing, spread
from core.sheet_turn import Climb, Turn
from core.trip_sheet import Line, TripSheet, compass_works
from core.units import in_use

TOO_FAR, IN_THE_DARK = "too far", "before dawn"
"""In the places of a latest turn and of a latest departure that are not in the light of the day."""
FINE_TO_M, COARSE_FROM_M = 100.0, 1000.0
"""Places known to the first have distances in metres; beyond the second, in whole kilometres."""
_ROOMS = (4, 9, 11, 13, 13, 13, 15)


def leg_block(sheet: TripSheet, pen: Pen) -> Block:
    """From each place to the next. Only where there are two places."""
    sums_m = accumulate(leg.distance_m for leg in sheet.legs)
    radii_m = accumulate((leg.radius_m or 0.0 for leg in sheet.legs), max)
    so_far = map(_km, sums_m, radii_m)
    rows = [
        _line(f"{number}-{number + 1}", leg, km)
        for number, (leg, km) in enumerate(zip(sheet.legs, so_far, strict=True), 1)
    ]
    head = (title("Legs, in straight lines"), *_head("so far", "km"))
    return Block((*head, *rows, *_norths(sheet, pen)), len(head))


def target_block(sheet: TripSheet, pen: Pen) -> Block:
    """From each place to the target. Only where there is one."""
    rows = (_line(f"{number}-T", line, "") for number, line in enumerate(sheet.to_target, 1))
    name = "" if sheet.target is None else pen.name(sheet.target.place.name)
    head = (title(f"Straight to the target (T), {name}"), *_head("", ""))
    notes = pen.says("Columns as for the legs.", indent=INDENT) if sheet.legs else _norths(sheet, pen)
    return Block((*head, *rows, *notes), len(head))


def turn_block(sheet: TripSheet, pen: Pen) -> Block:
    """Walking times and latest turns. Only where there are two places."""
    rows = (_turn(sheet, turn, pen) for turn in sheet.turns)
    head = (title("On foot: hours and minutes on the way, times by your clocks"), _turn_head(sheet))
    remarks = [line for one in _remarks(sheet) for line in pen.says(one, indent=INDENT)]
    return Block((*head, *rows, *remarks), len(head))


def sum_block(sheet: TripSheet, pen: Pen) -> Block:
    """How the turn farthest from home was worked out, and from what."""
    turn = max(sheet.turns, key=lambda one: one.home.seconds)
    words = (_worked(sheet, turn, pen), _pace(sheet), _climbs(sheet.climbs))
    paragraphs = [line for one in (*words, *_ALWAYS) for line in pen.says(one, indent=INDENT)]
    return Block((title(f"How the turn at place {turn.stop + 1} was worked out"), *paragraphs))


_ALWAYS = (
    "Distances are straight lines: a path winds and takes longer, often by a third and more (common practice, no "
    "source). Stops are not counted.",
    "The light is that over a level and open horizon: in a valley or under trees it is dark up to an hour earlier.",
    LAST_WORD,
)


def _head(total: str, unit: str) -> tuple[str, str]:
    """Two lines over a table of ways; what the third column of figures sums up, where it does."""
    return (
        f"{'':<5}{'distance':>9}{'':>9}{total:>9}   {'direction there':<18} {'direction back':<17}{'may be':>6}",
        f"{'':<5}{'m':>9}{'km':>9}{unit:>9} {'true':>6}{'mag':>6}{'grid':>6}{'true':>6}{'mag':>6}{'grid':>6}{'off':>8}",
    )


def _line(label: str, line: Line, so_far: str) -> str:
    off_deg = line.uncertainty_deg
    off = NOTHING if line.there is None or off_deg is None else spread(off_deg)
    radius_m = line.radius_m or 0.0
    in_metres = NOTHING if radius_m > FINE_TO_M else f"{line.distance_m:.0f}"
    distance = f"{label:<5}{in_metres:>9}{_km(line.distance_m, radius_m):>9}{so_far:>9} "
    return f"{distance}{_directions(line.there, off_deg)}{_directions(line.back, off_deg)}{off:>8}"


def _km(distance_m: float, radius_m: float) -> str:
    """No finer than the places are known."""
    decimals = 2 if radius_m <= FINE_TO_M else 1 if radius_m <= COARSE_FROM_M else 0
    return f"{distance_m / 1000:.{decimals}f}"


def _directions(found: Bearings | None, off_deg: float | None) -> str:
    figures: Sequence[float | None] = (None, None, None) if found is None else found
    return "".join(f"{bearing(one, off_deg or 0.0):>6}" for one in figures)


def _norths(sheet: TripSheet, pen: Pen) -> list[str]:
    """What the three columns mean, and why one may be empty."""
    spots = (*sheet.spots, *([] if sheet.target is None else [sheet.target]))
    without = any(not compass_works(spot.declination) for spot in spots)
    return pen.says(
        "Degrees clockwise from true, magnetic and grid north of the place where one stands; back: at the far end. "
        "May be off: by how coarsely the places are given; magnetic ones by the declination's sigma besides.",
        "No magnetic bearing where the declination is not known." if without else "",
        indent=INDENT,
    )


def _turn_head(sheet: TripSheet) -> str:
    last = ("arrive", "in hand") if sheet.outing.depart is not None else ("light ends",)
    return _columns(("at", "there", "home", "turn by", "leave 1 by", *last))


def _columns(entries: Sequence[str]) -> str:
    return "".join(f"{one:<{room}}" for one, room in zip(entries, _ROOMS, strict=False)).rstrip()


def _turn(sheet: TripSheet, turn: Turn, pen: Pen) -> str:
    ends = turn.countdown.deadline
    light = (NOTHING if ends is None else pen.latest_local(ends),)
    last = light if turn.arrival is None else (pen.local(turn.arrival), _in_hand(turn))
    home = f"{_hours(turn.home.seconds)}{' on' if turn.home.is_onward else ''}"
    return _columns((f"{turn.stop + 1}", _hours(turn.there_s), home, *_latest(turn, pen), *last))


def _latest(turn: Turn, pen: Pen) -> tuple[str, str]:
    """Turn and departure, as far as they are in the light of the day."""
    latest, leave = turn.countdown.latest_turn, turn.latest_departure
    if latest is None or leave is None:
        return NOTHING, NOTHING
    if turn.is_too_far:
        return TOO_FAR, NOTHING
    return pen.latest_local(latest), pen.latest_local(leave) if turn.fits_the_day else IN_THE_DARK


def _hours(seconds: float) -> str:
    """As `1:05`."""
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours}:{minutes:02d}"


def _in_hand(turn: Turn) -> str:
    """Cut to the minute, never up: what is late by a second is late."""
    left_s = turn.in_hand_s
    if left_s is None:
        return NOTHING
    whole_s = left_s // 60 * 60
    return _hours(whole_s) if whole_s >= 0.0 else f"late {_hours(-whole_s)}"


def _remarks(sheet: TripSheet) -> Iterator[str]:
    yield (
        "At the latest: turn by, or leave 1 by to be there in time, with the walk there taken as many times as the one "
        "home."
    )
    if any(turn.home.is_onward for turn in sheet.turns):
        yield "On: the way on leads home sooner than back."
    late = [turn.stop + 1 for turn in sheet.turns if (turn.in_hand_s or 0.0) < 0.0]
    if late:
        yield f"TOO LATE at {_places(late)}: the way home ends in the dark, or takes of your reserve. Leave earlier."
    for light_of, why_none in dict.fromkeys((turn.light_of, turn.countdown.why_none) for turn in sheet.turns):
        if why_none:
            yield f"At place {light_of + 1}: {why_none}"
    dark = [turn.stop + 1 for turn in sheet.turns if turn.latest_departure is not None and not turn.fits_the_day]
    if dark:
        yield f"There and home does not fit the light of this day for {_places(dark)}."


def _places(numbers: list[int]) -> str:
    return f"place{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"


def _worked(sheet: TripSheet, turn: Turn, pen: Pen) -> str:
    found, reserve = turn.countdown, sheet.outing.reserve
    if found.deadline is None or found.latest_turn is None:
        return f"{found.why_none} So there is no latest turn by the light."
    taken_s, name = turn.home.seconds * reserve.factor, turn.light_of + 1
    result = (
        "that is more than the light of this day."
        if turn.is_too_far
        else f"that leaves {pen.latest(found.latest_turn)} as the latest turn."
    )
    return (
        f"At place {name} civil twilight ends at {pen.latest(found.deadline)}. The way home takes "
        f"{in_hours(turn.home.seconds)}; {reserve.factor:g} times that is {in_hours(taken_s)}; with "
        f"{reserve.margin_min:.0f} min in hand {result}"
    )


def _pace(sheet: TripSheet) -> str:
    pace, units = sheet.outing.own or NAISMITH, in_use()
    return (
        f"Pace: {units.rates(pace.flat_mps)[-1]} on the flat, {pace.how}; 1 h for each "
        f"{units.high(600)} up (Naismith), 10 min more "
        "for each 300 m down that must be steeper than 12 degrees (Langmuir)."
    )


def _climbs(climbs: Sequence[Climb | None]) -> str:
    known = [f"{number}-{number + 1} {_climb(one)}" for number, one in enumerate(climbs, 1) if one is not None]
    told = f"Climb by leg: {'; '.join(known)}. " if known else ""
    if all(one is not None and one.down_m is not None and not one.is_least for one in climbs):
        return told.rstrip()
    return f"{told}What is not known of climbs is not counted: it takes longer."


def _climb(climb: Climb) -> str:
    down = "down not known" if climb.down_m is None else f"{in_use().high(climb.down_m)} down"
    least = " at the least, by the heights of its ends" if climb.is_least else ""
    return f"{in_use().high(climb.up_m)} up, {down}{least}"

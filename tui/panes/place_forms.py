"""A position in every form, the declination and the light of the day: what the position page has room for."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from functools import lru_cache

from core.course import CourseTrust
from core.fix import Position
from core.places.containment import nearest_edge, next_edge, probability_inside
from core.places.forms import all_forms
from core.places.locator import locator
from core.places.magnetic import Declination, declination
from core.places.sun import SunDay, in_words, solar_date, sun_day, sun_position
from tui import wording
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row
from tui.state import BoardState

LABELS = {
    "decimal": "degrees", "degrees_minutes": "and min", "degrees_minutes_seconds": "and sec", "utm": "UTM",
    "mgrs": "MGRS", "locator": "locator", "iso6709": "ISO 6709", "geo_uri": "geo URI",
}  # fmt: skip
LABEL = 9
SUREST = 0.99
SQUARE = 6
"""Characters of the locator whose square is watched: what is exchanged on the air (common practice)."""


def form_rows(state: BoardState) -> list[Row]:
    """Every form of the position, no finer than its error; empty without one."""
    position = state.position
    if position is None:
        return []
    ink = Ink.TEXT if state.is_current else Ink.STALE
    forms = _forms(position, *_height(state), state.digits_error_m)
    return [_row(LABELS[name], text, ink) for name, text in forms.items()]


def square_rows(state: BoardState) -> Iterator[Row]:
    """The locator square: how far to its nearest edge, how sure to be inside, when this course leaves it."""
    position = state.position
    if position is None or not state.is_current:
        return
    edge = nearest_edge(position, SQUARE)
    yield _row("square", f"{locator(position, SQUARE)}, {edge.side} edge {wording.distance(edge.distance_m)}", Ink.TEXT)
    error_m = state.snapshot.trust.error.horizontal_m
    if error_m is not None:
        inside = _percent(probability_inside(position, error_m, SQUARE))
        yield _row("", f"inside with {inside}, by the estimated error", Ink.MUTED)
    speed = state.snapshot.values.speed_mps
    if state.course_trust is CourseTrust.SURE and state.course_deg is not None and speed is not None:
        way_out = next_edge(position, state.course_deg, speed.value, SQUARE)
        when = f" in {wording.age(way_out.seconds)}" if way_out.seconds is not None else ""
        yield _row("", f"this course: {way_out.side} edge {wording.distance(way_out.distance_m)}{when}", Ink.MUTED)


def light_rows(state: BoardState) -> Iterator[Row]:
    """Where magnetic north is, and when it gets dark. Needs a date."""
    position, utc = state.position, state.utc
    moment = utc.datetime() if utc else None
    if position is None or moment is None:
        return
    yield _row("magnetic", *_declination_words(_declination(_coarse(position), moment.date())))
    try:
        light = _light(_coarse(position), solar_date(position, moment))
    except ValueError:  # a year that the sun's formulas are not made for
        return
    yield _row("sun", f"rises {_clock(light.sunrise)}  sets {_clock(light.sunset)}  UTC", Ink.TEXT)
    # Under the sun, not under the twilight: it is of the sun that this is the direction.
    yield _row("", _sun_now(_coarse(position), moment.replace(second=0, microsecond=0)), Ink.MUTED)
    yield _row("twilight", f"civil, {_clock(light.civil_dawn)} to {_clock(light.civil_dusk)}  UTC", Ink.TEXT)
    for words in in_words(light):
        yield _row("", words, Ink.MUTED)


def _percent(probability: float) -> str:
    """Never 100 %: the error itself is an estimate."""
    if probability > SUREST:
        return f"more than {100 * SUREST:.0f} %"
    return f"{100 * probability:.0f} %"


def _row(label: str, text: str, ink: Ink) -> Row:
    return (Span(f"{label:<{LABEL}}", Ink.MUTED), Span(text, ink))


def _height(state: BoardState) -> tuple[float | None, float | None]:
    aged = state.snapshot.values.height
    return (aged.value.altitude_m, aged.value.geoid_separation_m) if aged else (None, None)


def _declination_words(found: Declination) -> tuple[str, Ink]:
    if found.zone == "blackout":
        return "no compass guidance here: too near the pole", Ink.WARN
    side = "E" if found.deg >= 0 else "W"
    caution = ", the compass is weak here" if found.zone == "caution" else ""
    old = "" if found.valid else ", outside the model's years"
    words = f"declination {abs(found.deg):.1f}° {side}, one sigma {found.uncertainty_deg:.1f}°{caution}{old}"
    return words, Ink.WARN if caution or old else Ink.TEXT


def _clock(moment: datetime | None) -> str:
    return f"{moment:%H:%M}" if moment else "-"


def _coarse(position: Position) -> Position:
    """To a hundredth of a degree: neither the field nor the light changes visibly within it."""
    return Position(round(position.latitude_deg, 2), round(position.longitude_deg, 2))


@lru_cache(maxsize=8)
def _forms(
    position: Position, altitude_m: float | None, separation_m: float | None, error_m: float | None
) -> dict[str, str]:
    return all_forms(position, altitude_m, separation_m, error_m)


@lru_cache(maxsize=8)
def _declination(position: Position, day: date) -> Declination:
    return declination(position, day)


@lru_cache(maxsize=8)
def _sun_now(position: Position, minute: datetime) -> str:
    """A direction to check a compass by, for a whole minute: the sun moves a quarter of a degree in it."""
    sun = sun_position(position, minute)
    side = "above" if sun.elevation_deg >= 0 else "below"
    return f"now {round(sun.azimuth_deg) % 360:03d}° true, {abs(sun.elevation_deg):.0f}° {side} the horizon"


@lru_cache(maxsize=8)
def _light(position: Position, day: date) -> SunDay:
    return sun_day(position, day)

"""Receivers that show a date 1024 weeks too early, or none at all yet.

GPS counts weeks in ten bits: after 1024 of them (7168 days) the count begins anew, and old firmware shows a date about
19.6 years ago, with the right time of day (check-values gps_time.json; rollovers 1999-08-22, 2019-04-07, 2038-11-21).
"""

from __future__ import annotations

from datetime import date

ROLLOVER_DAYS = 7168
BUILT_ON = date(2026, 11, 26)
"""Moved with each release: no receiver that is read now can rightly show a date before it."""
MARGIN_DAYS = 45
"""How far off the reference may be for a correction to be sure of its week count (common practice, no source)."""
FIRST_HONEST_DAY = date(1999, 8, 22)
"""The first rollover. Dates before it in anything recorded since are a receiver that does not know the date yet."""


def corrected_day(day: date, reference: date) -> date | None:
    """`day` moved by whole rollovers to `reference` (what the date roughly is); None where that does not fit.

    Only forward, and only if it then lands within `MARGIN_DAYS`: a date that is wrong in any other way stays
    wrong, and is said to be.
    """
    turns = round((reference - day).days / ROLLOVER_DAYS)
    if turns < 1:
        return None
    moved = day.toordinal() + turns * ROLLOVER_DAYS  # may lie beyond the last day that there is
    if moved > date.max.toordinal() or abs(moved - reference.toordinal()) > MARGIN_DAYS:
        return None
    return date.fromordinal(moved)


def is_too_early(day: date, reference: date | None) -> bool:
    """Whether a receiver cannot rightly show this date. `reference`: what the date roughly is, None where unknown."""
    if reference is None:
        return day < FIRST_HONEST_DAY
    return (reference - day).days > MARGIN_DAYS

"""The clock in words, for the board and for the shell: the same sentences in both."""

from __future__ import annotations

from datetime import date

from core.clock_report import ClockReport
from core.gps_time import CAVEAT, LEAP_SECONDS, gps_time, next_rollover
from tui import wording

ASSUMPTIONS = "It takes the receiver not to name the previous second, and not to be wrong by as much as this computer."


def seconds(value: float) -> str:
    """A length of time, as fine as it is worth."""
    size = abs(value)
    if size < 60:
        return f"{size:.2f} s"
    return wording.age(size) if size < 86_400 else f"{size / 86_400:,.1f} days"


def side(value: float) -> str:
    """An offset with its side, for example `0.12 s ahead of UTC`."""
    return f"{seconds(value)} {'ahead of' if value >= 0 else 'behind'} UTC"


def offset_words(report: ClockReport) -> str:
    """The offset between its bounds; the one bound that is certain; or that nothing is known."""
    if report.low_s is not None and report.high_s is not None:
        if report.low_s <= 0.0 <= report.high_s:
            return f"between {side(report.low_s)} and {side(report.high_s)}"
        return f"{side((report.low_s + report.high_s) / 2)}, give or take {seconds(_half(report))}"
    if report.at_most_s is not None:
        return f"not bounded from both sides; {at_most_words(report)}"
    return "not known"


def _half(report: ClockReport) -> float:
    return 0.0 if report.low_s is None or report.high_s is None else (report.high_s - report.low_s) / 2


def at_most_words(report: ClockReport) -> str:
    """What is certain whatever the latency."""
    if report.at_most_s is None:
        return ""
    if report.at_most_s < 0.0:
        return f"behind by {seconds(report.at_most_s)} or more, whatever the latency"
    return f"ahead by {seconds(report.at_most_s)} at most, whatever the latency"


def made_from_words(report: ClockReport) -> str:
    """What it rests on."""
    count = f"{report.epochs} seconds named in {wording.age(report.watched_s)}"
    if report.median_s is None or report.spread_s is None:
        return count
    return f"{count}; delays {report.median_s:+.2f} s in the middle, spread {report.spread_s:.2f} s"


def computer_words(report: ClockReport) -> str:
    """What the computer's clock said at that moment, its time of day in UTC."""
    if report.computer_s is None:
        return ""
    hundredths = int(report.computer_s % 86_400 * 100)
    whole, rest = divmod(hundredths, 100)
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}.{rest:02d}"


def gps_words(report: ClockReport) -> tuple[str, ...]:
    """Week, time of week, leap seconds and the next rollover; nothing without a date."""
    utc = report.utc
    if utc is None or utc.day is None:
        return ()
    now = gps_time(utc.day, utc.time_ms / 1000)
    if now is None:
        return ()
    since = max(day for day, _ in LEAP_SECONDS if day <= utc.day)
    return (
        f"GPS week {now.week} (sent as {now.week_sent}), time of week {now.tow_s:.0f} s",
        f"GPS time is {now.ahead_of_utc_s} s ahead of UTC since {since}, {CAVEAT}",
        *_rollover_words(utc.day),
    )


def _rollover_words(day: date) -> tuple[str, ...]:
    rollover = next_rollover(day)
    if rollover is None:
        return ()
    return (f"the week count begins anew at {rollover.utc:%Y-%m-%d %H:%M:%S} UTC (week {rollover.week})",)

"""The verdict's shares in words."""

from __future__ import annotations

from core.report.model import Report
from core.report.words import share
from core.trust import Verdict

MEANINGS = {
    Verdict.FIRM: "nothing speaks against it",
    Verdict.USABLE: "good enough to count by: mind the error",
    Verdict.DOUBTFUL: "a position, but something speaks against it",
    Verdict.NO_FIX: "no position of satellites",
}


def shares(report: Report) -> list[tuple[Verdict, int, str]]:
    """Each verdict, best first, with its epochs and their share of all."""
    counts: dict[str, int] = report.digest["verdicts"]
    whole = sum(counts.values())
    return [(verdict, counts[verdict.words], share(counts[verdict.words], whole)) for verdict in reversed(Verdict)]


def shares_in_words(report: Report) -> str:
    """All of them in a line, those that did not come left out."""
    return ", ".join(f"{verdict.words} {percent}" for verdict, count, percent in shares(report) if count)

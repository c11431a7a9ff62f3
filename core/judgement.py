"""The verdict from epoch to epoch: gathers the evidence, applies the rules, holds the word steady."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from core.accuracy import ErrorModel
from core.evidence import NO_PAST, How, Past, evidence, gather
from core.fix import Fix
from core.trust import TOP_REASONS, Held, Trust, Verdict, hold, judge
from core.trust_rules import RULES


class Judgement:
    """Judges epochs in their order."""

    def __init__(self, model: ErrorModel, reference: date | None = None, *, steady: bool = True) -> None:
        """`reference`: what the date roughly is, for receivers that show a wrong one; None where nobody knows.

        `steady`: hold the word from epoch to epoch. Not for a single look, which has no past to be steady with.
        """
        self._steady = steady
        self._model = model
        self.reference = reference
        self._past: Past = NO_PAST
        self._held = Held()

    def take(self, fix: Fix, at_s: float) -> Trust:
        """The verdict on the next epoch."""
        self._past, self._held, trust = self._after(self._past, self._held, fix, at_s)
        return trust

    def look_ahead(self, moments: list[tuple[Fix, float]]) -> Trust | None:
        """The verdict on the last of epochs that are not finished; leaves no trace."""
        past, held, trust = self._past, self._held, None
        for fix, at_s in moments:
            past, held, trust = self._after(past, held, fix, at_s)
        return trust

    def _after(self, past: Past, held: Held, fix: Fix, at_s: float) -> tuple[Past, Held, Trust]:
        past = gather(past, fix, at_s, self._model)
        found = judge(evidence(past, fix, How(self._model, self.reference, held.shown)), RULES)
        if not self._steady:
            return past, Held(found.verdict), found
        held = hold(held, found.verdict, past.now_s)
        return past, held, _shown(found, held.shown)


def _shown(trust: Trust, shown: Verdict) -> Trust:
    """The steady word in the place of the momentary one, and that first: the other reasons do not explain it."""
    if shown is trust.verdict:
        return trust
    return replace(trust, verdict=shown, reasons=("better for a moment only, so far", *trust.reasons)[:TOP_REASONS])

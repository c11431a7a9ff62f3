"""From autonomous to corrected: SBAS by satellite, RTK from a base station, float first and then fixed.

Times are common practice without a source, except the ages: corrections are ideal up to 10 s and suspect beyond 30 to
60 s (trade-facts.md a, ages).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from core.fix import FixMode
from core.rehearsal.ranging import ErrorBudget, blended

SBAS_READ_S = 20.0
"""Unbroken reading of an SBAS satellite that gives a usable set of corrections."""
SBAS_AGE_S = 60.0
RTK_LATENCY_S = 5.0
"""From the first message of the base to a float solution."""
RTK_FIX_S = 40.0
"""Of float, with good satellites without a gap, to fixed integers."""
RTK_FIXED_AGE_S = 10.0
RTK_FLOAT_AGE_S = 60.0
SETTLING_S = {FixMode.AUTONOMOUS: 20.0, FixMode.DIFFERENTIAL: 20.0, FixMode.RTK_FLOAT: 6.0, FixMode.RTK_FIXED: 0.5}
"""Time constant with which errors take the size of a new mode: filters forget the old one; fixed integers jump."""


class Corrected(NamedTuple):
    """How this epoch's position was corrected."""

    mode: FixMode
    age_s: float | None = None
    by_base: bool = False


class Links(NamedTuple):
    """Which corrections come in at this epoch."""

    sbas: bool
    rtk: bool


AUTONOMOUS = Corrected(FixMode.AUTONOMOUS)


class Corrections:
    """Steps from epoch to epoch with what comes in and what was solved."""

    def __init__(self) -> None:
        self._sbas_age_s = self._rtk_age_s = math.inf
        self._float_s = self._link_s = 0.0

    def step(self, dt_s: float, links: Links, *, good: bool) -> Corrected:
        """The mode of this epoch's solution; `good`: enough satellites, well spread, that agree, for carrier phase."""
        self._hear(dt_s, links)
        self._float_s = self._float_s + dt_s if good and self._rtk_lives else 0.0
        if good and self._rtk_lives:
            return Corrected(self._rtk_mode, self._rtk_age_s, by_base=True)
        if self._sbas_age_s <= SBAS_AGE_S:
            return Corrected(FixMode.DIFFERENTIAL, self._sbas_age_s)
        return AUTONOMOUS

    def lose(self, dt_s: float, links: Links) -> None:
        """An epoch without a position: integers must be found again."""
        self._hear(dt_s, links)
        self._float_s = 0.0

    @property
    def _rtk_lives(self) -> bool:
        return self._rtk_age_s <= RTK_FLOAT_AGE_S and self._link_s >= RTK_LATENCY_S

    @property
    def _rtk_mode(self) -> FixMode:
        fixed = self._float_s >= RTK_FIX_S and self._rtk_age_s <= RTK_FIXED_AGE_S
        return FixMode.RTK_FIXED if fixed else FixMode.RTK_FLOAT

    def _hear(self, dt_s: float, links: Links) -> None:
        self._sbas_age_s = 0.0 if links.sbas else self._sbas_age_s + dt_s
        self._rtk_age_s = 0.0 if links.rtk else self._rtk_age_s + dt_s
        self._link_s = self._link_s + dt_s if self._rtk_age_s <= RTK_FLOAT_AGE_S else 0.0


class Settling:
    """The error budget in force: that of the mode, reached by degrees."""

    def __init__(self, budgets: Mapping[FixMode, ErrorBudget]) -> None:
        self._budgets = budgets
        self.budget = budgets[FixMode.AUTONOMOUS]

    def step(self, mode: FixMode, dt_s: float) -> None:
        """One epoch towards the budget of `mode`; without a position it stays."""
        target = self._budgets.get(mode)
        if target is not None and target is not self.budget:
            share = dt_s / (SETTLING_S[mode] + dt_s)
            self.budget = blended(self.budget, target, share)

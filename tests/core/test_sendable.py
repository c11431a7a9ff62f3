"""Nothing goes on the air by itself that is no current satellite fix of a live receiver: every other case is told."""

from __future__ import annotations

from itertools import product

import pytest

from core.aprs.sendable import Whence, why_not_sent
from core.fix import SATELLITE_FIX_MODES, FixMode
from core.sources.source import SourceKind
from core.trust import Verdict

GOOD = Whence(SourceKind.LIVE, True, FixMode.AUTONOMOUS, Verdict.USABLE)


def test_only_current_satellite_fixes_of_a_live_receiver_that_are_no_worse_than_usable_may_go() -> None:
    for one in map(Whence._make, product(SourceKind, (True, False), FixMode, Verdict)):
        may_go = (
            one.kind is SourceKind.LIVE
            and one.is_current
            and one.mode in SATELLITE_FIX_MODES
            and one.verdict >= Verdict.USABLE
        )
        assert (why_not_sent(one) == "") is may_go, one


@pytest.mark.parametrize(
    ("whence", "said"),
    [
        (GOOD, ""),
        (GOOD._replace(kind=SourceKind.HELD), "a held place is no fix"),
        (GOOD._replace(kind=SourceKind.NOTHING), "no receiver is open"),
        (GOOD._replace(kind=SourceKind.REPLAY), "this is a recording, not now"),
        (GOOD._replace(kind=SourceKind.REHEARSAL), "this is a recording, not now"),
        (GOOD._replace(kind=SourceKind.TRACK), "this is a recording, not now"),
        (GOOD._replace(is_current=False), "there is no current position"),
        (GOOD._replace(mode=FixMode.MANUAL), "the position is manual, no satellite fix"),
        (GOOD._replace(verdict=Verdict.DOUBTFUL), "the fix is doubtful"),
    ],
)
def test_why_not_is_said_in_words(whence: Whence, said: str) -> None:
    assert why_not_sent(whence) == said

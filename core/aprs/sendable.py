"""Whether a position may go on the air by itself, text after text, with nobody looking at each.

Others take a position on the air for where somebody is now, and it cannot be called back. So nothing goes that is not a
current satellite fix of a live receiver with a verdict better than doubtful: not void, not stale, not a held place (a
fixed station's text is copied by hand, knowingly), not a recording. Then nothing is sent at all, and it is said why; a
report with an old place would be believed, a missing one is asked about.
"""

from __future__ import annotations

from typing import NamedTuple

from core.fix import SATELLITE_FIX_MODES, FixMode
from core.sources.source import SourceKind
from core.trust import Verdict


class Whence(NamedTuple):
    """Where a position comes from."""

    kind: SourceKind
    is_current: bool
    mode: FixMode
    verdict: Verdict


def why_not_sent(whence: Whence) -> str:
    """In words; empty where the position may go."""
    if whence.kind is SourceKind.HELD:
        return "a held place is no fix"
    if whence.kind is not SourceKind.LIVE:
        return "this is a recording, not now" if whence.kind.is_recorded else "no receiver is open"
    if not whence.is_current:
        return "there is no current position"
    if whence.mode not in SATELLITE_FIX_MODES:
        return f"the position is {whence.mode.replace('_', ' ')}, no satellite fix"
    return "the fix is doubtful" if whence.verdict < Verdict.USABLE else ""

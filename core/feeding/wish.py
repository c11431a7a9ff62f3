"""What the user wants of a feed, as it was typed or stands in the settings: nothing of it is checked yet."""

from __future__ import annotations

from typing import NamedTuple


class FeedWish(NamedTuple):
    """Checked by `core.feeding.plan.feed_plan`."""

    to: tuple[str, ...] = ()
    """Addresses; the usual one where there is none."""
    form: str = "auto"
    """Or `raw`, `rebuilt`."""
    types: str = ""
    """Separated by commas or blanks."""
    rate_hz: float | None = None
    talker: str = ""


NO_WISH = FeedWish()
"""All as usual."""

"""A clipboard is nobody's own words: it may hold escapes, and a line to type into would send them to the terminal."""

from __future__ import annotations

from textual import events

from core.safe_text import as_typed
from tui.least_room import RoomyApp


class PastingApp(RoomyApp):
    """Takes of what is pasted only what could have been typed, whichever line it is pasted into."""

    async def on_event(self, event: events.Event) -> None:
        """Everything but a paste as it is."""
        await super().on_event(events.Paste(as_typed(event.text)) if isinstance(event, events.Paste) else event)

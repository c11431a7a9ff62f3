"""The board with waypoints in its file. Names and places are invented."""

from __future__ import annotations

from pathlib import Path

from core.fix import Position
from core.waypoints import Waypoint, Waypoints
from tests.tui.support import board_app, screen_rows
from tui.app import FixboardApp
from tui.panes.place_form import PlaceForm
from tui.panes.place_list import PlaceListPane

FORD = Waypoint("Ford of Quennet", Position(10.5, -20.2), note="cross before noon", kind="crossing")


def filled(folder: Path, *waypoints: Waypoint) -> FixboardApp:
    Waypoints(folder / "waypoints.gpx").add_all(waypoints)
    return board_app(folder)


def listed(app: FixboardApp) -> str:
    """The list alone, without the details beside it."""
    pane = app.screen.query_one(PlaceListPane)
    return "\n".join(row[: pane.region.right] for row in screen_rows(app))


def saved(folder: Path) -> list[Waypoint]:
    return list(Waypoints(folder / "waypoints.gpx").all())


def form(app: FixboardApp) -> PlaceForm:
    return app.screen.query_one(PlaceForm)

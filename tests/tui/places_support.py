"""The board with waypoints in its file. Names and places are invented."""

from __future__ import annotations

from pathlib import Path

from core.fix import Position
from core.waypoints import Waypoint, Waypoints
from tests.tui.support import board_app
from tui.app import FixboardApp
from tui.panes.place_form import PlaceForm

FORD = Waypoint("Ford of Quennet", Position(10.5, -20.2), note="cross before noon", kind="crossing")


def filled(folder: Path, *waypoints: Waypoint) -> FixboardApp:
    Waypoints(folder / "waypoints.gpx").add_all(waypoints)
    return board_app(folder)


def saved(folder: Path) -> list[Waypoint]:
    return list(Waypoints(folder / "waypoints.gpx").all())


def form(app: FixboardApp) -> PlaceForm:
    return app.screen.query_one(PlaceForm)

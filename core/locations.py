"""Every path that fixboard uses of its own accord.

    waypoints.gpx (+ waypoints.gpx.bak)   the user's places; .waypoints.gpx.lock while one writes, and after;
                                          a damaged file as waypoints.DATE.gpx
    recordings/*.nmea, *.nmea.gz          what the recorder wrote
    recordings/logbook.json (+ .bak)      the user's names and notes on sessions; a damaged one as logbook.DATE.json
    recordings/summaries.json             what the sessions hold, worked out before: may be deleted at any time
    recordings/deleted/                   deleted sessions, until the user removes them
    trip.csv, trip.json, trip.DATE.csv    the trip under way, and tracks of those before
    averaging.csv, .json, .DATE.csv       the averaging under way, and those that were ended
    stations/*.csv, *.gpx, *.geojson ...  the user's lists of radio stations; fixboard only copies lists into it
    latency.json                          latencies learned with receivers, for `fixboard clock`
    board.toml                            what the board remembers between two runs; a damaged one as board.DATE.toml
    settings.toml                         what the user has set (+ .bak); written by the settings screen alone

A hidden file that ends in .fixboard.part is one that is being written; what a crash leaves of such goes with the next
save. All in one folder: FIXBOARD_DATA, else the system's place for a user's data.

The environment is passed in, so that tests (and Windows, and macOS) need no special case.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from core.errors import InputError


@dataclass(frozen=True, slots=True)
class Locations:
    """Folders of one user. None of them need exist yet."""

    data: Path
    recordings_at: Path | None = None
    """Where the settings want recordings; None: in `data`."""
    stations_at: Path | None = None
    """The same of lists of stations."""

    @property
    def waypoints(self) -> Path:
        """The user's places, GPX 1.1."""
        return self.data / "waypoints.gpx"

    @property
    def settings(self) -> Path:
        """What the user has set."""
        return self.data / "settings.toml"

    @property
    def recordings(self) -> Path:
        """Where the recorder writes."""
        return self.recordings_at or self.data / "recordings"

    @property
    def stations(self) -> Path:
        """Lists of radio stations, the user's own."""
        return self.stations_at or self.data / "stations"

    @property
    def latencies(self) -> Path:
        """What was learned with receivers, at home."""
        return self.data / "latency.json"

    @property
    def board(self) -> Path:
        """Target, notation and theme of the last run."""
        return self.data / "board.toml"


NO_HOME = Path(os.devnull) / "no-home-folder"
"""Stands for the home of somebody who has none: nothing can be read there, nor written, whoever one is."""


def own_locations(environment: Mapping[str, str], platform: str) -> Locations:
    """Where the files of whoever runs this program lie; below `NO_HOME` where the system knows no home for them.

    Raises InputError where FIXBOARD_DATA names the home of somebody who is not known.
    """
    try:
        home = Path.home()
    except RuntimeError:  # HOME is not set, and the system does not know this user, as in a container
        home = NO_HOME
    return locations(environment, platform, home)


def locations(environment: Mapping[str, str], platform: str, home: Path) -> Locations:
    """Where this user's files lie: FIXBOARD_DATA where set, else by the system's custom.

    `platform` is `sys.platform`. Linux and the like: XDG Base Directory Specification; macOS and Windows: their makers'
    guidelines (from memory).
    """
    chosen = environment.get("FIXBOARD_DATA")
    if chosen:
        try:
            return Locations(Path(chosen).expanduser())
        except RuntimeError as error:  # the way Path says that it knows no such user
            raise InputError(f"FIXBOARD_DATA is {chosen}: there is no such home folder, name another") from error
    if platform == "win32":
        return Locations(Path(environment.get("APPDATA") or home / "AppData" / "Roaming") / "fixboard")
    if platform == "darwin":
        return Locations(home / "Library" / "Application Support" / "fixboard")
    xdg = environment.get("XDG_DATA_HOME", "")
    base = Path(xdg) if Path(xdg).is_absolute() else home / ".local" / "share"
    return Locations(base / "fixboard")

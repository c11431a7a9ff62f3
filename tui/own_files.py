"""The user's settings for the commands of the shell: where their files lie, and which units they read."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from typing import TYPE_CHECKING

from core.locations import Locations, own_locations
from core.units import METRIC, use

if TYPE_CHECKING:
    from core.settings import Settings


def own_files(*, quietly: bool = False) -> Locations:
    """With the folders that the settings name. `quietly`: what is wrong in the settings is told by somebody else."""
    places = own_locations(os.environ, sys.platform)
    folders = _settings(places, quietly=quietly).folders
    return replace(places, recordings_at=folders.recordings, stations_at=folders.stations)


def speak_own_units(*, json: bool = False) -> None:
    """Write in the units that the settings name from now on. `json`: for programs, which get SI alone."""
    use(METRIC if json else _settings(own_locations(os.environ, sys.platform)).units)


def _settings(places: Locations, *, quietly: bool = False) -> Settings:
    """Raises InputError where anything in them is wrong: a command that went on would go by half of what was meant."""
    from core.settings import read_settings, usable_settings

    return usable_settings(places.settings)[0] if quietly else read_settings(places.settings)

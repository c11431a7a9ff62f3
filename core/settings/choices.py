"""What the settings come to: one frozen record a table, with what stands without it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from core.accuracy import ErrorModel
from core.feeding.wish import NO_WISH, FeedWish
from core.settings.table import ALERT_EVENTS, PANES
from core.track_rule import USUAL_RULE, TrackRule
from core.units import METRIC, Units

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.blur import Home


@dataclass(frozen=True, slots=True)
class BoardChoices:
    """How the board looks at first; what is empty is as usual, or as it was left."""

    theme: str = ""
    """dark, daylight, night."""
    notation: str = ""
    """Of positions: decimal, degrees_minutes, degrees_minutes_seconds."""
    bearings: str = ""
    """true, magnetic, grid."""
    orientation: str = ""
    """north-up, course-up, head-up."""
    panes: tuple[str, ...] = PANES
    """Those that are shown where there is room."""
    chart_span: str = ""
    """As in `CHART_SPANS`."""


@dataclass(frozen=True, slots=True)
class AlertChoices:
    """When to ring."""

    bell: str = ""
    """on, off, live; empty: live, or as it was left."""
    events: tuple[str, ...] = ALERT_EVENTS


@dataclass(frozen=True, slots=True)
class RecorderChoices:
    """How to record."""

    always: bool = False
    """Live sources from the start."""
    exact: bool = False
    """Bytes exactly as received."""
    compress: bool = False
    """Each file once it is complete."""


@dataclass(frozen=True, slots=True)
class FolderChoices:
    """Where files lie; None: beside the settings."""

    recordings: Path | None = None
    stations: Path | None = None


@dataclass(frozen=True, slots=True)
class PositionChoices:
    """How to write a position."""

    pin_digits: bool = False
    """Always to about a metre, whatever the 95 % error."""


@dataclass(frozen=True, slots=True)
class DarkChoices:
    """What is kept in hand when the time to turn back is worked out."""

    margin_min: float = 30.0
    """Minutes, 0 to 600."""
    factor: float = 1.25
    """Times as long as estimated, 1 to 2."""


@dataclass(frozen=True, slots=True)
class StationChoices:
    """What radio stations are held against."""

    antenna_m: float | None = None
    """Height of the user's own antenna above the land (or sea) around, 0 to 9000; None: unknown."""


@dataclass(frozen=True, slots=True)
class ReportChoices:
    """How a position is read out."""

    leading_zeros: bool | None = None
    """Of degrees and minutes; None: as the listener's service has it."""


@dataclass(frozen=True, slots=True)
class PowerChoices:
    """What is done about the battery."""

    saving_on_battery: bool = False
    """Whether the board saves power by itself while the computer runs on its battery."""


@dataclass(frozen=True, slots=True)
class Settings:
    """All of them."""

    errors: ErrorModel = field(default_factory=ErrorModel)
    units: Units = METRIC
    board: BoardChoices = BoardChoices()
    alerts: AlertChoices = AlertChoices()
    recorder: RecorderChoices = RecorderChoices()
    folders: FolderChoices = FolderChoices()
    position: PositionChoices = PositionChoices()
    track: TrackRule = USUAL_RULE
    before_dark: DarkChoices = DarkChoices()
    stations: StationChoices = StationChoices()
    report: ReportChoices = ReportChoices()
    home: Home | None = None
    feed: FeedWish = NO_WISH
    power: PowerChoices = PowerChoices()
    keys: Mapping[str, str] = field(default_factory=dict)
    """Keys by the command's id, as the user wrote them."""

"""The drawn panes, bound to the board's state."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import lru_cache

from textual.reactive import reactive

from core.aged import Freshness
from core.fix import Position
from tui import wording
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.panes.compass import CompassPane, CompassView
from tui.panes.dial import up_span
from tui.panes.position import no_course
from tui.panes.sky import SkyPane, SkyView
from tui.state import BoardState, Orientation


class BoardSky(SkyPane):
    """The sky as the state has it."""

    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        self.show(sky_view(self.state))


class BoardCompass(CompassPane):
    """The compass as the state has it."""

    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        view = compass_view(self.state)
        self.show(view)
        wanted = self.state.orientation
        turned = self.state.turned_by is wanted
        aside = up_span(view.up_deg, stale=view.stale) if turned else Span(_NOT_TURNED[wanted], Ink.WARN)
        if aside != self.aside:
            self.aside = aside
            self.repaint()


_NOT_TURNED = {
    Orientation.COURSE_UP: "no sure course: north-up",
    Orientation.HEAD_UP: "no heading: north-up",
    Orientation.NORTH_UP: "",
}


def sky_view(state: BoardState) -> SkyView:
    """Satellites while they may be shown, and how they are turned."""
    sky, up = state.snapshot.sky, round(state.up_deg)
    if state.is_held:
        return SkyView((), up, note="A held place: no receiver, no satellites")
    freshness = sky.freshness(state.now_s) if sky else Freshness.GONE
    if sky is None or freshness is Freshness.GONE:
        return SkyView((), up, note="No satellites reported yet" if sky is None else "Satellites no longer reported")
    return SkyView(sky.value, up, freshness is Freshness.STALE, "The receiver reports no satellite in view")


def compass_view(state: BoardState) -> CompassView:
    """Course, heading and target."""
    guidance = state.guidance
    return CompassView(
        up_deg=round(state.up_deg),
        up_name=state.turned_by.value,
        course_deg=state.course_deg,
        course_sure=state.is_course_sure,
        heading_deg=state.heading_deg,
        target_bearing_deg=guidance.bearing_deg if guidance else None,
        target_name=state.target.name if state.target else "",
        target_distance=wording.distance(guidance.distance_m) if guidance else "",
        turn=wording.turn(guidance.turn_deg) if guidance and guidance.turn_deg is not None else "",
        stale=guidance is not None and not state.is_current,
        note=no_course(state),
        sun_deg=_sun_deg(state),
        cross_track_m=_cross_track(state),
    )


def _cross_track(state: BoardState) -> float | None:
    """Distance from the leg, right positive; none where the position is not that of the walker now."""
    return state.going.cross_track_m if state.is_current and not state.is_held else None


def _sun_deg(state: BoardState) -> float | None:
    """Where the sun stands, while its upper rim is above the horizon; None without a place or a date."""
    position, utc = state.position, state.utc
    moment = utc.datetime() if utc else None
    if position is None or moment is None:
        return None
    coarse = Position(round(position.latitude_deg, 2), round(position.longitude_deg, 2))
    return _sun_azimuth(coarse, round(moment.timestamp() / _SUN_STEP_S))


_SUN_STEP_S = 10
"""The sun moves by 0.04 degrees of its circle in it: far less than the rose can show. Near the zenith its azimuth runs
faster, but there it points nowhere."""


@lru_cache(maxsize=8)
def _sun_azimuth(position: Position, step: int) -> float | None:
    from core.places.sun import SUNRISE_DEG, sun_position

    try:
        sun = sun_position(position, datetime.fromtimestamp(step * _SUN_STEP_S, UTC))
    except (ValueError, OverflowError, OSError):  # a year that the sun's formulas are not made for, or no calendar has
        return None
    return sun.azimuth_deg if sun.elevation_deg > SUNRISE_DEG else None

"""One fix as a flat object for scripts."""

from __future__ import annotations

from typing import Any

from core.aged import Aged, Freshness
from core.course import SURE
from core.fix import Fix, Satellite
from core.model import Snapshot


def now_json(snapshot: Snapshot, now_s: float, source: str) -> dict[str, Any]:
    """The object of contract.md's `now`; unknown is None.

    `snapshot` is the state at the fix, `now_s` the source's clock now. What does not come with every epoch (height or
    satellites of a receiver that sends them every fifth second) is given while it is fresh by its own usual interval.
    """
    fix, values, at_s = snapshot.fix, snapshot.values, snapshot.at_s
    height = _fresh(values.height, at_s)
    mode = _fresh(values.mode, at_s)
    dops = _fresh(values.dops, at_s)
    return {
        "utc": fix.utc.iso() if fix.utc else None,
        "latitude": round(fix.position.latitude_deg, 9) if fix.position else None,
        "longitude": round(fix.position.longitude_deg, 9) if fix.position else None,
        "altitude_m": height.altitude_m if height else None,
        "geoid_separation_m": height.geoid_separation_m if height else None,
        "speed_mps": None if fix.speed_mps is None else round(fix.speed_mps, 3),
        "course_true": _course(fix),
        "mode": str(fix.mode),
        "dimensions": fix.dimensions or (mode.dimensions if mode else None),
        "satellites_in_fix": _fresh(values.in_fix, at_s),
        "satellites_in_view": _in_view(_fresh(snapshot.sky, at_s)),
        "hdop": dops.hdop if dops else None,
        "age_s": round(max(0.0, now_s - at_s), 3) if fix.position else None,
        "source": source,
        "verdict": snapshot.trust.verdict.words,
        "reasons": list(snapshot.trust.reasons),
        "error_95_m": snapshot.trust.error.as_json(),
    }


def _in_view(sky: tuple[Satellite, ...] | None) -> int | None:
    """None where no GSV told it: those that are only listed as used say nothing of the view."""
    seen = sum(map(_is_in_view, sky or ()))
    return None if sky is None or (sky and not seen) else seen


def _is_in_view(satellite: Satellite) -> bool:
    """Listed as used alone is not reported in view."""
    return any(figure is not None for figure in satellite[1:4]) or not satellite.in_fix


def _fresh(aged: Aged[Any] | None, now_s: float) -> Any:
    return aged.value if aged and aged.freshness(now_s) is Freshness.FRESH else None


def _course(fix: Fix) -> float | None:
    """None below the speed from which a course can be trusted."""
    if fix.course_deg is None or fix.speed_mps is None or fix.speed_mps < SURE.enter_mps:
        return None
    return round(fix.course_deg, 2)

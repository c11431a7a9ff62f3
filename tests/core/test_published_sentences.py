"""59 published sentences with the values that their sources give, against what the decoder makes of them."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from core.fix import FixMode, Heard
from core.nmea.fields import KNOT_MPS
from core.nmea.framing import Framer, Reason, Rejected, Sentence
from core.nmea.readings import Gbs, Gns, Gsa, Heading, Text
from tests.played import QUALITY, read

PUBLISHED: list[dict[str, Any]] = json.loads(
    (Path(__file__).parents[1] / "data" / "nmea_sentences.json").read_text("utf-8")
)["sentences"]
NOT_USED = {"RMB", "APB", "XTE", "WPL", "RTE", "BOD", "BWC"}
"""Types that fixboard has no use for: framed, counted, not decoded."""

# Independent of core: nmea-facts.toml [mode_indicator] and [[satellite_numbers]].
MODES = {"A": "autonomous", "D": "differential", "N": "none"}


def milliseconds(text: str) -> int:
    hours, minutes, seconds = text.split(":")
    return round((int(hours) * 60 + int(minutes)) * 60_000 + float(seconds) * 1000)


def name(address: str, number: int, system_id: int | None) -> str:
    """For the numbers that the published sentences have."""
    if number in {194, 195}:
        return f"J{number - 192:02d}"
    if system_id == 2:
        return f"R{number - 64:02d}"
    return {"GP": "G", "BD": "C", "GA": "E"}[address[:2]] + f"{number:02d}"


def unless_placeholder(value: float) -> float | None:
    return None if value >= 99.9 else value


Check = Callable[[Any, Any, dict[str, Any]], bool]


def _mode(reading: Any, stated: str, _: dict[str, Any]) -> bool:
    if isinstance(reading, Gsa):
        return stated in {"A", "M"}  # automatic or manual choice of 2D and 3D: not kept
    if isinstance(reading, Heading):
        return (reading.true_deg is not None) == (stated in {"A", "E"})
    if isinstance(reading, Gns):
        return bool(reading.mode == MODES[min(stated)])
    return bool(reading.mode == MODES[stated])


def _status(reading: Any, stated: str, _: dict[str, Any]) -> bool:
    return (reading.mode is FixMode.NONE) == (stated != "A")


def _sats(reading: Any, stated: list[Any], decoded: dict[str, Any]) -> bool:
    address = decoded["address"]
    if isinstance(reading, Gsa):
        return list(reading.satellites) == [name(address, n, decoded.get("system_id")) for n in stated]
    return list(reading.satellites) == [Heard(name(address, n, None), *rest) for n, *rest in stated]


def _failed(reading: Any, stated: int | None, decoded: dict[str, Any]) -> bool:
    expected = None if stated is None else name(decoded["address"], stated, None)
    return bool(reading.faults.failed_satellite == expected)


def _station(reading: Any, stated: str, _: dict[str, Any]) -> bool:
    return bool(reading.correction_station == (None if stated == "0000" else stated))


def _place(reading: Any, stated: float | None, which: int) -> bool:
    if stated is None:
        return reading.position is None
    return bool(reading.position[which] == pytest.approx(stated, abs=6e-8))  # some are printed with seven decimals


def _attribute(path: str, convert: Callable[[Any], Any] = lambda value: value) -> Check:
    def check(reading: Any, stated: Any, _: dict[str, Any]) -> bool:
        value = reading
        for part in path.split("."):
            value = getattr(value, part)
        expected = None if stated is None else convert(stated)
        return bool(value == (pytest.approx(expected) if isinstance(expected, float) else expected))

    return check


CHECKS: dict[str, Check] = {
    "time": _attribute("time_ms", milliseconds),
    "utc": lambda r, s, _: f"{r.day}T" == s[:11] and r.time_ms == milliseconds(s[11:-1]),
    "date": _attribute("day", date.fromisoformat),
    "lat": lambda r, s, _: _place(r, s, 0),
    "lon": lambda r, s, _: _place(r, s, 1),
    "quality": lambda r, s, _: r.mode == QUALITY[s],
    "status": _status,
    "mode": _mode,
    "fix": _attribute("dimensions"),
    "satellites": _attribute("satellites"),
    "sats": _sats,
    "hdop": _attribute("hdop", unless_placeholder),
    "pdop": _attribute("pdop"),
    "vdop": _attribute("vdop"),
    "alt_msl_m": _attribute("altitude_m"),
    "geoid_sep_m": _attribute("geoid_separation_m"),
    "age_s": _attribute("correction_age_s"),
    "dgps_station": _station,
    "speed_kn": _attribute("speed_mps", lambda knots: knots * KNOT_MPS),
    "course": _attribute("course_deg"),
    "course_true": _attribute("course_deg"),
    "heading_true": _attribute("true_deg"),
    "nav_status": lambda r, s, _: r.navigational_status == (None if s == "V" else s),
    "range_rms": _attribute("noise.range_rms_m"),
    "major": _attribute("noise.semi_major_m"),
    "minor": _attribute("noise.semi_minor_m"),
    "orient": _attribute("noise.orientation_deg"),
    "sigma_lat": _attribute("noise.latitude_m"),
    "sigma_lon": _attribute("noise.longitude_m"),
    "sigma_alt": _attribute("noise.altitude_m"),
    "err_lat": _attribute("faults.latitude_m"),
    "err_lon": _attribute("faults.longitude_m"),
    "err_alt": _attribute("faults.altitude_m"),
    "failed_sat": _failed,
    "datum": _attribute("code"),
    "text": _attribute("text"),
    "severity": _attribute("severity", lambda number: f"{number:02d}"),
    "signal_id": lambda r, s, _: isinstance(r, Gbs) or r.signal == s,
    "system_id": lambda r, s, _: isinstance(r, Gbs) or r.system == " GRECJI"[s],
    # Pages of a TXT are shown as they come; of GSV the number of pages and the page.
    "total": lambda r, s, _: isinstance(r, Text) or r.pages == s,
    "number": lambda r, s, _: isinstance(r, Text) or r.page == s,
}
NOT_KEPT = {
    "note", "variation", "course_mag", "speed_kmh", "zone_h", "zone_min", "in_view", "bias", "sigma", "system",
    "reference", "lat_offset_min", "lon_offset_min", "alt_offset_m",
}  # fmt: skip
"""What fixboard has no use for, or has from another field."""


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row["sentence"])
def test_published_sentences(row: dict[str, Any]) -> None:
    body = row["sentence"][1:].partition("*")[0]
    address = body.partition(",")[0]
    reading = read(body)
    if address[2:] in NOT_USED:
        assert reading is None
        return
    decoded: dict[str, Any] = row["decoded"]
    assert decoded
    for key, stated in decoded.items():
        if key not in NOT_KEPT:
            assert CHECKS[key](reading, stated, decoded | {"address": address}), (key, stated, reading)


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row["sentence"])
def test_checksums_of_published_sentences(row: dict[str, Any]) -> None:
    (event,) = Framer().feed(f"{row['sentence']}\r\n".encode())
    assert isinstance(event, Sentence) == row["checksum_ok"]
    assert len(row["sentence"]) + 2 == row["length"]
    if isinstance(event, Rejected):
        assert event.reason is Reason.BAD_CHECKSUM
        assert event.detail.endswith(row["computed_checksum"])


def test_there_are_59_of_them_and_one_does_not_verify() -> None:
    assert len(PUBLISHED) == 59
    assert [row["sentence"][1:6] for row in PUBLISHED if not row["checksum_ok"]] == ["GPGBS"]

"""What a recording holds: keys as promised, sums worked out by hand, nothing counted twice."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.digest import digest
from core.fix import Utc
from core.steps import clock_step_s
from tests.build import clock, gga, gsv, line, lines, rmc
from tests.contract import check_digest
from tests.recordings import FOLDER

DATA = Path(__file__).parents[1] / "data" / "synthetic"
FILES = sorted(path for folder in (DATA, FOLDER) if folder.is_dir() for path in folder.glob("*.*"))
ENOUGH = 200_000
"""Bytes of each: the longest of the real recordings would take seconds."""
KNOT_MPS = 0.514444
MINUTE_OF_LATITUDE_AT_10_5_M = 1843.5
"""On WGS 84, to half a metre: 111,132.95 - 559.85 cos 2B + 1.17 cos 4B metres a degree (from memory)."""


def of(data: bytes, require: bool = True) -> dict[str, Any]:
    found = digest([data], require, lambda: None)
    check_digest(found)
    return found


def moving(second: float, minutes: float, status: str = "A", mode: str = "A") -> bytes:
    """An RMC at 10 degrees and so many minutes north, 20 degrees west, at 10 knots."""
    where = f"10{minutes:07.4f},N,02000.0000,W,10.0,0.0" if status == "A" else ",,,,,"
    return line(f"GNRMC,{clock(second)},{status},{where},040531,,,{mode}")


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_recording_has_every_key_and_no_other(path: Path) -> None:
    found = of(path.read_bytes()[:ENOUGH], require=False)
    assert json.loads(json.dumps(found, allow_nan=False)) == found
    assert found["epochs_with_fix"] <= found["epochs"] == sum(found["modes"].values())
    assert (found["first_fix"] is None) == (found["last_fix"] is None) == (found["epochs_with_fix"] == 0)


def test_of_nothing_nothing_is_known() -> None:
    found = of(b"")
    assert found["sentences"] == dict.fromkeys(
        ("good", "bad_checksum", "no_checksum", "other_rejected", "malformed"), 0
    )
    assert (found["types"], found["modes"], found["epochs"], found["epochs_with_fix"]) == ({}, {}, 0, 0)
    unknown = (
        "first_fix",
        "last_fix",
        "satellites_in_view_max",
        "max_speed_mps",
        "distance_raw_m",
        "distance_m",
        "duration_s",
    )
    assert {name: found[name] for name in unknown} == dict.fromkeys(unknown)


def test_a_short_walk_by_hand() -> None:
    found = of(b"".join(moving(n, 30 + n) + line(gsv(1, 1, 1, 2, 3)) for n in range(4)))
    assert found["types"] == {"GNRMC": 4, "GPGSV": 4}
    assert found["modes"] == {"autonomous": 4}
    assert (found["epochs"], found["epochs_with_fix"]) == (4, 4)
    assert found["first_fix"] == {"utc": "2031-05-04T00:00:00.000Z", "latitude": 10.5, "longitude": -20.0}
    assert found["last_fix"] == {"utc": "2031-05-04T00:00:03.000Z", "latitude": 10.55, "longitude": -20.0}
    assert found["satellites_in_view_max"] == 3
    assert found["max_speed_mps"] == pytest.approx(10 * KNOT_MPS, abs=1e-3)
    assert found["distance_raw_m"] == pytest.approx(3 * MINUTE_OF_LATITUDE_AT_10_5_M, abs=1.5)
    assert found["duration_s"] == 3.0


def test_sentences_are_counted_by_what_their_checksum_says() -> None:
    body = gga(1)
    data = line(body) * 3 + f"${body}*00\r\n".encode() + f"${body}\r\n".encode() * 2
    data += b"$GNTXT,\x01\x02\r\n" + line("GNRMC,256161,A,x,y") + b"$GN" + b"T" * 5 + b"," + b"x" * 2000 + b"\r\n"
    expected = {"good": 4, "bad_checksum": 1, "no_checksum": 2, "other_rejected": 2, "malformed": 1}
    assert of(data)["sentences"] == expected
    assert of(data, require=False)["sentences"] == expected
    assert of(data)["types"] == {"GNGGA": 3, "GNRMC": 1}
    assert of(data, require=False)["types"] == {"GNGGA": 5, "GNRMC": 1}


def test_other_modes_count_only_as_modes() -> None:
    data = moving(1, 30) + moving(2, 31, mode="E") + moving(3, 32, mode="S") + moving(4, 33, mode="M")
    found = of(data + moving(5, 30, status="V", mode="N"))
    assert found["modes"] == {"none": 1, "autonomous": 1, "estimated": 1, "manual": 1, "simulated": 1}
    assert (found["epochs"], found["epochs_with_fix"]) == (5, 1)
    assert found["first_fix"] == found["last_fix"]
    assert found["last_fix"]["utc"] == "2031-05-04T00:00:01.000Z"


def test_a_recording_without_dates_has_the_time_alone() -> None:
    assert of(lines(gga(43_200)))["first_fix"]["utc"] == "T12:00:00.000Z"


def test_standing_still_is_a_distance_of_zero_and_no_position_is_none() -> None:
    assert of(moving(1, 30) + moving(2, 30))["distance_raw_m"] == 0.0
    assert of(moving(1, 30, "V", "N") + moving(2, 30, "V", "N"))["distance_raw_m"] is None


def walker(second: int, status: str = "A") -> bytes:
    """An epoch of somebody who goes north at 1.4 m/s, from the second minute on."""
    north = 30 + max(0, second - 60) * 1.4 / MINUTE_OF_LATITUDE_AT_10_5_M
    where = f"10{north:08.5f},N,02000.00000,W" if status == "A" else ",,,"
    good, quality = status == "A", 1 if status == "A" else 0
    motion = f"{1.4 / KNOT_MPS if second > 60 else 0:.2f},0.0" if good else ","
    return line(f"GNRMC,{clock(second)},{status},{where},{motion},040531,,,{'A' if good else 'N'}") + line(
        f"GNGGA,{clock(second)},{where},{quality},09,0.9,12.5,M,30.0,M,,"
    )


def test_the_honest_distance_is_that_of_the_walk_alone() -> None:
    found = of(b"".join(walker(n) for n in range(361)))
    assert found["distance_m"] == pytest.approx(300 * 1.4, rel=0.005)


def test_the_honest_distance_leaves_out_what_is_not_known() -> None:
    """A minute is lost on the way, and the verdict wants to see for a while that it is better after that."""
    found = of(b"".join(walker(n, "V" if 150 <= n < 210 else "A") for n in range(361)))
    assert found["distance_raw_m"] == pytest.approx(300 * 1.4, rel=0.005)
    assert (300 - 61 - 15) * 1.4 < found["distance_m"] < (300 - 60) * 1.4


def test_standing_in_a_file_without_times_adds_nothing_and_walking_all() -> None:
    """Each epoch is a second then."""
    data = b"".join(walker(n) for n in range(361)).replace(b"\r\n", b"\n")
    bare = b"".join(_without_time(one) for one in data.splitlines() if b"GGA" in one)
    assert of(bare)["distance_m"] == pytest.approx(300 * 1.4, rel=0.01)


def _without_time(sentence: bytes) -> bytes:
    fields = sentence[1:-3].decode().split(",")
    fields[1] = ""
    return line(",".join(fields))


def test_without_a_usable_fix_the_honest_distance_is_unknown() -> None:
    """Not 0: dead reckoning went somewhere."""
    found = of(b"".join(moving(n, 30 + n / 1000, mode="E") for n in range(60)))
    assert found["distance_raw_m"] > 0.0
    assert found["distance_m"] is None


@pytest.mark.parametrize("size", [1, 7, 100, 10_000])
def test_how_it_is_cut_makes_no_difference(size: int) -> None:
    data = (DATA / "antimeridian.nmea").read_bytes()[:20_000]
    ticks: list[int] = []
    blocks = [data[n : n + size] for n in range(0, len(data), size)]
    assert digest(blocks, True, lambda: ticks.append(1)) == of(data)
    assert len(ticks) == len(blocks)


@given(st.binary(max_size=400))
def test_any_bytes_have_a_digest(data: bytes) -> None:
    of(data, require=False)


# Time


def utc(second: float, day: int | None = 4) -> Utc:
    return Utc(round(second * 1000), None if day is None else date(2031, 5, day))


@pytest.mark.parametrize(
    ("before", "after", "seconds"),
    [
        (utc(10), utc(11), 1.0),
        (utc(10), utc(10.1), 0.1),
        (utc(10), utc(10), 0.0),
        (utc(86_399), utc(0, 5), 1.0),
        (utc(10), utc(9), 0.0),
        (utc(10), utc(10, 3), 0.0),
        # A day or more is a clock being set.
        (utc(10), utc(9, 5), 86_399.0),
        (utc(10), utc(10, 5), 0.0),
        (utc(10), Utc(10_000, date(1980, 1, 6)), 0.0),
        (Utc(10_000, date(1980, 1, 6)), utc(10), 0.0),
        # Without a date on one side, half a day either way.
        (utc(86_399, None), utc(0, None), 1.0),
        (utc(10, None), utc(9, None), 0.0),
        (utc(0, None), utc(43_199), 43_199.0),
        (utc(0), utc(43_200, None), 0.0),
        # The leap second of 23:59:60.
        (utc(86_399), utc(86_400), 1.0),
        (utc(86_400), utc(0, 5), 1.0),
        (utc(86_400.9), utc(0, 5), 0.1),
        (utc(86_400), utc(86_399), 0.0),
        (utc(86_400, None), utc(0, None), 1.0),
        (utc(86_400.9, None), utc(0, None), 0.1),
    ],
)
def test_the_step_from_one_epoch_to_the_next(before: Utc, after: Utc, seconds: float) -> None:
    assert clock_step_s(before, after) == pytest.approx(seconds)


def test_over_midnight_without_dates() -> None:
    assert of(lines(*(gga(s) for s in (86_398, 86_399, 0, 1))))["duration_s"] == 3.0


def test_a_receiver_that_starts_in_1980_has_not_recorded_for_decades() -> None:
    data = lines(rmc(10, "060180", status="V", more="N"), rmc(11, "060180", status="V", more="N"), rmc(12), rmc(13))
    assert of(data)["duration_s"] == 2.0

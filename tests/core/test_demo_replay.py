"""The bundled recording: made again it is the same, every sentence is sound, and it holds what its notes promise."""

from __future__ import annotations

import gzip
import math
import re
from datetime import UTC, datetime
from importlib.resources import files
from itertools import groupby, pairwise
from typing import Any

import pynmea2
import pytest
from geographiclib.geodesic import Geodesic

import replays
from replays.make_first_walk import SWITCHED_ON, recording

Epoch = list[Any]
"""The parsed sentences of one second, RMC first; Any because pynmea2 has no types."""

BANNER_SENTENCES = 3


@pytest.fixture(scope="module")
def raw() -> bytes:
    return gzip.decompress(replays.path("first_walk").read_bytes())


@pytest.fixture(scope="module")
def sentences(raw: bytes) -> list[Any]:
    return [pynmea2.parse(line, check=True) for line in raw.decode("ascii").splitlines()]


@pytest.fixture(scope="module")
def epochs(sentences: list[Any]) -> list[Epoch]:
    found: list[list[Any]] = []
    for sentence in sentences[BANNER_SENTENCES:]:
        if sentence.sentence_type == "RMC":
            found.append([])
        found[-1].append(sentence)
    return found


def of(kind: str, epoch: Epoch) -> list[Any]:
    return [sentence for sentence in epoch if sentence.sentence_type == kind]


def has_fix(epoch: Epoch) -> bool:
    return bool(epoch[0].status == "A")


def heard(epoch: Epoch) -> int:
    """Satellites with a strength on a first signal, whose group comes before the second one's."""
    quads = [(g.talker, q[0]) for g in of("GSV", epoch) for q in _quads(g) if q[3]]
    return len(set(quads))


def _quads(gsv: Any) -> list[list[str]]:
    body = gsv.data[3:-1]
    return [body[start : start + 4] for start in range(0, len(body), 4)]


def test_made_again_it_is_the_same(raw: bytes) -> None:
    assert recording() == raw


def test_it_is_bundled_by_its_name() -> None:
    assert "first_walk" in replays.names()
    with pytest.raises(KeyError, match="first_walk"):
        replays.path("../first_walk")


def test_every_line_is_one_short_sentence_ended_by_cr_lf(raw: bytes) -> None:
    assert raw.endswith(b"\r\n")
    assert re.fullmatch(rb"(\$[ -~]{5,79}\*[0-9A-F]{2}\r\n)+", raw)  # 82 characters with $ and CR LF.


def test_it_says_first_that_it_is_invented(sentences: list[Any]) -> None:
    banner = sentences[:BANNER_SENTENCES]
    assert {sentence.sentence_type for sentence in banner} == {"TXT"}
    assert banner[0].text == "Invented demonstration recording"


def test_one_epoch_a_second_for_12_to_16_minutes(epochs: list[Epoch]) -> None:
    times = [epoch[0].timestamp for epoch in epochs]
    known = [datetime.combine(SWITCHED_ON, time) for time in times if time]
    assert 12 * 60 <= len(epochs) <= 16 * 60
    assert {(b - a).total_seconds() for a, b in pairwise(known)} == {1.0}
    assert {str(epoch[0].datestamp) for epoch in epochs if epoch[0].timestamp} == {"2027-05-15"}


def test_it_starts_cold_then_time_then_2d_then_3d(epochs: list[Epoch]) -> None:
    states = [(epoch[0].timestamp is not None, of("GSA", epoch)[0].mode_fix_type) for epoch in epochs]
    assert [state for state, _ in groupby(states)][:4] == [(False, "1"), (True, "1"), (True, "2"), (True, "3")]
    assert heard(epochs[0]) == 0


def test_a_satellite_is_heard_before_its_direction_is_known(epochs: list[Epoch]) -> None:
    first = next(epoch for epoch in epochs if heard(epoch))
    quads = [quad for gsv in of("GSV", first) for quad in _quads(gsv)]
    assert quads
    assert all(quad[0] and quad[3] and not quad[1] and not quad[2] for quad in quads)


def test_the_fix_is_lost_once_in_the_middle_with_satellites_still_heard(epochs: list[Epoch]) -> None:
    runs = [(fix, list(run)) for fix, run in groupby(epochs, key=has_fix)]
    assert [fix for fix, _ in runs] == [False, True, False, True]
    void = runs[2][1]
    assert 30 <= len(void) <= 60
    assert all(3 <= heard(epoch) <= 20 for epoch in void)
    assert all(epoch[0].timestamp for epoch in void)


def test_before_the_loss_strength_falls_and_hdop_rises(epochs: list[Epoch]) -> None:
    lost = next(i for i, (a, b) in enumerate(pairwise(epochs), 1) if has_fix(a) and not has_fix(b))
    hdop = [float(of("GGA", epochs[lost - back])[0].horizontal_dil) for back in (40, 10, 1)]
    best = [
        max(int(quad[3]) for gsv in of("GSV", epochs[lost - back]) for quad in _quads(gsv) if quad[3])
        for back in (60, 20, 1)
    ]
    assert hdop == sorted(hdop)
    assert hdop[-1] > 2 * hdop[0]
    assert best == sorted(best, reverse=True)
    assert best[-1] < best[0] - 10


def test_a_void_sentence_carries_no_place_motion_or_dop(epochs: list[Epoch]) -> None:
    void = [epoch for epoch in epochs if not has_fix(epoch)]
    assert {tuple(epoch[0].data[2:8]) for epoch in void} == {("",) * 6}
    assert {tuple(of("GGA", epoch)[0].data[1:]) for epoch in void} == {("", "", "", "", "0", "00") + ("",) * 7}
    assert {tuple(gsa.data[1:17]) for epoch in void for gsa in of("GSA", epoch)} == {("1",) + ("",) * 15}


def test_each_sentence_of_an_epoch_tells_the_same(epochs: list[Epoch]) -> None:
    for epoch in epochs:
        rmc, gga, gst = epoch[0], of("GGA", epoch)[0], of("GST", epoch)[0]
        assert rmc.data[0] == gga.data[0] == gst.data[0]
        assert rmc.data[2:6] == gga.data[1:5]
        assert [gsa.data[-1] for gsa in of("GSA", epoch)] == ["1", "2", "3", "4"]
        assert sum(bool(number) for gsa in of("GSA", epoch) for number in gsa.data[2:14]) == int(gga.num_sats)


def test_dops_belong_together(epochs: list[Epoch]) -> None:
    for epoch in filter(has_fix, epochs):
        gsa, gga = of("GSA", epoch)[0], of("GGA", epoch)[0]
        pdop, hdop, vdop = float(gsa.pdop), float(gsa.hdop), float(gsa.vdop or 0)
        assert pdop == pytest.approx(math.hypot(hdop, vdop), abs=0.011)  # Each rounded to 0.01.
        assert gsa.hdop == gga.horizontal_dil


def test_gst_is_range_error_times_dop(epochs: list[Epoch]) -> None:
    for epoch in filter(has_fix, epochs):
        gst, hdop = of("GST", epoch)[0], float(of("GGA", epoch)[0].horizontal_dil)
        axes = math.hypot(float(gst.data[5]), float(gst.data[6]))
        assert axes == pytest.approx(float(gst.data[1]) * hdop, rel=0.03)
        assert math.hypot(float(gst.data[2]), float(gst.data[3])) == pytest.approx(axes, abs=0.02)


def test_every_gsv_group_is_whole(epochs: list[Epoch]) -> None:
    for epoch in epochs:
        for _, group in groupby(of("GSV", epoch), key=lambda gsv: (gsv.talker, gsv.data[-1])):
            pages = list(group)
            numbers = [quad[0] for page in pages for quad in _quads(page)]
            assert [page.data[:2] for page in pages] == [[str(len(pages)), str(n + 1)] for n in range(len(pages))]
            assert {int(page.data[2]) for page in pages} == {len(numbers)}
            assert len(set(numbers)) == len(numbers)


def test_satellites_in_the_fix_are_in_view_with_a_strength(epochs: list[Epoch]) -> None:
    talkers = {"1": "GP", "2": "GL", "3": "GA", "4": "GB"}
    for epoch in filter(has_fix, epochs):
        strong = {(g.talker, q[0]) for g in of("GSV", epoch) for q in _quads(g) if q[1] and q[2] and q[3]}
        used = {(talkers[g.data[-1]], number) for g in of("GSA", epoch) for number in g.data[2:14] if number}
        assert used <= strong


def test_satellites_move_smoothly(epochs: list[Epoch]) -> None:
    elevations = [
        {(g.talker, q[0]): int(q[1]) for g in of("GSV", epoch) for q in _quads(g) if q[1]} for epoch in epochs
    ]
    steps = {after[name] - now[name] for now, after in pairwise(elevations) for name in now.keys() & after.keys()}
    assert steps == {-1, 0, 1}


def test_slow_means_no_course_and_a_walk_has_walking_speed(epochs: list[Epoch]) -> None:
    motion = [(float(e[0].data[6]) * 1852 / 3600, e[0].data[7], of("VTG", e)[0].data[0]) for e in epochs if has_fix(e)]
    assert all(bool(course) == (speed >= 0.299) and vtg == course for speed, course, vtg in motion)
    standing = [speed for speed, course, _ in motion[-60:] if not course]
    assert len(standing) == 60
    assert max(standing) < 0.3
    walking = sorted(speed for speed, course, _ in motion if course)
    assert 1.2 < walking[len(walking) // 2] < 1.5


def test_it_ends_within_15_m_of_the_start(epochs: list[Epoch]) -> None:
    fixes = [epoch[0] for epoch in epochs if of("GSA", epoch)[0].mode_fix_type == "3"]
    start, end = fixes[30], fixes[-1]
    top = max(fixes, key=lambda rmc: rmc.latitude)
    home = Geodesic.WGS84.Inverse(start.latitude, start.longitude, end.latitude, end.longitude)["s12"]
    away = Geodesic.WGS84.Inverse(start.latitude, start.longitude, top.latitude, top.longitude)["s12"]
    assert home < 15
    assert away > 300


# What the notes' table says about a moment, and the epoch of which it is true.
_ROW = re.compile(r"^\| (\d+):(\d\d) \| (\d\d:\d\d:\d\d) \| (.+) \|$", re.MULTILINE)


@pytest.fixture(scope="module")
def moments() -> dict[str, int]:
    """Seconds from the start by what the notes say, the UTC beside it checked."""
    found = {}
    for minutes, seconds, utc, text in _ROW.findall((files("replays") / "first_walk.md").read_text("utf-8")):
        after = int(minutes) * 60 + int(seconds)
        assert datetime.fromtimestamp(SWITCHED_ON.timestamp() + after, UTC).strftime("%H:%M:%S") == utc
        found[text] = after
    return found


@pytest.mark.parametrize(
    ("start", "is_true"),
    [
        ("First satellites heard", lambda epoch: heard(epoch) > 0),
        ("Time and date known", lambda epoch: epoch[0].timestamp is not None),
        ("First fix, 2D", has_fix),
        ("First 3D fix", lambda epoch: of("GSA", epoch)[0].mode_fix_type == "3"),
        ("The walk begins", lambda epoch: bool(epoch[0].data[7])),
        ("Rest on Ommery Top", lambda epoch: has_fix(epoch) and not epoch[0].data[7]),
        ("Down on the other side", lambda epoch: bool(epoch[0].data[7])),
        ("Fix lost", lambda epoch: not has_fix(epoch)),
        ("Fix back", has_fix),
        ("At the car again", lambda epoch: has_fix(epoch) and not epoch[0].data[7]),
    ],
)
def test_the_notes_name_the_very_second(start: str, is_true: Any, moments: dict[str, int], epochs: list[Epoch]) -> None:
    (after,) = (seconds for text, seconds in moments.items() if text.startswith(start))
    assert is_true(epochs[after])
    assert not is_true(epochs[after - 1])


def test_the_notes_end_with_the_last_epoch(moments: dict[str, int], epochs: list[Epoch]) -> None:
    assert max(moments.values()) == len(epochs) - 1

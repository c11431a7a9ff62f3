"""Small synthetic recordings, one for each peculiarity, through the whole core: what each comes to.

Worked out by hand from what tests/data/make_synthetic.py says it writes. The first epoch of most is at 12:00:00,
10.5 north, 20.25 west, and each second is 0.0001 degrees further north.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from itertools import pairwise
from typing import NamedTuple

import pytest

from core.fix import Fix, FixMode
from core.model import FixModel, Snapshot
from core.nmea.fields import KNOT_MPS
from core.nmea.framing import Framer, Reason, Sentence
from tests.data.make_synthetic import FILES, FOLDER, LABEL


class Place(NamedTuple):
    utc: str
    latitude: float
    longitude: float


class Row(NamedTuple):
    good: int
    epochs: int
    fixes: int
    """Epochs with a satellite fix."""
    last: Place
    first: Place = Place("2031-05-04T12:00:00.000Z", 10.5, -20.25)
    rejected: dict[Reason, int] | None = None
    unverified: int = 0


def at(second: float) -> Place:
    whole, thousandths = divmod(round(second * 1000), 1000)
    hours, rest = divmod(whole, 3600)
    time = f"{12 + hours:02d}:{rest // 60:02d}:{rest % 60:02d}.{thousandths:03d}"
    return Place(f"2031-05-04T{time}Z", 10.5 + second * 0.0001, -20.25)


SOUND = Row(26, 5, 5, at(4))
"""The label and five times RMC, GGA, GSA and two GSV."""
CHECK = {
    "cr-lf.nmea": SOUND,
    "lf.nmea": SOUND,
    "cr.nmea": SOUND,
    "cr-cr-lf.nmea": SOUND,
    "host-prefix.nmea": SOUND,
    "tag-blocks.nmea": SOUND,
    "banner.nmea": SOUND,
    "nul-padded.nmea": SOUND,
    "space-padded.nmea": SOUND,
    "binary.bin": SOUND,
    "lower-case-checksums.nmea": SOUND,
    "padded-gsv.nmea": SOUND,
    "no-checksums.nmea": SOUND._replace(good=0, unverified=26),
    "wrong-checksums.nmea": SOUND._replace(good=23, rejected={Reason.BAD_CHECKSUM: 3}),
    # Cut in the first page of the last epoch's GSV: one whole sentence and one half are lost.
    "ends-in-mid-sentence.nmea": SOUND._replace(good=24, rejected={Reason.NO_CHECKSUM: 1}),
    "void-with-old-position.nmea": SOUND._replace(fixes=2, first=at(3)),
    # Three times RMC and VTG, then a whole epoch.
    "fast-while-void.nmea": Row(12, 4, 1, at(3), first=at(3)),
    # Three RMC of 1980, then two whole epochs.
    "dates-of-1980.nmea": Row(14, 5, 2, at(4), first=at(3)),
    # Three epochs, a maker's sentence, two cycles of three sentences without a time, two epochs an hour later.
    "power-cycles.nmea": Row(33, 7, 5, at(3601)),
    # Eleven RMC, and the rest with every fifth.
    "sparse-gga.nmea": Row(24, 11, 11, at(10)),
    # Three whole epochs and two of RMC and GGA.
    "empty-quality.nmea": Row(20, 5, 3, at(4)),
    "rtk-churn.nmea": Row(46, 9, 9, at(8)),
    "rtk-fixed-moving.nmea": Row(51, 10, 10, at(9)),
    "dead-reckoning.nmea": Row(31, 6, 3, at(5)),
    # RMC, GGA and four GSA in each of four.
    "several-gsa.nmea": Row(25, 4, 4, at(3)),
    # Three times as many sentences as three epochs and a label have; the others are of no type that is used.
    "six-letter-types.nmea": Row(48, 3, 3, at(2)),
    "long-sentences.nmea": Row(7, 3, 3, at(2)),
    # Two GGA and RMC for each epoch, three more for each of three skies.
    "five-hertz.nmea": Row(1 + 22 + 9, 11, 11, at(2)),
    "ten-hertz.nmea": Row(1 + 42 + 9, 21, 21, at(2)),
    # The label, five RMC and five GGA.
    "antimeridian.nmea": Row(
        11, 5, 5, Place(at(4).utc, 10.0, -179.9998), first=Place(at(0).utc, 10.0, 179.9998)
    ),
    "equator.nmea": Row(11, 5, 5, Place(at(4).utc, 0.0002, -20.25), first=Place(at(0).utc, -0.0002, -20.25)),
    "greenwich.nmea": Row(11, 5, 5, Place(at(4).utc, -40.0, 0.0002), first=Place(at(0).utc, -40.0, -0.0002)),
    "north-pole.nmea": Row(11, 5, 5, Place(at(4).utc, 89.99982, 160.0), first=Place(at(0).utc, 89.99982, -20.0)),
    "south-pole.nmea": Row(11, 5, 5, Place(at(4).utc, -89.99982, 160.0), first=Place(at(0).utc, -89.99982, -20.0)),
    "leap-second.nmea": Row(
        11, 5, 5, Place("2032-01-01T00:00:01.000Z", 10.5004, -20.25), Place("2031-12-31T23:59:58.000Z", 10.5, -20.25)
    ),
    # ZDA, GLL and VTG for each of four.
    "old-and-short.nmea": Row(0, 4, 4, at(3), unverified=12),
}  # fmt: skip


class Run(NamedTuple):
    fixes: list[Fix]
    snapshot: Snapshot


@cache
def run(name: str) -> Run:
    model = FixModel(require_checksum=not CHECK[name].unverified)
    fixes = model.feed((FOLDER / name).read_bytes(), 0.0) + model.finish()
    return Run(fixes, model.snapshot())


def test_the_files_are_what_their_script_makes() -> None:
    assert {path.name: path.read_bytes() for path in FOLDER.iterdir()} == {name: make() for name, make in FILES.items()}
    assert set(CHECK) == set(FILES)


@pytest.mark.parametrize("name", FILES)
def test_each_says_that_it_is_synthetic(name: str) -> None:
    assert LABEL.rpartition(",")[2].encode() in (FOLDER / name).read_bytes()


@pytest.mark.parametrize("name", CHECK)
def test_sentences_epochs_and_fixes(name: str) -> None:
    expected, counts = CHECK[name], run(name).snapshot.counts
    assert (counts.verified, counts.unverified) == (expected.good, expected.unverified)
    assert counts.rejected == (expected.rejected or {})
    assert (counts.epochs, counts.epochs_with_fix) == (expected.epochs, expected.fixes)


@pytest.mark.parametrize("name", CHECK)
def test_the_first_and_the_last_fix(name: str) -> None:
    fixes = [fix for fix in run(name).fixes if fix.is_satellite_fix]
    for fix, expected in ((fixes[0], CHECK[name].first), (fixes[-1], CHECK[name].last)):
        assert fix.utc is not None
        assert fix.position is not None
        assert fix.utc.iso() == expected.utc
        assert list(fix.position) == pytest.approx(expected[1:], abs=1e-9)


@pytest.mark.parametrize("name", CHECK)
def test_cut_at_every_byte_it_is_the_same(name: str) -> None:
    model, data = FixModel(require_checksum=not CHECK[name].unverified), (FOLDER / name).read_bytes()
    fixes = [fix for n in range(len(data)) for fix in model.feed(data[n : n + 1], 0.0)]
    assert fixes + model.finish() == run(name).fixes
    assert model.snapshot() == run(name).snapshot


@pytest.mark.parametrize("name", [name for name, row in CHECK.items() if row.good == 26])
def test_the_same_walk_in_another_wrapping_is_the_same_walk(name: str) -> None:
    if name != "void-with-old-position.nmea":
        assert [fix._replace(heard=None) for fix in run(name).fixes] == [
            fix._replace(heard=None) for fix in run("cr-lf.nmea").fixes
        ]
        assert [fix.satellites for fix in run(name).fixes] == [fix.satellites for fix in run("cr-lf.nmea").fixes]


# What is particular about some of them


def modes(name: str) -> dict[str, int]:
    return dict(Counter(str(fix.mode) for fix in run(name).fixes))


def test_rtk_comes_and_goes() -> None:
    assert modes("rtk-churn.nmea") == {"autonomous": 2, "rtk_fixed": 3, "rtk_float": 3, "differential": 1}
    assert modes("rtk-fixed-moving.nmea") == {"rtk_fixed": 10}
    assert {fix.speed_mps for fix in run("rtk-fixed-moving.nmea").fixes} == {21.6 * KNOT_MPS}


def test_dead_reckoning_has_a_place_but_is_no_satellite_fix() -> None:
    assert modes("dead-reckoning.nmea") == {"autonomous": 3, "estimated": 3}
    assert all(fix.position for fix in run("dead-reckoning.nmea").fixes)


@pytest.mark.parametrize("name", ["void-with-old-position.nmea", "fast-while-void.nmea", "dates-of-1980.nmea"])
def test_void_is_void_whatever_is_sent_along(name: str) -> None:
    void = run(name).fixes[:3]
    assert {(fix.position, fix.speed_mps, fix.course_deg, fix.altitude_m) for fix in void} == {(None, None, None, None)}
    assert {fix.mode for fix in void} == {FixMode.NONE}


def test_a_date_of_1980_is_told_as_it_came_and_left_behind() -> None:
    assert [fix.utc.iso() for fix in run("dates-of-1980.nmea").fixes if fix.utc] == [
        "1980-01-05T23:59:42.800Z",
        "1980-01-05T23:59:43.800Z",
        "1980-01-05T23:59:44.800Z",
        "2031-05-04T12:00:03.000Z",
        "2031-05-04T12:00:04.000Z",
    ]


def test_a_power_cycle_loses_the_time_and_the_sky() -> None:
    fixes = run("power-cycles.nmea").fixes
    assert [fix.utc is None for fix in fixes] == [False] * 3 + [True] * 2 + [False] * 2
    assert [fix.satellites_in_view for fix in fixes] == [5, 5, 5, 0, 0, 5, 5]


def test_heights_come_every_fifth_second_only() -> None:
    heights = [fix.altitude_m for fix in run("sparse-gga.nmea").fixes]
    assert heights == [12.5, None, None, None, None, 12.5, None, None, None, None, 12.5]


def test_satellites_of_several_gsa_talkers() -> None:
    for fix in run("several-gsa.nmea").fixes:
        assert fix.used == ("G01", "G02", "R01", "R02", "E03")
        assert fix.dimensions == 3


def test_a_second_antenna_does_not_speak_for_the_first() -> None:
    counts = run("six-letter-types.nmea").snapshot.counts
    assert counts.types["GNGGAH"] == counts.types["GNTHS2"] == 16
    assert {fix.heading_deg for fix in run("six-letter-types.nmea").fixes} == {None}


def test_sentences_of_83_and_84_characters() -> None:
    lengths = {len(row) for row in (FOLDER / "long-sentences.nmea").read_bytes().splitlines(keepends=True)}
    assert {83, 84} <= lengths


def test_the_leap_second_is_an_epoch() -> None:
    clocks = [fix.utc.clock() for fix in run("leap-second.nmea").fixes if fix.utc]
    assert clocks == ["23:59:58", "23:59:59", "23:59:60", "00:00:00", "00:00:01"]


@pytest.mark.parametrize(("name", "hertz"), [("five-hertz.nmea", 5), ("ten-hertz.nmea", 10)])
def test_several_positions_a_second(name: str, hertz: int) -> None:
    times = [fix.utc.time_ms for fix in run(name).fixes if fix.utc]
    assert {later - earlier for earlier, later in pairwise(times)} == {1000 // hertz}


def test_no_contradiction_at_the_edges_of_the_map() -> None:
    for name in ("antimeridian.nmea", "equator.nmea", "greenwich.nmea", "north-pole.nmea", "south-pole.nmea"):
        assert [fix.contradictions for fix in run(name).fixes] == [()] * 5
    poles = [run(f"{which}-pole.nmea").fixes[2].position for which in ("north", "south")]
    assert [place.latitude_deg for place in poles if place] == [90.0, -90.0]


@pytest.mark.parametrize(
    ("name", "steps_ms"), [("host-prefix.nmea", {0, 1000}), ("tag-blocks.nmea", {250, -250, 750, 1250, 1000})]
)
def test_host_times_are_read(name: str, steps_ms: set[int]) -> None:
    framer = Framer()
    events = framer.feed((FOLDER / name).read_bytes()) + framer.finish()
    stamps = [event.stamp_ms for event in events if isinstance(event, Sentence) and event.stamp_ms is not None]
    assert len(stamps) == 26
    assert stamps[0] // 1000 == 1_935_662_400  # 2031-05-04T12:00:00Z
    assert {later - earlier for earlier, later in pairwise(stamps)} <= steps_ms

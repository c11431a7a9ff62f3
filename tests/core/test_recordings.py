"""Real recordings: our counts, positions, epochs and speeds against what two independent parser libraries found.

Where the two disagree (the key `disagreements` of the truth file) pynmea2 is followed, and why is said here.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from typing import Any, NamedTuple

import pytest

from core.fix import Fix, FixMode, Position
from core.model import FixModel, Snapshot
from core.nmea.decode import Malformed, decode
from core.nmea.fields import KNOT_MPS
from core.nmea.framing import Framer, Reason, Sentence
from core.nmea.readings import Gga, Gll, Reading, Rmc, Vtg
from tests.recordings import FOLDER, needs_recordings, truth

pytestmark = needs_recordings

TRUTH = truth()
WITHOUT_CHECKSUMS = "ship-2014-no-checksums-time-prefix.nmea"
"""Its 5,000 sentences have no checksum. pynmea2 reads them all, pynmeagps none: it demands one. Hence every
disagreement of that file; contract.md says that such a file is read."""
CUT_OFF = "car-2005-void-with-old-position-then-fix.nmea"
"""Ends in the middle of a GGA: `...,08,` and no checksum. pynmea2 takes the position of that half sentence, pynmeagps
does not, and neither do we: hence one position, one quality digit and the last place less than pynmea2's."""

TYPES: dict[str, type[Rmc | Gga | Gll]] = {"RMC": Rmc, "GGA": Gga, "GLL": Gll}


class Run(NamedTuple):
    """One recording, run through the whole core and, beside it, sentence by sentence."""

    fixes: list[Fix]
    snapshot: Snapshot
    sentences: list[tuple[Sentence, Reading]]


@cache
def run(name: str) -> Run:
    data = (FOLDER / name).read_bytes()
    require = name != WITHOUT_CHECKSUMS
    model, framer = FixModel(require), Framer(require)
    fixes = model.feed(data, 0.0) + model.finish()
    events = framer.feed(data) + framer.finish()
    decoded = [(event, decode(event)) for event in events if isinstance(event, Sentence)]
    kept = [(event, one) for event, one in decoded if one is not None and not isinstance(one, Malformed)]
    return Run(fixes, model.snapshot(), kept)


def of(name: str, kind: type[Any]) -> list[Any]:
    return [reading for _, reading in run(name).sentences if type(reading) is kind]


def reference(name: str) -> dict[str, Any]:
    """pynmea2's side, with what it takes from a half sentence taken away again."""
    found: dict[str, Any] = dict(TRUTH[name]["pynmea2"])
    if name == CUT_OFF:
        other = TRUTH[name]["pynmeagps"]
        found |= {key: other[key] for key in ("valid_positions", "last_pos", "last_pos_utc", "gga_quality")}
    return found


def test_each_recording_has_its_truth_and_each_truth_its_recording() -> None:
    files = {path.name for path in FOLDER.iterdir()} - {"INDEX.md", "truth.json", "odd-sentences.txt"}
    assert files == set(TRUTH)
    assert len(files) >= 20


@pytest.mark.parametrize("name", TRUTH)
def test_sentences_are_counted_by_what_their_checksum_says(name: str) -> None:
    stated, counts = Counter(TRUTH[name]["sentences"]), run(name).snapshot.counts
    assert counts.verified == stated["valid"]
    assert counts.rejected.get(Reason.BAD_CHECKSUM, 0) == stated["invalid"] + stated["truncated_checksum"]
    assert counts.rejected.get(Reason.NO_CHECKSUM, 0) + counts.unverified == stated["missing_checksum"]
    assert counts.rejected.get(Reason.TOO_LONG, 0) + counts.rejected.get(Reason.ILLEGAL_CHARACTER, 0) == 0


@pytest.mark.parametrize("name", TRUTH)
def test_no_sentence_whose_checksum_is_right_is_called_malformed(name: str) -> None:
    assert run(name).snapshot.counts.rejected.get(Reason.MALFORMED, 0) == 0


@pytest.mark.parametrize("name", TRUTH)
def test_sentences_are_counted_by_type(name: str) -> None:
    """The truth counts refused ones by their type too; those are the only difference."""
    stated, ours = Counter(TRUTH[name]["types"]), Counter(run(name).snapshot.counts.types)
    assert not ours - stated
    refused = sum((stated - ours).values())
    counts = run(name).snapshot.counts
    assert refused == sum(n for reason, n in counts.rejected.items() if reason is not Reason.MALFORMED)


@pytest.mark.parametrize("name", [name for name in TRUTH if TRUTH[name]["pynmea2"]["position_source"]])
def test_positions_agree_with_the_sentence_type_that_the_truth_used(name: str) -> None:
    stated = reference(name)
    readings = of(name, TYPES[stated["position_source"]])
    places = [one.position for one in readings if one.position and one.mode is not FixMode.NONE]
    assert len(places) == stated["valid_positions"]
    assert near(places[0], stated["first_pos"])
    assert near(places[-1], stated["last_pos"])


def near(position: Position, stated: list[float]) -> bool:
    """The truth is rounded to six decimals."""
    return list(position) == pytest.approx(stated, abs=1e-6)


@pytest.mark.parametrize("name", TRUTH)
def test_quality_digits(name: str) -> None:
    """Every digit but 0 and the empty field is a mode; with what mode is decided in test_decode."""
    found = Counter(s.body.split(",")[6] or "empty" for s, reading in run(name).sentences if type(reading) is Gga)
    assert found == Counter(reference(name)["gga_quality"])
    fixes = sum(reading.mode is not FixMode.NONE for reading in of(name, Gga))
    assert fixes == sum(n for digit, n in found.items() if digit not in {"0", "empty"})


EPOCHS_MORE: dict[str, tuple[int, str]] = {
    "rtk-2024-static-under-cover.nmea": (
        3,
        "three cycles with no time at all where cover is thickest; the truth counts times",
    ),
    "phone-2022-walk-cold-start.nmea": (
        85,
        "84 cycles without any time; one of them stands between two cycles of 11:42:10, which the truth joins",
    ),
    "mixed-lowercase-checksums.nmea": (
        7,
        "its tail of samples: GLL, ZDA, three GST and a GBS have times of their own that the truth does not count",
    ),
    "samples-v4-mixed-talkers.nmea": (2, "two GBS samples of 23:54:58 and 23:55:03: the truth takes no time from GBS"),
    WITHOUT_CHECKSUMS: (1667, "no time in the GLL that the truth looks at; each GLL shares its epoch with a ZDA"),
    "mixed-binary-rtcm.bin": (1, "one GLL, a second before the only RMC: the truth takes times from the RMC"),
}
"""How many epochs more than the truth has changes of time, and why."""


@pytest.mark.parametrize("name", TRUTH)
def test_epochs(name: str) -> None:
    more, _ = EPOCHS_MORE.get(name, (0, ""))
    assert len(run(name).fixes) == TRUTH[name]["pynmea2"]["epoch_changes"] + more
    assert run(name).snapshot.counts.epochs == len(run(name).fixes)


@pytest.mark.parametrize("name", [name for name in TRUTH if TRUTH[name]["pynmea2"]["first_utc"]])
def test_first_and_last_time(name: str) -> None:
    stated = TRUTH[name]["pynmea2"]
    told = [fix.utc for fix in run(name).fixes if fix.utc]
    first, last = FIRST_AND_LAST.get(name, (stated["first_utc"], stated["last_utc"]))
    assert (told[0].clock(3), told[-1].clock(3)) == (first, last)


FIRST_AND_LAST = {
    # The tail of samples ends with a GST, whose time the truth does not look at.
    "mixed-lowercase-checksums.nmea": ("13:47:30.361", "13:56:50.000"),
    # Two GBS samples at its end.
    "samples-v4-mixed-talkers.nmea": ("10:36:07.000", "23:54:58.000"),
    # A GLL a second before the only RMC.
    "mixed-binary-rtcm.bin": ("08:41:58.000", "08:41:59.000"),
}
"""Where an epoch of ours has a sentence that the truth takes no time from."""


@pytest.mark.parametrize("name", [name for name in TRUTH if TRUTH[name]["pynmea2"]["first_date"]])
def test_dates(name: str) -> None:
    """As the RMC and ZDA tell them; carrying them over epochs without one is tested in test_epochs."""
    stated = TRUTH[name]["pynmea2"]
    days = [one.day for one in of(name, Rmc) if one.day]
    assert (days[0].isoformat(), days[-1].isoformat()) == (stated["first_date"], stated["last_date"])
    told = next(fix.utc.day for fix in run(name).fixes if fix.utc and fix.utc.day)
    assert told.isoformat() == stated["first_date"]


@pytest.mark.parametrize("name", TRUTH)
def test_the_fastest_is_that_of_a_valid_sentence(name: str) -> None:
    """The truth's RMC figure is that of valid ones."""
    stated = TRUTH[name]["pynmea2"]["max_speed_kn_rmc"]
    valid = [one.speed_mps for one in of(name, Rmc) if one.mode is not FixMode.NONE and one.speed_mps is not None]
    assert max(valid, default=None) == (None if stated is None else pytest.approx(stated * KNOT_MPS))


@pytest.mark.parametrize("name", TRUTH)
def test_speeds_of_vtg_are_read_whatever_they_are(name: str) -> None:
    stated = TRUTH[name]["pynmea2"]["max_speed_kn_vtg"]
    spoken = [one.speed_mps for one in of(name, Vtg) if one.speed_mps is not None]
    assert max(spoken, default=None) == (None if stated is None else pytest.approx(stated * KNOT_MPS))


NEVER_VALID = "weak-signal-2017-never-fixes.nmea"


@pytest.mark.parametrize("name", TRUTH)
def test_no_epoch_has_a_speed_without_a_position(name: str) -> None:
    """Receivers say hundreds of knots while void (425 kn in one recording): none of it may reach a Fix."""
    fixes = run(name).fixes
    assert not [fix for fix in fixes if fix.position is None and fix.speed_mps is not None]
    assert max((fix.speed_mps or 0.0 for fix in fixes), default=0.0) < 20 * KNOT_MPS
    if name == NEVER_VALID:
        assert not [fix for fix in fixes if fix.position or fix.is_satellite_fix]


def test_void_sentences_with_an_old_position_give_none() -> None:
    """76 GGA say 0 and carry coordinates all the same; one instant has two of them."""
    fixes = run(CUT_OFF).fixes
    void = [fix for fix in fixes if fix.mode is FixMode.NONE]
    assert len(void) == 75
    assert not [fix for fix in void if fix.position or fix.altitude_m is not None]


def test_dead_reckoning_is_no_satellite_fix() -> None:
    fixes = run("drive-2012-space-padded-dead-reckoning.nmea").fixes
    assert sum(fix.mode is FixMode.ESTIMATED for fix in fixes) == 28
    assert sum(fix.is_satellite_fix for fix in fixes) == 623 - 28


def test_rtk_modes_come_through() -> None:
    modes = Counter(fix.mode for fix in run("rtk-2024-static-under-cover.nmea").fixes)
    expected = {FixMode.RTK_FLOAT: 246, FixMode.AUTONOMOUS: 40, FixMode.RTK_FIXED: 23, FixMode.NONE: 3}
    assert modes == expected


WITH_FIX = {
    "walk-2022-long-cold-start-damaged-lines.nmea": 2500,  # 2,490 distinct times; the receiver repeats ten of them
    "walk-2022-sparse-gga-lf.nmea": 437,
    "phone-2022-walk-cold-start.nmea": 2628,  # 2,627 distinct times, 11:42:10 twice
    "roof-2017-cold-starts-host-prefix.nmea": 194,
    WITHOUT_CHECKSUMS: 1667,
}


@pytest.mark.parametrize("name", WITH_FIX)
def test_epochs_with_a_satellite_fix(name: str) -> None:
    assert run(name).snapshot.counts.epochs_with_fix == WITH_FIX[name]
    assert sum(fix.is_satellite_fix for fix in run(name).fixes) == WITH_FIX[name]


@pytest.mark.parametrize("name", [name for name in TRUTH if (FOLDER / name).stat().st_size < 250_000])
def test_cut_into_pieces_it_is_the_same(name: str) -> None:
    data = (FOLDER / name).read_bytes()
    model, fixes = FixModel(name != WITHOUT_CHECKSUMS), []
    for start in range(0, len(data), 509):  # a prime, so that cuts fall everywhere in a line
        fixes += model.feed(data[start : start + 509], 0.0)
    assert fixes + model.finish() == run(name).fixes
    assert model.snapshot().counts == run(name).snapshot.counts


def test_times_before_sentences_are_read() -> None:
    stamped = [sentence.stamp_ms for sentence, _ in run(WITHOUT_CHECKSUMS).sentences]
    assert len(stamped) == 5000
    assert None not in stamped
    assert stamped == sorted(stamped, key=lambda ms: ms or 0)

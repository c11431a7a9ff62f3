"""Plain sentences: those that were accepted, as they were; parts of a recording in whole epochs."""

from __future__ import annotations

from pathlib import Path

import pynmea2
import pytest

from core.epochs import EpochReader
from core.errors import InputError
from core.export_plan import Every, Format, Plan, since, until
from core.exporting import Outcome, Source, export
from core.formats.plain_nmea import Rounds
from core.formats.track_text import About
from core.sources.recording import has_checksums, open_recording
from core.sources.rehearsal_label import is_rehearsal
from core.trust import Verdict
from tests.build import gga, gsa, gsv, line, rmc, vtg
from tests.exported import REAL, REPLAYS, epochs_of, exported, fix_lines, fixes_of, recorded, source
from tests.recordings import needs_recordings, truth
from tests.walks import OCEAN, straight


def _again(tmp_path: Path, data: bytes) -> Path:
    path = tmp_path / "again.nmea"
    path.write_bytes(data)
    return path


def _same(path: Path, tmp_path: Path) -> None:
    """The same fixes from the sentences alone, whose times are no longer the host's."""
    data, outcome = exported(path, Format.NMEA)
    assert all(one[:1] in (b"$", b"!") for one in data.splitlines())
    assert data.count(b"\r\n") == len(data.splitlines()) == outcome.sentences
    again = _again(tmp_path, data)
    assert [one.fix for one in epochs_of(again)] == [one.fix for one in epochs_of(path)]
    epochs_of.cache_clear()


@pytest.mark.parametrize("path", REPLAYS)
def test_a_bundled_recording_says_the_same_without_its_tag_blocks(path: Path, tmp_path: Path) -> None:
    _same(path, tmp_path)


@needs_recordings
@pytest.mark.parametrize("path", REAL, ids=lambda path: path.name)
def test_a_real_recording_says_the_same_without_what_was_damaged(path: Path, tmp_path: Path) -> None:
    _same(path, tmp_path)


@needs_recordings
@pytest.mark.parametrize("path", REAL, ids=lambda path: path.name)
def test_every_sentence_belongs_to_the_epoch_that_the_reader_makes_of_it(path: Path) -> None:
    required = has_checksums(path)
    rounds = Rounds(open_recording(path), required)
    counted = 0
    for epoch in EpochReader(rounds, required).epochs():
        data = rounds.finished.popleft().data()
        counted += data.count(b"\r\n")
        clock = f"{epoch.fix.utc.clock():s}".replace(":", "").encode() if epoch.fix.utc else b""
        anchors = [one for one in data.splitlines() if one[3:6] in {b"GGA", b"RMC", b"GNS"}]
        assert all(one.split(b",")[1][:6] in {clock, b""} for one in anchors)
    assert not rounds.finished
    whole = exported(path, Format.NMEA)[1].sentences
    assert whole - 200 <= counted <= whole  # what no epoch was made of: before the first anchor, after the last


@needs_recordings
def test_as_many_sentences_are_good_as_two_other_parsers_found() -> None:
    for path in REAL:
        said = truth().get(path.name, {})
        good = said.get("sentences", {}).get("good") if isinstance(said.get("sentences"), dict) else None
        if good is not None and has_checksums(path):
            assert abs(exported(path, Format.NMEA)[1].sentences - good) <= max(5, good // 500)


def test_tag_blocks_host_times_binary_damage_and_malformed_sentences_are_left_out(tmp_path: Path) -> None:
    good = [line(rmc(1)), line(gga(1))]
    damaged = line(rmc(2)).replace(b"A,", b"B,", 1)
    malformed = line("GNGGA,not,a,fix")
    data = (
        b"\\s:q,c:1935662400*00\\"
        + good[0]
        + b"2031-05-04T12:00:00Z "
        + good[1]
        + b"\xb5b\x01\x02\xff\n"
        + damaged
        + malformed
    )
    assert exported(_again(tmp_path, data), Format.NMEA)[0] == b"".join(good)


def test_line_feeds_alone_become_cr_lf_and_sentences_of_makers_stay(tmp_path: Path) -> None:
    path = _again(tmp_path, line(rmc(1), "\n") + line("PQQQ,1,own", "\n") + line(gga(1), "\n"))
    assert exported(path, Format.NMEA)[0] == line(rmc(1)) + line("PQQQ,1,own") + line(gga(1))


def test_a_part_is_whole_epochs_and_other_programs_read_it(tmp_path: Path) -> None:
    walk = straight(OCEAN, 0.0, 100)
    path = recorded(tmp_path / "a.nmea", walk)
    data, outcome = exported(path, Plan(Format.NMEA, every=Every(seconds=10.0)))
    found = [pynmea2.parse(one.decode()) for one in data.splitlines()]
    assert [one.sentence_type for one in found] == ["RMC", "GGA"] * 11
    assert [one.timestamp.second for one in found[::2]] == [0, 10, 20, 30, 40, 50, 0, 10, 20, 30, 40]
    assert outcome.words().startswith("22 sentences")


def test_untimed_sentences_that_lead_their_cycle_go_with_it(tmp_path: Path) -> None:
    cycles = [
        line(gsv(1, 1, 1, 2, cno=30 + n)) + line(gsa(1, 2)) + line(vtg(1.0 + n)) + fix_lines(float(n), OCEAN)
        for n in range(6)
    ]
    path = _again(tmp_path, b"".join(cycles))
    data, _ = exported(path, Plan(Format.NMEA, since=since("00:00:02"), until=until("00:00:03")))
    assert data == cycles[2] + cycles[3]


def test_between_two_times_epochs_without_a_fix_stay(tmp_path: Path) -> None:
    data = [fix_lines(float(n), OCEAN, "0" if n in {3, 4} else "1") for n in range(8)]
    path = _again(tmp_path, b"".join(data))
    part, _ = exported(path, Plan(Format.NMEA, since=since("00:00:02"), until=until("00:00:05")))
    assert part == b"".join(data[2:6])


def test_chosen_by_verdict_only_epochs_with_such_a_fix_are_left(tmp_path: Path) -> None:
    path = recorded(tmp_path / "a.nmea", straight(OCEAN, 0.0, 60))
    wanted = [one for one in fixes_of(path) if one.trust.verdict >= Verdict.FIRM]
    assert exported(path, Plan(Format.NMEA, only=Verdict.FIRM))[1].sentences == 2 * len(wanted)


def test_a_rehearsal_still_says_that_it_is_one(tmp_path: Path) -> None:
    path = recorded(tmp_path / "a.nmea", straight(OCEAN, 0.0, 60))
    plan = Plan(Format.NMEA, since=since("12:00:30"))
    made = b"".join(export(source(path, is_rehearsal=True), plan, About("a"), Outcome()))
    assert is_rehearsal(_again(tmp_path, made))
    for to in (Format.GPX, Format.KML, Format.GEOJSON):
        assert b"REHEARSAL: a" in b"".join(export(source(path, is_rehearsal=True), Plan(to), About("a"), Outcome()))


@pytest.mark.parametrize("to", list(Format))
def test_nothing_is_written_where_nothing_would_be_in_it(tmp_path: Path, to: Format) -> None:
    path = _again(tmp_path, b"no sentence in here\r\n")
    with pytest.raises(InputError, match="nothing to export"):
        next(export(source(path), Plan(to), About("a"), Outcome()))


def test_why_there_is_nothing_is_said(tmp_path: Path) -> None:
    path = recorded(tmp_path / "a.nmea", straight(OCEAN, 0.0, 5))
    with pytest.raises(InputError, match="6 are outside the time asked for"):
        exported(path, Plan(Format.GPX, since=since("2032-01-01")))


def test_the_recording_is_closed_when_an_export_is_given_up(tmp_path: Path) -> None:
    path = recorded(tmp_path / "a.nmea", straight(OCEAN, 0.0, 5))
    opened = []

    def keep() -> object:
        opened.append(open_recording(path))
        return opened[-1]

    plain = source(path)
    making = export(Source(keep, True, plain.errors), Plan(Format.GPX), About("a"), Outcome())  # type: ignore[arg-type]
    next(making)
    making.close()  # type: ignore[attr-defined]  # a generator
    assert opened[0]._raw.closed

"""The model: what has come, the last fix, the wire."""

from __future__ import annotations

from core.fix import NO_FIX
from core.intake import TEXTS_KEPT, WIRE_LINES
from core.model import Finished, FixModel, Snapshot
from core.nmea.framing import Reason, Rejected
from tests.build import gga, gsa, gsv, line, lines, rmc, sentence
from tests.played import NOON, play

# The start


def test_before_anything_came_nothing_is_said() -> None:
    model = FixModel()
    assert model.snapshot() == Snapshot()
    assert model.snapshot().fix is NO_FIX
    assert model.in_view is None
    assert not model.epoch_complete
    assert model.last_fix_snapshot() is None
    assert model.finish() == []


def test_bytes_without_sentences_change_the_time_only() -> None:
    model = FixModel()
    model.feed(b"\xff\x00 nothing \r\n", 5.0)
    assert model.snapshot() == Snapshot(at_s=5.0)


# Counts


def test_counts_by_type_and_by_reason() -> None:
    model = FixModel()
    good = lines(rmc(NOON), rmc(NOON + 1), gga(NOON + 1), "PABC,1")
    model.feed(good, 0.0)
    model.feed(b"$GNRMC,1*00\r\n$GNGGA,1,2\r\n$GNTXT,\x1b*00\r\n", 0.0)
    model.feed(lines("GNTXT," + "x" * 1100, "GNRMC,120000.00,A"), 0.0)
    counts = model.snapshot().counts
    assert (counts.verified, counts.unverified) == (5, 0)
    assert counts.types == {"GNRMC": 3, "GNGGA": 1, "PABC": 1}
    assert counts.rejected == dict.fromkeys(Reason, 1)
    assert (counts.epochs, counts.epochs_with_fix) == (2, 2)


def test_sentences_without_a_checksum_count_apart() -> None:
    model = FixModel(require_checksum=False)
    model.feed(f"${rmc(NOON)}\r\n{sentence(gga(NOON))}\r\n$GNRMC,1\r\n".encode(), 0.0)
    counts = model.snapshot().counts
    assert (counts.verified, counts.unverified) == (1, 2)
    assert counts.rejected == {Reason.MALFORMED: 1}
    assert counts.epochs_with_fix == 1


def test_a_snapshot_does_not_change_afterwards() -> None:
    model = FixModel()
    play(model, [rmc(NOON), *[gsv(1, 1, 5)]], 0.0)
    before = model.snapshot()
    kept = (before.fix, dict(before.counts.types), dict(before.counts.rejected), before.wire, before.sky)
    play(model, [rmc(NOON + 1), gga(NOON + 1), gsv(1, 1, 6), "GNRMC,1"], 1.0)
    assert (before.fix, before.counts.types, before.counts.rejected, before.wire, before.sky) == kept


def test_each_finished_epoch_is_told_to_the_observer() -> None:
    told: list[Finished] = []
    model = FixModel(observer=told.append)
    bodies = [rmc(NOON), rmc(NOON + 1), gsv(1, 1, 5, 6), rmc(NOON + 2), gsv(1, 1, 0), rmc(NOON + 3)]
    found = model.feed(lines(*bodies), 0.0) + model.finish()
    assert [one.fix for one in told] == found
    assert [one.in_view for one in told] == [None, 2, 0, 0]


# The last fix


def test_the_last_satellite_fix_is_kept_however_old() -> None:
    model = FixModel()
    play(model, [rmc(NOON)], 0.0)
    for second in range(1, 500):
        play(model, [rmc(NOON + second, status="V", more="N")], float(second))
    snapshot = model.snapshot()
    assert snapshot.last_fix is not None
    assert snapshot.last_fix.at_s == 0.0
    assert snapshot.last_fix.fix.is_satellite_fix
    assert snapshot.values.position is None


def test_what_is_not_from_satellites_is_no_last_fix() -> None:
    model = FixModel()
    play(model, [rmc(NOON)], 0.0)
    play(model, [gga(NOON + 1, "6")], 1.0)
    play(model, [gga(NOON + 2, "8")], 2.0)
    snapshot = model.snapshot()
    assert snapshot.fix.position is not None
    assert snapshot.last_fix is not None
    assert snapshot.last_fix.at_s == 0.0


def test_the_state_at_the_last_fix_is_that_of_then() -> None:
    model = FixModel()
    play(model, [rmc(NOON), gga(NOON), gsa(5, 6), gsv(1, 1, 5, 6, 7)], 0.0)
    for second in range(1, 100):
        play(model, [rmc(NOON + second, status="V", more="N"), gsv(1, 1, 9)], float(second))
    model.finish()
    then = model.last_fix_snapshot()
    assert then is not None
    assert (then.at_s, then.fix.altitude_m) == (0.0, 12.5)
    assert then.values.mode is not None
    assert str(then.values.mode.value.mode) == "autonomous"
    assert then.sky is not None
    assert {one.name: one.in_fix for one in then.sky.value} == {"G05": True, "G06": True, "G07": False}


# The wire and the receiver's own messages


def test_the_wire_keeps_what_came_good_and_bad() -> None:
    model = FixModel()
    model.feed(line(rmc(NOON)) + b"$GNRMC,1*00\r\n" + line("GNRMC,1") + line("PABC,1"), 0.0)
    first, bad, malformed, unused = model.snapshot().wire
    assert (first, unused) == (sentence(rmc(NOON)), sentence("PABC,1"))
    assert isinstance(bad, Rejected)
    assert isinstance(malformed, Rejected)
    assert (bad.reason, malformed.reason) == (Reason.BAD_CHECKSUM, Reason.MALFORMED)


def test_the_wire_is_bounded_and_newest_last() -> None:
    model = FixModel()
    play(model, [rmc(n / 100) for n in range(3 * WIRE_LINES)], 0.0)
    wire = model.snapshot().wire
    assert len(wire) == WIRE_LINES
    assert wire[-1] == sentence(rmc((3 * WIRE_LINES - 1) / 100))


def test_messages_are_kept_the_newest_last() -> None:
    model = FixModel()
    play(model, [f"GNTXT,01,01,02,message {n}, part" for n in range(2 * TEXTS_KEPT)], 0.0)
    texts = model.snapshot().texts
    assert len(texts) == TEXTS_KEPT
    assert texts[-1] == f"message {2 * TEXTS_KEPT - 1}, part"
    assert model.snapshot().counts.epochs == 0

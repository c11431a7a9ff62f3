"""Sentences to epochs and Fixes: receivers of many kinds."""

from __future__ import annotations

import pytest

from core.fix import Fix, FixMode
from core.model import FixModel
from core.nmea.fields import KNOT_MPS
from tests.build import gga, gll, gsa, gst, gsv, lines, rmc, vtg, zda
from tests.played import HERE, NOON, clocks, cycle, fixes, only, sky_at


def heard(fix: Fix) -> dict[str, int | None]:
    return {one.name: one.cno_dbhz for one in fix.satellites}


# Receivers of many kinds. Each second's satellites are heard 10 dB-Hz above its number, to know them again.


@pytest.mark.parametrize(
    "order",
    [
        "RMC GGA GSA GSV VTG GST",
        "GGA GSA GSV RMC VTG GST",
        "GSV GSA VTG GST GGA RMC",
        "GSA GSV GGA GST",
        "VTG GSA GSV RMC GST GGA ZDA",
        "ZDA GSV GST RMC GGA GLL GSA",
        "GST GLL GSA GSV GGA",
    ],
)
def test_whatever_comes_first_each_second_is_one_epoch_with_its_own_values(order: str) -> None:
    found = fixes(*[body for second in range(5) for body in cycle(second, order)])
    assert clocks(found) == [f"12:00:0{second}.0" for second in range(5)]
    for second, fix in enumerate(found):
        assert fix.is_satellite_fix
        assert fix.position == HERE
        assert fix.altitude_m == float(second)
        assert fix.used == (f"G{second + 1:02d}", f"G{second + 2:02d}")
        assert heard(fix)["G05"] == 10 + second
        assert fix.satellites_in_view == 5
        assert fix.noise is not None
        assert fix.noise.range_rms_m == second + 0.5


def test_a_height_every_fifth_second_belongs_to_its_second_only() -> None:
    found = fixes(*[b for s in range(11) for b in cycle(s, "RMC GGA GSA" if s % 5 == 0 else "RMC")])
    assert [fix.altitude_m for fix in found] == [0.0, *[None] * 4, 5.0, *[None] * 4, 10.0]
    assert all(fix.is_satellite_fix for fix in found)


def test_ten_positions_a_second_and_one_height() -> None:
    bodies = []
    for tenth in range(25):
        bodies.append(rmc(NOON + tenth / 10))
        if tenth % 10 == 0:
            bodies += [gga(NOON + tenth / 10), gsa(1, 2), *sky_at(0)]
    found = fixes(*bodies)
    assert clocks(found) == [f"12:00:0{tenth // 10}.{tenth % 10}" for tenth in range(25)]
    assert [n for n, fix in enumerate(found) if fix.altitude_m is not None] == [0, 10, 20]
    assert [n for n, fix in enumerate(found) if fix.heard] == [0, 10, 20]


def test_without_rmc_there_is_a_time_but_no_date() -> None:
    found = fixes(gga(NOON), vtg(), gga(NOON + 1), vtg())
    assert [fix.utc.iso() for fix in found if fix.utc] == ["T12:00:00.000Z", "T12:00:01.000Z"]
    assert [fix.speed_mps for fix in found] == pytest.approx([5 * KNOT_MPS] * 2)


def test_without_gsv_what_is_in_view_is_not_known() -> None:
    fix = only(rmc(NOON), gga(NOON), gsa(1, 2, 3))
    assert fix.satellites_in_view is None
    assert fix.satellites_in_fix == 3
    assert [(one.name, one.in_fix, one.cno_dbhz) for one in fix.satellites] == [
        ("G01", True, None),
        ("G02", True, None),
        ("G03", True, None),
    ]


def test_a_cold_start_without_any_time_has_one_epoch_a_cycle() -> None:
    cold = [rmc(None, "", status="V", more="N"), gga(None, "0"), gsa(dimensions=1), *sky_at(0)]
    found = fixes(*cold, *cold, *cold, rmc(NOON), gga(NOON), gsa(1), *sky_at(1))
    assert clocks(found) == [None, None, None, "12:00:00.0"]
    assert [fix.mode for fix in found] == [FixMode.NONE] * 3 + [FixMode.AUTONOMOUS]
    assert [fix.satellites_in_view for fix in found] == [5] * 4
    assert [fix.satellites_in_fix for fix in found] == [0, 0, 0, 1]


def test_time_known_in_mid_epoch_joins_the_sentences_before_it() -> None:
    """GGA has no time yet, the RMC of the same cycle has."""
    cold = gga(None, "0")
    found = fixes(cold, rmc(NOON, status="V", more="N"), cold, rmc(NOON + 1, status="V", more="N"))
    assert clocks(found) == ["12:00:00.0", "12:00:01.0"]


def test_a_receiver_without_time_after_one_with_is_a_new_epoch() -> None:
    cold = [rmc(None, "", status="V", more="N"), gga(None, "0")]
    found = fixes(rmc(NOON), gga(NOON), *cold, *cold, rmc(NOON + 5), gga(NOON + 5))
    assert clocks(found) == ["12:00:00.0", None, None, "12:00:05.0"]


def test_untimed_sentences_repeated_before_the_first_anchor_lose_no_epoch() -> None:
    found = fixes(*sky_at(0), *sky_at(1), vtg(1.0), vtg(2.0), rmc(NOON), rmc(NOON + 1))
    assert clocks(found) == ["12:00:00.0", "12:00:01.0"]
    assert heard(found[0])["G05"] == 11


@pytest.mark.parametrize("late", [[gst], [gst, gll], [gll, zda, gst]])
def test_what_comes_late_amends_the_epoch_before(late: list[object]) -> None:
    bodies = []
    for second in range(4):
        at = NOON + second
        bodies += [rmc(at), gga(at)]
        if second:
            bodies += [make(at - 1) for make in late]  # type: ignore[operator]  # the builders all take seconds
    found = fixes(*bodies)
    assert clocks(found) == [f"12:00:0{second}.0" for second in range(4)]
    assert [fix.noise is not None for fix in found] == [True, True, True, False]
    assert all(fix.altitude_m == 12.5 for fix in found)


def test_a_late_one_between_the_sentences_of_the_next_epoch() -> None:
    found = fixes(rmc(NOON), gga(NOON), gsa(1), rmc(NOON + 1), gst(NOON), gga(NOON + 1), gsa(2), gst(NOON + 1))
    assert clocks(found) == ["12:00:00.0", "12:00:01.0"]
    assert [fix.used for fix in found] == [("G01",), ("G02",)]
    assert all(fix.noise for fix in found)


def test_what_comes_early_waits_for_its_epoch() -> None:
    """Some receivers say the time of the next pulse (ZDA) before the epoch's other sentences."""
    found = fixes(rmc(NOON), zda(NOON + 1), gga(NOON), gst(NOON), rmc(NOON + 1), gga(NOON + 1), gst(NOON + 1))
    assert clocks(found) == ["12:00:00.0", "12:00:01.0"]
    assert all(fix.noise and fix.altitude_m == 12.5 for fix in found)


def test_time_that_steps_back_is_a_new_epoch() -> None:
    """A receiver restarts, or a logger writes a block twice: neither is thrown away."""
    found = fixes(*[rmc(NOON + second) for second in (0, 1, 2, 0, 1, 2, 3)])
    assert clocks(found) == [f"12:00:0{second}.0" for second in (0, 1, 2, 0, 1, 2, 3)]


def test_the_same_address_and_time_again_replaces() -> None:
    found = fixes(rmc(NOON), gga(NOON, altitude="1.0"), rmc(NOON), gga(NOON, altitude="2.0"), rmc(NOON + 1))
    assert clocks(found) == ["12:00:00.0", "12:00:01.0"]
    assert found[0].altitude_m == 2.0


def test_one_instant_in_different_spellings_is_one_epoch() -> None:
    first = rmc(NOON).replace("120000.00", "120000")
    assert len(fixes(first, gga(NOON), gst(NOON).replace("120000.00", "120000.000"))) == 1


# Several GSA and GSV for one instant


def test_gsa_of_several_systems_without_system_id() -> None:
    """Before 4.10: GNGSA twice, numbers of all systems apart."""
    cycles = [[rmc(NOON + s), gsa(1 + s, 2 + s), gsa(65 + s, 66 + s)] for s in range(3)]
    found = fixes(*[body for one in cycles for body in one])
    assert [fix.used for fix in found] == [(f"G0{1 + s}", f"G0{2 + s}", f"R0{1 + s}", f"R0{2 + s}") for s in range(3)]


def test_gsa_pairs_that_come_first() -> None:
    cycles = [[gsa(1 + s), gsa(65 + s), rmc(NOON + s)] for s in range(3)]
    found = fixes(*[body for one in cycles for body in one])
    assert [fix.used for fix in found] == [(f"G0{1 + s}", f"R0{1 + s}") for s in range(3)]


@pytest.mark.parametrize("between", ["GPDTM,W84,,0.0,N,0.0,E,0.0,W84", "GPHDT,90.0,T", "GPTXT,01,01,02,hello"])
def test_a_pair_of_gsa_is_not_parted_by_what_begins_no_cycle(between: str) -> None:
    cycles = [[rmc(NOON + s), gsa(1 + s), between, gsa(65 + s), between] for s in range(3)]
    found = fixes(*[body for one in cycles for body in one])
    assert [fix.used for fix in found] == [(f"G0{1 + s}", f"R0{1 + s}") for s in range(3)]


def test_gsa_with_system_ids_may_stand_anywhere() -> None:
    cycles = [[rmc(NOON + s), gsa(5, system="1"), vtg(), gsa(5, system="3"), gsa(5, system="4")] for s in range(3)]
    found = fixes(*[body for one in cycles for body in one])
    assert [fix.used for fix in found] == [("G05", "E05", "C05")] * 3
    assert [fix.satellites_in_fix for fix in found] == [3, 3, 3]


def test_a_satellite_listed_twice_counts_once() -> None:
    assert only(rmc(NOON), gsa(5, 6, system="1"), gsa(5, system="1")).used == ("G05", "G06")


def test_two_signals_of_one_satellite_are_one_in_view() -> None:
    fix = only(rmc(NOON), gsv(1, 1, 5, 6, signal="1", cno=30), gsv(1, 1, 5, signal="8", cno=45))
    assert fix.satellites_in_view == 2
    assert heard(fix) == {"G05": 45, "G06": 30}


def test_dimensions_are_those_of_the_systems_in_the_fix() -> None:
    def said(*dimensions: int) -> int | None:
        listed = [gsa(5, system=f"{n}", dimensions=one) for n, one in enumerate(dimensions, 1)]
        return only(rmc(NOON), *listed).dimensions

    assert (said(3, 3), said(3, 1), said(2, 3), said(1, 1), said()) == (3, 3, 2, None, None)


# Headings, datums


def test_headings_far_oftener_than_epochs_begin_none() -> None:
    bodies = []
    for second in range(3):
        bodies += [rmc(NOON + second), gga(NOON + second)]
        bodies += [f"HEHDT,{100 + 10 * second + tenth}.0,T" for tenth in range(10)]
    found = fixes(*bodies)
    assert clocks(found) == ["12:00:00.0", "12:00:01.0", "12:00:02.0"]
    assert [fix.heading_deg for fix in found] == [109.0, 119.0, 129.0]
    assert [fix.course_deg for fix in found] == [90.0] * 3


def test_a_heading_needs_no_fix() -> None:
    fix = only(rmc(NOON, status="V", more="N"), "HEHDT,119.9,T")
    assert (fix.position, fix.heading_deg) == (None, 119.9)


def test_a_datum_before_every_sentence() -> None:
    datum = "GPDTM,W72,,0.0,N,0.0,E,0.0,W84"
    found = fixes(*[b for s in range(3) for body in [rmc(NOON + s), gga(NOON + s), *sky_at(s)] for b in (datum, body)])
    assert clocks(found) == ["12:00:00.0", "12:00:01.0", "12:00:02.0"]
    assert [fix.datum for fix in found] == ["W72"] * 3
    assert [heard(fix)["G05"] for fix in found] == [10, 11, 12]


def test_an_epoch_of_the_time_alone_is_no_void_epoch() -> None:
    """Some receivers stamp ZDA a fraction of a second beside their position: that says nothing about the fix."""
    model = FixModel()
    for second in range(3):
        model.feed(lines(rmc(NOON + second), f"GNZDA,1200{second:02d}.50,04,05,2031,00,00"), float(second))
    shown = model.snapshot()
    assert shown.fix.position is not None
    assert shown.values.mode is not None and shown.values.mode.value.mode is FixMode.AUTONOMOUS

"""The verdict from epoch to epoch, held steady; and what scripts see of it."""

from __future__ import annotations

from datetime import date
from itertools import groupby

import pytest

from core.accuracy import ErrorModel
from core.digest import digest
from core.fix import Fix
from core.judgement import Judgement
from core.model import FixModel
from core.now import now_json
from core.trust import BETTER_AFTER_S, Trust, Verdict
from tests.build import gga, gsa, gst, lines, rmc
from tests.contract import check_digest, check_now
from tests.evidence import good, sky, utc
from tests.played import NOON

NO_FIX, DOUBTFUL, USABLE, FIRM = Verdict
WAIT = round(BETTER_AFTER_S)


def judge_all(fixes: list[Fix], reference: date | None = None) -> list[Trust]:
    """One epoch a second."""
    judgement = Judgement(ErrorModel(), reference)
    return [judgement.take(one, float(second)) for second, one in enumerate(fixes)]


# The word, held steady


def test_a_good_fix_becomes_firm_and_says_why_not_yet() -> None:
    found = judge_all([good(second) for second in range(WAIT + 2)])
    assert [one.verdict for one in found] == [DOUBTFUL] * WAIT + [FIRM] * 2
    assert {one.reasons for one in found[:WAIT]} == {("better for a moment only, so far",)}
    assert found[-1].reasons == ()


def test_what_holds_the_word_back_stands_before_what_would_allow_better() -> None:
    usable = [good(second, stated_in_fix=5) for second in range(2)]
    assert [one.reasons for one in judge_all(usable)] == [
        ("better for a moment only, so far", "only 5 satellites in the fix")
    ] * 2


def test_losing_the_fix_shows_at_once_and_so_does_its_return() -> None:
    fixes = [good(second) for second in range(20)] + [Fix(utc=utc(20)), good(21)]
    assert [one.verdict for one in judge_all(fixes)][-3:] == [FIRM, NO_FIX, DOUBTFUL]


def test_a_single_look_is_not_held_back() -> None:
    judgement = Judgement(ErrorModel(), steady=False)
    found = [judgement.take(one, float(second)) for second, one in enumerate([good(0), Fix(), good(2)])]
    assert [one.verdict for one in found] == [FIRM, NO_FIX, FIRM]
    assert found[0].reasons == ()


def test_a_noisy_dilution_does_not_flicker() -> None:
    """HDOP to and fro over 2.0 every second; held firm, a little beyond is firm still."""
    fixes = [good(second, hdop=1.9 + 0.2 * (second % 2)) for second in range(120)]
    verdicts = [one.verdict for one in judge_all(fixes)]
    assert len(list(groupby(verdicts))) <= 3
    assert set(verdicts[30:]) == {verdicts[-1]}


def test_an_epoch_without_a_fix_asks_nothing_of_the_error() -> None:
    (found,) = judge_all([Fix()])
    assert found.verdict is NO_FIX
    assert found.error.as_json() == {"horizontal": None, "vertical": None}


def test_the_reference_corrects_a_date_and_is_said() -> None:
    old = [good(second, utc=utc(second, date(2011, 9, 18))) for second in range(30)]
    mended = judge_all(old, date(2031, 5, 20))[-1]
    assert (mended.verdict, mended.reasons) == (USABLE, ("date 1024 weeks off: taken for 2031-05-04",))
    assert judge_all(old, date(2021, 1, 1))[-1].reasons == ("the date 2011-09-18 cannot be right",)
    assert judge_all(old)[-1].verdict is FIRM


def test_a_cold_start_is_called_probable_and_only_before_the_first_fix() -> None:
    strong = sky(44, 43, 42, 41, 40)
    fixes = [Fix(heard=strong), good(1, heard=strong), Fix(heard=strong)]
    found = judge_all(fixes)
    assert found[0].reasons == ("5 satellites heard strongly but not in the fix: probably a cold start",)
    assert found[2].reasons == ("5 satellites heard strongly but not in the fix",)
    assert "stand still" in found[0].advice
    weak = judge_all([Fix(heard=sky(44, 43, 42, 30))])[0]
    assert weak.reasons == ("4 satellites heard, 3 strongly",)


def test_a_receiver_that_starts_in_1980_is_told_without_a_fix() -> None:
    (found,) = judge_all([Fix(utc=utc(0, date(1980, 1, 6)))])
    assert found.reasons[-1] == "the date 1980-01-06 cannot be right"


# What scripts see


def test_the_digest_counts_verdicts_and_tells_the_error() -> None:
    bodies = [body for n in range(20) for body in (rmc(NOON + n), gga(NOON + n), gsa(*range(1, 9)), gst(NOON + n))]
    found = digest([lines(*bodies)], True, lambda: None)
    check_digest(found)
    # Frozen at 5 knots from the eleventh epoch on, see test_evidence.
    assert found["verdicts"] == {"no fix": 0, "doubtful": WAIT + 10, "usable": 0, "firm": 10 - WAIT}
    assert sum(found["verdicts"].values()) == found["epochs"]
    # GST says 1.5 and 2.5 m: between 1.96 and 2.45 times the larger.
    assert set(found["error_95_m"]) == {"median", "max"}
    assert 1.96 * 2.5 < found["error_95_m"]["median"] < 2.45 * 2.5
    assert found["error_95_m"]["max"] == pytest.approx(found["error_95_m"]["median"], rel=0.01)


def test_a_digest_of_nothing_has_zero_verdicts_and_no_error() -> None:
    found = digest([b""], True, lambda: None)
    assert found["verdicts"] == {"no fix": 0, "doubtful": 0, "usable": 0, "firm": 0}
    assert found["error_95_m"] == {"median": None, "max": None}


def test_now_tells_verdict_reasons_and_error() -> None:
    model = FixModel(judgement=Judgement(ErrorModel()))
    for second in range(3):
        model.feed(lines(rmc(NOON + second), gga(NOON + second), gsa(*range(1, 6))), float(second))
    model.finish()
    found = now_json(model.snapshot(), 3.0, "invented")
    check_now(found)
    assert found["verdict"] == "doubtful"
    assert found["reasons"] == ["better for a moment only, so far", "only 5 satellites in the fix"]
    # HDOP 1.0 and VDOP 1.7 of the GSA.
    assert found["error_95_m"] == {"horizontal": 6.92, "vertical": 13.33}


def test_now_without_anything_says_so() -> None:
    found = now_json(FixModel(judgement=Judgement(ErrorModel())).snapshot(), 3.0, "invented")
    check_now(found)
    assert (found["verdict"], found["reasons"]) == ("no fix", ["nothing has come yet"])
    assert found["error_95_m"] == {"horizontal": None, "vertical": None}

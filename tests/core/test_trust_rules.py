"""Every rule of the verdict: a case that fires it and one that just does not; sources, words and advice."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from typing import Any, NamedTuple

import pytest

from core.accuracy import NO_ERROR, Error95
from core.evidence import Evidence
from core.fix import SATELLITE_FIX_MODES, Fix, FixMode, Utc
from core.trust import Judged, Verdict, judge
from core.trust_rules import RULES, Steps
from tests.played import HERE

NO_FIX, DOUBTFUL, USABLE, FIRM = Verdict
IDS = [rule.id for rule in RULES]

GOOD_FIX = Fix(
    utc=Utc(43_200_000, date(2031, 5, 4)),
    position=HERE,
    mode=FixMode.AUTONOMOUS,
    dimensions=3,
    speed_mps=1.2,
    stated_in_fix=9,
    pdop=1.8,
    hdop=0.9,
    vdop=1.5,
)
GOOD = Evidence(
    fix=GOOD_FIX,
    at_s=100.0,
    error=Error95(6.2, 11.8, "HDOP x 4 m assumed"),
    heard=12,
    strong=9,
    best_four_dbhz=44.0,
    signals_equal=False,
    signals_fell=False,
    jumped_m=None,
    went_back=False,
    same_place=0,
    unmoved_m=0.0,
    at_null_island=False,
    day_is_wrong=False,
    corrected_day=None,
    had_fix=True,
    held=FIRM,
)
VOID = Fix(utc=GOOD_FIX.utc)


def seen(**facts: Any) -> Evidence:
    return GOOD._replace(**facts)


def fixed(**fields: Any) -> Evidence:
    return GOOD._replace(fix=GOOD_FIX._replace(**fields), held=NO_FIX)


def corrected(mode: FixMode, age_s: float | None) -> Evidence:
    return fixed(mode=mode, correction_age_s=age_s)


def bare(**fields: Any) -> Evidence:
    """A position and nothing about its quality, but what `fields` say."""
    fix = Fix(GOOD_FIX.utc, HERE, FixMode.AUTONOMOUS)._replace(**fields)
    return GOOD._replace(fix=fix, error=NO_ERROR)


def error(metres: float | None) -> Evidence:
    return seen(error=Error95(metres, None, "invented"), held=NO_FIX)


def signal(dbhz: float | None) -> Evidence:
    return seen(best_four_dbhz=dbhz, held=NO_FIX)


class Case(NamedTuple):
    """What makes a rule allow no more than this, and what lies just on the better side of it."""

    allows: Verdict
    fires: Evidence
    better: Evidence


CASES: dict[str, list[Case]] = {
    "fix": [Case(NO_FIX, seen(fix=VOID), GOOD)],
    "mode": [
        Case(DOUBTFUL, fixed(mode=FixMode.ESTIMATED), fixed(mode=FixMode.RTK_FLOAT)),
        Case(DOUBTFUL, fixed(mode=FixMode.MANUAL), fixed(mode=FixMode.PRECISE)),
        Case(DOUBTFUL, fixed(mode=FixMode.SIMULATED), fixed(mode=FixMode.DIFFERENTIAL)),
    ],
    "dimensions": [
        Case(DOUBTFUL, fixed(dimensions=2), fixed(dimensions=3)),
        Case(DOUBTFUL, fixed(dimensions=2), fixed(dimensions=None)),
    ],
    "told": [
        Case(USABLE, bare(), bare(stated_in_fix=4)),
        Case(USABLE, bare(), bare(hdop=1.0)),
        Case(USABLE, bare(), bare()._replace(error=Error95(3.0))),
    ],
    "count": [
        Case(USABLE, fixed(stated_in_fix=5), fixed(stated_in_fix=6)),
        Case(DOUBTFUL, fixed(stated_in_fix=3), fixed(stated_in_fix=4)),
        Case(DOUBTFUL, fixed(used=("G01",) * 3), fixed(used=("G01", "G02", "G03", "G04"))),
        Case(DOUBTFUL, fixed(stated_in_fix=0), fixed(stated_in_fix=None)),
        Case(DOUBTFUL, fixed(stated_in_fix=0), fixed(stated_in_fix=0, mode=FixMode.ESTIMATED)),
    ],
    "hdop": [
        Case(USABLE, fixed(hdop=2.01), fixed(hdop=2.0)),
        Case(DOUBTFUL, fixed(hdop=4.01), fixed(hdop=4.0)),
        Case(DOUBTFUL, fixed(hdop=9.0), fixed(hdop=9.0, mode=FixMode.RTK_FIXED)),
    ],
    "pdop": [
        Case(USABLE, fixed(pdop=4.01), fixed(pdop=4.0)),
        Case(DOUBTFUL, fixed(pdop=6.01), fixed(pdop=6.0)),
        Case(DOUBTFUL, fixed(pdop=9.0), fixed(pdop=9.0, mode=FixMode.RTK_FLOAT)),
        Case(DOUBTFUL, fixed(pdop=9.0), fixed(pdop=None)),
    ],
    "error": [
        Case(USABLE, error(15.01), error(15.0)),
        Case(DOUBTFUL, error(50.01), error(50.0)),
        Case(DOUBTFUL, error(99.0), error(None)),
    ],
    "signal": [
        Case(USABLE, signal(36.5), signal(37.0)),
        Case(DOUBTFUL, signal(27.5), signal(28.0)),
        Case(DOUBTFUL, signal(20.0), signal(None)),
    ],
    "correction": [
        Case(USABLE, corrected(FixMode.DIFFERENTIAL, 30.1), corrected(FixMode.DIFFERENTIAL, 30.0)),
        Case(DOUBTFUL, corrected(FixMode.RTK_FIXED, 60.1), corrected(FixMode.RTK_FIXED, 60.0)),
        Case(DOUBTFUL, corrected(FixMode.RTK_FIXED, 99.0), corrected(FixMode.AUTONOMOUS, 99.0)),
        Case(DOUBTFUL, corrected(FixMode.RTK_FIXED, 99.0), corrected(FixMode.RTK_FIXED, None)),
    ],
    "agreement": [
        Case(DOUBTFUL, fixed(contradictions=("positions of one epoch differ",)), GOOD),
        Case(
            DOUBTFUL,
            fixed(contradictions=("positions of one epoch differ",)),
            seen(fix=VOID._replace(contradictions=("RMC void, GGA valid",))),
        ),
    ],
    "caution": [
        Case(USABLE, fixed(navigational_status="C"), fixed(navigational_status="S")),
        Case(DOUBTFUL, fixed(navigational_status="U"), fixed(navigational_status=None)),
    ],
    "jump": [Case(DOUBTFUL, seen(jumped_m=0.1), seen(jumped_m=None))],
    "back": [Case(DOUBTFUL, seen(went_back=True), seen(went_back=False))],
    "date": [
        Case(USABLE, fixed(utc=None), GOOD),
        Case(USABLE, fixed(utc=Utc(43_200_000, None)), GOOD),
        Case(USABLE, seen(day_is_wrong=True), seen(day_is_wrong=False)),
        Case(USABLE, seen(day_is_wrong=True, corrected_day=date(2031, 5, 4)), GOOD),
        # Without a position a time that is not known yet is no news; a wrong one is.
        Case(USABLE, seen(fix=VOID, day_is_wrong=True), seen(fix=Fix())),
        Case(USABLE, seen(fix=VOID, day_is_wrong=True), seen(fix=Fix(utc=Utc(0, None)))),
    ],
    "frozen": [
        Case(DOUBTFUL, seen(same_place=10, unmoved_m=20.0), seen(same_place=9, unmoved_m=20.0)),
        Case(DOUBTFUL, seen(same_place=10, unmoved_m=20.0), seen(same_place=10, unmoved_m=19.9)),
    ],
    "null": [Case(DOUBTFUL, seen(at_null_island=True), seen(at_null_island=False))],
    "equal": [Case(DOUBTFUL, seen(signals_equal=True), seen(signals_equal=False))],
    "fall": [Case(USABLE, seen(signals_fell=True), seen(signals_fell=False))],
}


def test_every_rule_has_a_case_and_every_case_a_rule() -> None:
    assert len(set(IDS)) == len(IDS)
    assert set(CASES) == set(IDS)


def found(evidence: Evidence, rule_id: str) -> Judged:
    (one,) = [judged for judged in judge(evidence, RULES).judged if judged.rule.id == rule_id]
    return one


ALL_CASES = [(rule_id, case) for rule_id, cases in CASES.items() for case in cases]
NAMES = [f"{rule_id}-{number}" for rule_id, cases in CASES.items() for number in range(len(cases))]


@pytest.mark.parametrize(("rule_id", "case"), ALL_CASES, ids=NAMES)
def test_it_fires_and_just_does_not(rule_id: str, case: Case) -> None:
    fired = found(case.fires, rule_id).look
    assert fired.allows is case.allows
    assert fired.reason
    assert found(case.better, rule_id).look.allows > case.allows


@pytest.mark.parametrize(("rule_id", "case"), ALL_CASES, ids=NAMES)
def test_a_rule_that_fires_holds_the_verdict_down_and_is_among_the_reasons(rule_id: str, case: Case) -> None:
    trust = judge(case.fires, RULES)
    assert trust.verdict <= case.allows
    worse = [one.look.reason for one in trust.judged if one.look.reason and one.look.allows < case.allows]
    assert found(case.fires, rule_id).look.reason in trust.reasons or len(worse) >= 3


def test_the_good_case_is_firm_by_every_rule_without_a_reason() -> None:
    trust = judge(GOOD, RULES)
    assert trust.verdict is FIRM
    assert (trust.reasons, trust.advice) == ((), "")
    assert {one.look.allows for one in trust.judged} == {FIRM}


@pytest.mark.parametrize("mode", sorted(SATELLITE_FIX_MODES))
def test_any_satellite_fix_may_be_firm(mode: FixMode) -> None:
    assert judge(fixed(mode=mode), RULES).verdict is FIRM


# Thresholds, to the last step, and how far a verdict already shown holds

AT: dict[str, tuple[Callable[[float], Evidence], Steps, float]] = {
    "count": (lambda x: fixed(stated_in_fix=round(x)), Steps(6, 4), -1),
    "hdop": (lambda x: fixed(hdop=x), Steps(2.0, 4.0, 0.3), 0.01),
    "pdop": (lambda x: fixed(pdop=x), Steps(4.0, 6.0, 0.5), 0.01),
    "error": (error, Steps(15.0, 50.0, 3.0), 0.01),
    "signal": (signal, Steps(37, 28, 2.5), -0.5),
    "correction": (lambda x: corrected(FixMode.RTK_FIXED, x), Steps(30.0, 60.0, 5.0), 0.1),
}
"""How to show a rule its figure, the thresholds as the table states them, and the smallest step to the worse side."""


@pytest.mark.parametrize("rule_id", AT)
def test_a_figure_on_the_threshold_is_still_good_and_a_step_beyond_is_not(rule_id: str) -> None:
    show, steps, worse = AT[rule_id]
    for threshold, good, bad in ((steps.firm, FIRM, USABLE), (steps.usable, USABLE, DOUBTFUL)):
        assert found(show(threshold), rule_id).look.allows is good
        assert found(show(threshold + worse), rule_id).look.allows is bad
        assert found(show(threshold - worse), rule_id).look.allows >= good


@pytest.mark.parametrize("rule_id", AT)
def test_a_verdict_that_is_shown_holds_a_little_beyond_its_threshold(rule_id: str) -> None:
    show, steps, worse = AT[rule_id]
    beyond = steps.give if worse > 0 else -steps.give
    for threshold, good, bad in ((steps.firm, FIRM, USABLE), (steps.usable, USABLE, DOUBTFUL)):
        assert found(show(threshold + beyond)._replace(held=good), rule_id).look.allows is good
        assert found(show(threshold + beyond + worse)._replace(held=good), rule_id).look.allows is bad
        if steps.give:
            assert found(show(threshold + beyond)._replace(held=bad), rule_id).look.allows is bad


@pytest.mark.parametrize("rule_id", AT)
def test_the_thresholds_in_words_are_those_that_decide(rule_id: str) -> None:
    _, steps, _ = AT[rule_id]
    (rule,) = [rule for rule in RULES if rule.id == rule_id]
    assert [float(text) for text in re.findall(r"\d+(?:\.\d+)?", rule.thresholds)] == [steps.firm, steps.usable]


# Words

LOOKS = [
    pytest.param(judged.look, id=f"{name}-{judged.rule.id}")
    for name, (_, case) in zip(NAMES, ALL_CASES, strict=True)
    for judged in judge(case.fires, RULES).judged
    if judged.look.reason
]
TERMS = frozenset({"HDOP", "PDOP", "GGA", "GSA", "2D", "3D", "N", "E", "dB-Hz"})
"""Trade words of the design that a reader of the board meets anyway; everything else is to be plain."""


@pytest.mark.parametrize("look", LOOKS)
def test_reasons_are_plain_words(look: Any) -> None:
    words = re.findall(r"[A-Za-z][A-Za-z-]*[A-Za-z]|\d?[A-Z]", look.reason)
    assert [word for word in words if word.isupper() and word not in TERMS] == []
    assert "_" not in look.reason
    assert not re.search(r"\b1 satellites\b|None|nan", look.reason)
    assert len(look.reason) <= 80


VERBS = frozenset(
    {"check", "compare", "go", "let", "lift", "look", "move", "restart", "set", "stand", "switch", "wait"}
)


def test_advice_says_what_to_do() -> None:
    given = {judged.look.advice for _, case in ALL_CASES for judged in judge(case.fires, RULES).judged} - {""}
    assert len(given) >= 10
    assert {re.match(r"[a-z]+", advice)[0] for advice in given} <= VERBS  # type: ignore[index]


@pytest.mark.parametrize("rule", RULES, ids=IDS)
def test_every_rule_says_where_it_comes_from(rule: Any) -> None:
    assert len(rule.source) >= 8
    assert re.search(r"\d|firm|usable|doubtful|no fix", rule.thresholds)
    assert rule.name


def test_singular_and_none_are_said_properly() -> None:
    assert found(fixed(stated_in_fix=1), "count").look.reason == "only 1 satellite in the fix"
    assert found(fixed(stated_in_fix=0), "count").look.reason == "no satellite in the fix"
    assert found(seen(fix=VOID, heard=1, strong=0), "fix").look.reason == "1 satellite heard, 0 strongly"


# No fix: why, as far as NMEA can know


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"heard": None, "strong": 0}, "the receiver reports no fix, and no satellites"),
        ({"heard": 0, "strong": 0}, "no satellite is heard"),
        ({"heard": 7, "strong": 3}, "7 satellites heard, 3 strongly"),
        ({"heard": 9, "strong": 4}, "4 satellites heard strongly but not in the fix"),
        (
            {"heard": 9, "strong": 4, "had_fix": False},
            "4 satellites heard strongly but not in the fix: probably a cold start",
        ),
        ({"heard": 9, "strong": 3, "had_fix": False}, "9 satellites heard, 3 strongly"),
    ],
)
def test_why_there_is_no_fix(facts: dict[str, Any], words: str) -> None:
    trust = judge(seen(fix=VOID, **facts), RULES)
    assert trust.verdict is NO_FIX
    assert trust.reasons == (words,)
    assert trust.advice


def test_the_date_says_what_it_was_taken_for() -> None:
    shown = fixed(utc=Utc(0, date(2011, 9, 19)))._replace(day_is_wrong=True, corrected_day=date(2031, 5, 5))
    look = found(shown, "date").look
    assert look.value == "2011-09-19"
    assert look.reason == "date 1024 weeks off: taken for 2031-05-05"
    never = found(shown._replace(corrected_day=None), "date").look
    assert never.reason == "the date 2011-09-19 cannot be right"

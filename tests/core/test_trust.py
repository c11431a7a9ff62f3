"""The lowest rule decides, its reasons are said; worse at once, better when it has lasted."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.evidence import Evidence
from core.trust import (
    BETTER_AFTER_EPOCHS,
    BETTER_AFTER_S,
    NO_TRUST,
    TOP_REASONS,
    Held,
    Look,
    Rule,
    Verdict,
    hold,
    judge,
)
from core.trust_rules import Steps
from tests.core.test_trust_rules import GOOD

NO_FIX, DOUBTFUL, USABLE, FIRM = Verdict


def test_the_words_are_the_designs_worst_first() -> None:
    assert [verdict.words for verdict in sorted(Verdict)] == ["no fix", "doubtful", "usable", "firm"]


def test_before_anything_has_come() -> None:
    assert NO_TRUST.verdict is NO_FIX
    assert NO_TRUST.reasons == ("nothing has come yet",)
    assert NO_TRUST.error.horizontal_m is None


# judge


def rule(look: Look) -> Rule:
    return Rule("invented", "invented", "always", "invented", lambda _: look)


def judged(*looks: Look, evidence: Evidence = GOOD) -> tuple[Verdict, tuple[str, ...], str]:
    trust = judge(evidence, tuple(rule(look) for look in looks))
    assert [one.look for one in trust.judged] == list(looks)
    assert trust.evidence is evidence
    assert trust.error is evidence.error
    return trust.verdict, trust.reasons, trust.advice


def test_the_lowest_decides_and_the_weightiest_reason_stands_first() -> None:
    looks = (
        Look("a", FIRM),
        Look("b", USABLE, "b is so", "do b"),
        Look("c", DOUBTFUL, "c is so"),
        Look("d", DOUBTFUL, "d is so", "do d"),
        Look("e", USABLE, "e is so", "do e"),
    )
    assert judged(*looks) == (DOUBTFUL, ("c is so", "d is so", "b is so"), "do d")
    assert TOP_REASONS == 3


def test_firm_needs_no_reason() -> None:
    assert judged(Look("a", FIRM), Look("b", FIRM)) == (FIRM, (), "")


# Thresholds


@given(st.floats(-100, 100), st.sampled_from(list(Verdict)), st.booleans())
def test_a_worse_figure_never_allows_more_and_what_is_shown_never_less(value: float, held: Verdict, up: bool) -> None:
    steps = Steps(10.0, 20.0, 2.0) if up else Steps(20.0, 10.0, 2.0)
    worse = value + 1.0 if up else value - 1.0
    assert steps.allows(worse, held) <= steps.allows(value, held)
    assert steps.allows(value, held) >= steps.allows(value, NO_FIX)


@pytest.mark.parametrize("around", [10.0, 20.0])
@given(st.lists(st.floats(-2.0, 2.0), min_size=2, max_size=40))
def test_wobbling_around_a_threshold_keeps_the_first_verdict(around: float, wobbles: list[float]) -> None:
    """As wide as the give, around what was first allowed on the good side."""
    steps = Steps(10.0, 20.0, 2.0)
    held = steps.allows(around, NO_FIX)
    for wobble in wobbles:
        assert steps.allows(around + wobble, held) is held


def test_words_name_both_thresholds_and_their_side() -> None:
    assert Steps(2.0, 4.0).words("") == "firm up to 2, usable up to 4"
    assert Steps(37, 28).words(" dB-Hz") == "firm from 37 dB-Hz, usable from 28 dB-Hz"


# hold


def shown(verdicts: list[tuple[float, Verdict]], held: Held | None = None) -> list[Verdict]:
    held = held or Held()
    found = []
    for at_s, verdict in verdicts:
        held = hold(held, verdict, at_s)
        found.append(held.shown)
    return found


def every_second(*verdicts: Verdict) -> list[tuple[float, Verdict]]:
    return [(float(second), verdict) for second, verdict in enumerate(verdicts)]


@given(st.sampled_from(list(Verdict)), st.sampled_from(list(Verdict)), st.floats(0, 100), st.integers(0, 9))
def test_worse_shows_at_once(before: Verdict, now: Verdict, at_s: float, epochs: int) -> None:
    rising = FIRM if before < FIRM else None
    after = hold(Held(before, rising, 0.0, epochs), now, at_s).shown
    if now <= before:
        assert after is now
    else:
        assert after >= before


def test_the_first_position_shows_at_once_and_no_better_than_doubtful() -> None:
    for verdict in (DOUBTFUL, USABLE, FIRM):
        assert shown([(5.0, NO_FIX), (6.0, verdict)]) == [NO_FIX, DOUBTFUL]


def test_better_must_last_and_then_shows() -> None:
    wait = round(BETTER_AFTER_S)
    found = shown(every_second(*[FIRM] * (wait + 2)))
    assert found == [DOUBTFUL] * wait + [FIRM] * 2


def test_better_must_last_from_doubtful_as_well() -> None:
    """A doubtful epoch before does not make the next rise longer."""
    wait = round(BETTER_AFTER_S)
    found = shown(every_second(DOUBTFUL, *[USABLE] * (wait + 2)))
    assert found == [DOUBTFUL] * (wait + 1) + [USABLE] * 2


def test_better_must_last_a_few_epochs_too() -> None:
    """One epoch every minute: time alone is no proof."""
    assert BETTER_AFTER_EPOCHS == 3
    assert shown([(60.0 * n, FIRM) for n in range(4)]) == [DOUBTFUL, DOUBTFUL, FIRM, FIRM]


def test_many_epochs_do_not_replace_the_time() -> None:
    ten_a_second = [(n / 10, FIRM) for n in range(round(BETTER_AFTER_S * 10) + 1)]
    found = shown(ten_a_second)
    assert set(found[:-1]) == {DOUBTFUL}
    assert found[-1] is FIRM


def test_the_rise_is_to_the_worst_that_was_meanwhile() -> None:
    wait = round(BETTER_AFTER_S)
    verdicts = [FIRM] * (wait - 1) + [USABLE] + [FIRM] * (wait + 1)
    assert shown(every_second(*verdicts)) == [DOUBTFUL] * wait + [USABLE] * wait + [FIRM]


def test_one_epoch_no_better_than_shown_begins_the_wait_anew() -> None:
    wait = round(BETTER_AFTER_S)
    verdicts = [*[FIRM] * wait, DOUBTFUL, *[FIRM] * (wait + 1)]
    assert shown(every_second(*verdicts)) == [DOUBTFUL] * (2 * wait + 1) + [FIRM]


def test_a_clock_that_goes_back_begins_the_wait_anew() -> None:
    held = Held(USABLE, FIRM, 1000.0, 50)
    found = shown([(10.0 + second, FIRM) for second in range(round(BETTER_AFTER_S) + 1)], held)
    assert found == [USABLE] * round(BETTER_AFTER_S) + [FIRM]


@given(st.lists(st.sampled_from([DOUBTFUL, USABLE, FIRM]), min_size=1, max_size=200))
def test_no_flicker_whatever_comes(verdicts: list[Verdict]) -> None:
    """With a position throughout, the word gets better no oftener than every `BETTER_AFTER_S`, by a lasting reason."""
    found = shown(every_second(*verdicts))
    rises = [second for second in range(1, len(found)) if found[second] > found[second - 1]]
    assert all(later - earlier >= BETTER_AFTER_S for earlier, later in pairwise(rises))
    for second in rises:
        assert min(verdicts[second - round(BETTER_AFTER_S) : second + 1]) >= found[second]
    assert all(word <= verdict for word, verdict in zip(found, verdicts, strict=True))


def test_a_noisy_figure_around_a_threshold_does_not_flicker() -> None:
    """An hour of HDOP 2.0 with noise: without holding the word changes hundreds of times."""
    draw = random.Random(8)
    steps, held = Steps(2.0, 4.0, 0.3), Held(USABLE)
    raw, words = [], []
    for second in range(3600):
        value = 2.0 + draw.gauss(0.0, 0.1)
        raw.append(steps.allows(value, NO_FIX))
        held = hold(held, steps.allows(value, held.shown), float(second))
        words.append(held.shown)
    assert changes(raw) > 1000
    assert changes(words) <= 10


def changes(verdicts: list[Verdict]) -> int:
    return sum(a is not b for a, b in pairwise(verdicts))

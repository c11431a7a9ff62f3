"""Rules for the track, as people say them."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputError
from core.track_rule import USUAL_RULE, TrackRule, parse_rule


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("every 10 s", TrackRule(every_s=10.0)),
        ("every 25 m", TrackRule(every_m=25.0)),
        ("every 20 deg", TrackRule(turn_deg=20.0)),
        ("every 10 s or 25 m", TrackRule(every_s=10.0, every_m=25.0)),
        ("every 50 m or 20 deg", TrackRule(every_m=50.0, turn_deg=20.0)),
        ("every 10 s or 25 m or 20 deg", USUAL_RULE),
        ("  Every 25 Metres, 20°", TrackRule(every_m=25.0, turn_deg=20.0)),
        ("25m or 1 min", TrackRule(every_s=60.0, every_m=25.0)),
        ("every 1.5 km", TrackRule(every_m=1500.0)),
        ("every 2 h", TrackRule(every_s=7200.0)),
        ("every 2.5 seconds or 30 degrees", TrackRule(every_s=2.5, turn_deg=30.0)),
    ],
)
def test_what_people_say(text: str, rule: TrackRule) -> None:
    assert parse_rule(text) == rule
    assert parse_rule(str(rule)) == rule


@pytest.mark.parametrize(
    "text",
    [
        "",
        "every",
        "every 10",
        "every s",
        "every 10 furlongs",
        "every 10 s or",
        "every 10 s or 20 s",
        "every 10 s or 1 min",
        "every -5 m",
        "every nan m",
        "every 1e3 m",
        "every 0 s",
        "every 0.5 s",
        "every 3 deg",
        "every 181 deg",
        "every 101 km",
        "every 25 h",
        "every ٣ m",
        "every 10 s and \x1b[31m 5 m",
        "x" * 100_000,
        "every " + "9" * 40 + " m",
    ],
)
def test_what_is_none_is_refused_with_words(text: str) -> None:
    with pytest.raises(InputError) as refused:
        parse_rule(text)
    message = str(refused.value)
    assert message.isprintable()
    assert len(message) < 200
    assert "every" in message or "is not from" in message


def test_a_rule_of_nothing_is_none() -> None:
    with pytest.raises(InputError, match="needs"):
        TrackRule()


figures = st.floats(1.0, 86_400.0, allow_nan=False)


@given(st.none() | figures, st.none() | figures, st.none() | st.floats(5.0, 180.0))
def test_every_rule_can_be_written_and_read(s: float | None, m: float | None, deg: float | None) -> None:
    if s is m is deg is None:
        return
    rule = TrackRule(s, m, deg)
    again = parse_rule(str(rule))
    for name in ("every_s", "every_m", "turn_deg"):
        assert getattr(again, name) == pytest.approx(getattr(rule, name), abs=1e-6)
    assert parse_rule(str(again)) == again


@given(st.text(max_size=60))
def test_any_text_is_a_rule_or_refused(text: str) -> None:
    with suppress(InputError):
        parse_rule(text)

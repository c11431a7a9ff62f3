"""What the user may type to go somewhere in a recording, and what is refused. All texts are invented."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from core.asked_moment import EXAMPLES, LONGEST, AskedMoment, From, read_moment
from core.errors import InputError


def of_day(text: str) -> float:
    """By the standard library: milliseconds since midnight."""
    moment = datetime.fromisoformat(f"2031-05-04T{text}+00:00")
    return (moment - moment.replace(hour=0, minute=0, second=0, microsecond=0)) / timedelta(milliseconds=1)


UNDERSTOOD = {
    "14:32": (From.DAY, of_day("14:32:00")),
    "14:32:10": (From.DAY, of_day("14:32:10")),
    "4:05 utc": (From.DAY, of_day("04:05:00")),
    "14:32:10.5Z": (From.DAY, of_day("14:32:10.500")),
    "14:32:10,25 UTC": (From.DAY, of_day("14:32:10.250")),
    "00:00": (From.DAY, 0.0),
    "23:59:59.999": (From.DAY, of_day("23:59:59.999")),
    "23:59:60": (From.DAY, 86_400_000.0),
    "+5:00": (From.HERE, 300.0),
    "-30": (From.HERE, -30.0),
    "\u221230": (From.HERE, -30.0),
    "- 30 s": (From.HERE, -30.0),
    "+1:00:05": (From.HERE, 3605.0),
    "+90:00": (From.HERE, 5400.0),
    "+2.5 min": (From.HERE, 150.0),
    "-1 h": (From.HERE, -3600.0),
    "+10m": (From.HERE, 600.0),
    "+0.2": (From.HERE, 0.2),
    "0:12:30 from start": (From.START, 750.0),
    "12:30 From the Start": (From.START, 750.0),
    "90 s from start": (From.START, 90.0),
    "90 after start": (From.START, 90.0),
    "+90 from start": (From.START, 90.0),
    "0 from start": (From.START, 0.0),
    "37%": (From.PART, 0.37),
    "37.5 %": (From.PART, 0.375),
    "12,5%": (From.PART, 0.125),
    "0%": (From.PART, 0.0),
    "100%": (From.PART, 1.0),
    "start": (From.PART, 0.0),
    " END ": (From.PART, 1.0),
}


@pytest.mark.parametrize("text", UNDERSTOOD)
def test_what_is_typed_means_one_moment(text: str) -> None:
    counted, value = UNDERSTOOD[text]
    found = read_moment(text)
    assert found.counted is counted
    assert found.value == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(
    "text",
    [
        *("", "   ", "noon", "90", "5 min", "14", "1432", "14:3", "14:32:1", "14:32:10:05", "14:32 local", "%", "-37%"),
        *("+", "-", "--30", "+-30", "+1:2:3:4", "5:00 min from start", "+5:00 s", "from start", "-5 from start"),
        *(
            "2031-05-04 14:32",
            "\u0661\u0664:\u0663\u0662",
            "14:32\x1b[2J",
            "[b]14:32",
            "nan",
            "+inf",
            "+1e9",
            "1" * 4000,
        ),
    ],
)
def test_what_may_mean_several_things_or_nothing_is_refused_with_examples(text: str) -> None:
    with pytest.raises(InputError) as refused:
        read_moment(text)
    assert EXAMPLES in str(refused.value)
    assert len(str(refused.value)) < 4 * LONGEST + len(EXAMPLES)
    assert "\x1b" not in str(refused.value)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("24:00", "no time of any day"),
        ("14:60", "no time of any day"),
        ("14:59:60", "no time of any day"),
        ("23:59:61", "no time of any day"),
        ("101%", "more than the whole"),
        ("+5:60", "00 to 59"),
        ("+1:60:00", "00 to 59"),
        ("+5:99 from start", "00 to 59"),
        ("+99999999", "longer than a year"),
        ("-9000 h", "longer than a year"),
    ],
)
def test_what_cannot_be_says_why(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_moment(text)


def test_every_example_that_is_offered_is_understood() -> None:
    offered = EXAMPLES.replace(" (UTC)", "").split(", ")
    assert len({read_moment(one).counted for one in offered}) == len(From)


def test_a_length_and_its_opposite_cancel() -> None:
    for text in ("30", "5:00", "1:23:45", "0.125", "7 h"):
        on, back = read_moment(f"+{text}"), read_moment(f"-{text}")
        assert on == AskedMoment(From.HERE, -back.value)
        assert on.value > 0

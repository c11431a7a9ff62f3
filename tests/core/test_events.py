"""The moments of a session: each once, in their order, and never more than are kept."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from core.accuracy import ErrorModel
from core.events import EVENTS_KEPT, Event, EventKind, EventLog
from core.fix import Fix, FixMode
from core.judgement import Judgement
from core.model import FixModel
from tests.build import gga, gsv, lines, rmc
from tests.evidence import fix, sky, utc
from tests.played import NOON

HEARD, FIRST, LOST, BACK = EventKind.FIRST_HEARD, EventKind.FIRST_FIX, EventKind.LOST, EventKind.REGAINED
MODE, JUMP, VERDICT = EventKind.MODE, EventKind.JUMP, EventKind.VERDICT


def logged(fixes: Iterable[Fix]) -> tuple[Event, ...]:
    """One epoch a second."""
    judgement, log = Judgement(ErrorModel()), EventLog()
    for second, one in enumerate(fixes):
        log.take(one, float(second), judgement.take(one, float(second)))
    return log.all()


def still(**fields: Any) -> Fix:
    return fix(speed_mps=0.0, dimensions=3, **fields)


SESSION = [
    *[Fix(utc=utc(n)) for n in range(2)],
    *[Fix(utc=utc(n), heard=sky(30, 31)) for n in range(2, 4)],
    *[still(utc=utc(n)) for n in range(4, 20)],
    *[still(utc=utc(n), mode=FixMode.DIFFERENTIAL) for n in range(20, 24)],
    *[fix(900.0, speed_mps=0.0, utc=utc(n), mode=FixMode.DIFFERENTIAL) for n in range(24, 60)],
    *[Fix(utc=utc(n)) for n in range(60, 64)],
    *[fix(900.0, speed_mps=0.0, utc=utc(n)) for n in range(64, 70)],
]
"""Nothing, two satellites, a fix, corrections, a jump, nothing again, the fix again."""


def test_a_session_in_its_order() -> None:
    found = [(event.at_s, event.kind, event.text) for event in logged(SESSION) if event.kind is not VERDICT]
    assert found == [
        (2.0, HEARD, "2 tracked"),
        (4.0, FIRST, "autonomous, 3D, 8 satellites"),
        (20.0, MODE, "autonomous to differential"),
        (24.0, JUMP, "about 896 m beyond what the speed explains"),
        (60.0, LOST, ""),
        (64.0, BACK, "autonomous, 8 satellites"),
    ]


def test_the_verdicts_of_a_session_say_why_where_they_fall() -> None:
    found = [(event.at_s, event.text) for event in logged(SESSION) if event.kind is VERDICT]
    assert found == [
        (4.0, "no fix to doubtful"),
        (12.0, "doubtful to firm"),
        (24.0, "firm to doubtful: the position jumped"),
        (42.0, "doubtful to firm"),
        (60.0, "firm to no fix: the receiver reports no fix, and no satellites"),
        (64.0, "no fix to doubtful"),
    ]


def test_events_carry_their_time_and_satellite_time() -> None:
    found = logged(SESSION)
    assert [event.at_s for event in found] == sorted(event.at_s for event in found)
    assert all(event.utc == utc(event.at_s) for event in found)


def kinds(fixes: Iterable[Fix]) -> list[EventKind]:
    return [event.kind for event in logged(fixes) if event.kind is not VERDICT]


def test_first_things_happen_once() -> None:
    on_and_off = [one for n in range(50) for one in (still(heard=sky(40)), Fix(heard=sky(None)))]
    found = kinds(on_and_off)
    assert found[:2] == [HEARD, FIRST]
    assert found[2:] == [LOST, *[BACK, LOST] * 49]


def test_a_lasting_jump_is_one_event_and_the_next_another() -> None:
    found = kinds([*[still()] * 3, *[fix(900.0, speed_mps=0.0)] * 20, *[fix(-900.0, speed_mps=0.0)] * 20])
    assert found == [FIRST, JUMP, JUMP]


def test_dead_reckoning_is_no_fix_and_taking_over_is_a_loss() -> None:
    guessed = still(mode=FixMode.ESTIMATED)
    found = [(event.kind, event.text) for event in logged([guessed, still(), guessed, Fix(), still()])]
    assert [one for one in found if one[0] is not VERDICT] == [
        (MODE, "none to estimated"),
        (FIRST, "autonomous, 3D, 8 satellites"),
        (LOST, "now estimated"),
        (MODE, "estimated to none"),
        (BACK, "autonomous, 3D, 8 satellites"),
    ]


def test_a_position_from_the_start_is_a_first_fix() -> None:
    assert kinds([still()]) == [FIRST]
    assert kinds([Fix()]) == []


def test_the_newest_are_kept_and_the_first_of_their_sort() -> None:
    many = (one for _ in range(EVENTS_KEPT) for one in (still(), Fix()))
    found = logged(many)
    assert len(found) == EVENTS_KEPT + 1
    assert found[0].kind is EventKind.FIRST_FIX
    assert found[-1].at_s == 2 * EVENTS_KEPT - 1


def test_the_model_tells_them() -> None:
    model = FixModel(judgement=Judgement(ErrorModel()))
    for second in range(4):
        bodies = [gga(NOON + second, "1" if second else "0"), gsv(1, 1, 1, 2)]
        model.feed(lines(rmc(NOON + second, status="A" if second else "V"), *bodies), 10.0 + second)
    model.finish()
    found = model.snapshot().events
    assert [event.kind for event in found] == [HEARD, FIRST, VERDICT]
    assert [event.at_s for event in found] == [10.0, 11.0, 11.0]


def test_without_a_judgement_there_are_none() -> None:
    model = FixModel()
    model.feed(lines(rmc(NOON), rmc(NOON + 1)), 0.0)
    model.finish()
    assert model.snapshot().events == ()

"""The figures behind the strip charts: as told, blank where not, an hour and no more."""

from __future__ import annotations

from core.accuracy import ErrorModel
from core.fix import NO_FIX, Fix
from core.judgement import Judgement
from core.model import FixModel
from core.series import SAMPLES_KEPT, Place, Sample, sample
from core.trust import NO_TRUST, Trust, Verdict
from tests.build import gga, gsv, lines, rmc
from tests.evidence import fix, sky
from tests.played import NOON


def judged(one: Fix) -> Trust:
    return Judgement(ErrorModel()).take(one, 5.0)


def test_figures_of_an_epoch() -> None:
    one = fix(heard=sky(44, 43, 42, 41, 20), altitude_m=12.5, speed_mps=1.4)
    trust = judged(one)
    assert sample(one, 5.0, trust)[:7] == (5.0, 8.0, 1.0, 42.5, 12.5, 1.4, Verdict.DOUBTFUL)
    assert one.position is not None
    place = Place(one.position, one.utc, one.mode, 12.5, one.geoid_separation_m, one.datum, trust.error)
    assert sample(one, 5.0, trust).place == place


def test_what_is_not_told_is_blank_and_zero_is_zero() -> None:
    assert sample(NO_FIX, 5.0, NO_TRUST) == Sample(5.0, None, None, None, None, None, Verdict.NO_FIX)
    void = Fix(stated_in_fix=7)
    assert sample(void, 5.0, judged(void)) == Sample(5.0, 0.0, None, None, None, None, Verdict.NO_FIX)
    still = fix(altitude_m=0.0, speed_mps=0.0)
    assert sample(still, 5.0, judged(still))[4:7] == (0.0, 0.0, Verdict.DOUBTFUL)


def test_an_hour_is_kept_oldest_first_and_no_more() -> None:
    model = FixModel(judgement=Judgement(ErrorModel()))
    for second in range(SAMPLES_KEPT + 40):
        model.feed(lines(rmc(NOON + second)), 100.0 + second)
    model.finish()
    kept = model.snapshot().samples
    assert len(kept) == SAMPLES_KEPT == 3600
    assert [one.at_s for one in kept] == [140.0 + second for second in range(SAMPLES_KEPT)]


def test_the_model_samples_every_finished_epoch() -> None:
    model = FixModel(judgement=Judgement(ErrorModel()))
    for second in range(10):  # one more, and a position that stands still at 5 knots is called so
        model.feed(lines(rmc(NOON + second), gga(NOON + second), gsv(1, 1, 1, 2, 3, 4, cno=41)), 1.0 * second)
    model.finish()
    found = model.snapshot().samples
    assert [one.verdict for one in found] == [Verdict.DOUBTFUL] * 8 + [Verdict.FIRM] * 2
    assert {one.best_four_dbhz for one in found} == {41.0}
    assert {one.hdop for one in found} == {1.1}


def test_without_a_judgement_there_are_none() -> None:
    model = FixModel()
    model.feed(lines(rmc(NOON), rmc(NOON + 1)), 0.0)
    model.finish()
    assert model.snapshot().samples == ()

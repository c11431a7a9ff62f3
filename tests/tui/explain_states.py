"""States of the board in which, taken together, every figure that is explained is drawn. All invented."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from core.benchmark import HeightKind, Mark
from core.fix import FixMode, Position
from core.going import Goal, Route
from core.logbook import RecorderState, RecorderStatus
from core.model import FixModel, Snapshot
from core.outing import Outing
from core.places.notation import Notation
from core.return_trail import route_back
from core.sky_memory import SkyMemory
from core.sources.source import SourceKind, SourceState
from core.waypoints import Waypoint
from tests.build import lines
from tests.sites import begun, fed, stood
from tests.station import Station, watch
from tests.tui.support import ISLE, REPLAYING, SETTLED, START_S, Epoch, board_state, judging_model, played, walked
from tests.walks import OCEAN, Noise
from tui.sky_choice import Layer, SkyChoice
from tui.state import BoardState, Orientation

HELD = replace(REPLAYING, kind=SourceKind.HELD, state=SourceState.HOLDING, name="Isle of Quennet")
METRES_PER_MINUTE_EAST = 109_473.0 / 60
"""At 10.5 degrees north (WGS 84)."""


def east(metres: float) -> str:
    return f"1030.0000,N,020{15.0 - metres / METRES_PER_MINUTE_EAST:07.4f},W"


def hike(seconds: int = 1100, gap: range = range(0)) -> FixModel:
    """Due east at 1.5 m/s, up and down a hill of 60 m; void in the gap."""
    model = judging_model(Outing())
    model.sky_memory = SkyMemory()
    for second in range(seconds):
        height = f"{12.5 + 60 * (1 - abs(2 * second / seconds - 1)):.1f}"
        one = Epoch(float(second), place=east(1.5 * second), altitude=height, valid=second not in gap)
        model.feed(lines(*one.bodies()), START_S + second)
    return model


def towards(route: Route, like: FixModel | None = None) -> Snapshot:
    """A minute on the way."""
    model = like or judging_model(Outing())
    model.navigator.route = route  # as the feed sets it
    start = 0 if like is None else 1100
    for second in range(start, start + 70):
        one = Epoch(float(second), place=east(1.5 * second if like is None else 2 * 1650 - 1.5 * second))
        model.feed(lines(*one.bodies()), START_S + second)
    return model.snapshot()


# States


FINE = Epoch(
    quality="4",
    mode="R",
    more=("GNGST,120000.00,1.0,,,,0.02,0.02,0.03", "GNHDT,200.0,T", "GPDTM,999,,0.0,N,0.0,E,0.0,W84"),
)
RTK = replace(FINE, more=(*FINE.more, "GNVTG,90.0,T,,M,2.9,N,5.4,K,R"))


def corrected(*, status: str = "C") -> Snapshot:
    """Corrections and a station, a caution, a datum, a contradiction."""
    bodies = [
        "GNRMC,120000.00,A,1030.0000,N,02015.0000,W,2.9,90.0,040531,,,D," + status,
        "GNGGA,120000.00,1030.1000,N,02015.0000,W,2,09,0.9,12.5,M,30.0,M,4.0,0123",
        "GNGST,120000.00,1.0,,,,1.5,1.6,2.5",
        "GPDTM,W72,,0.0,N,0.0,E,0.0,W84",
    ]
    model = judging_model()
    model.feed(lines(*bodies), START_S)
    return model.snapshot()


@lru_cache
def on_foot() -> BoardState:
    """A trip with a leg, a gap and a hill."""
    model = hike(600, range(200, 230))
    assert model.outing
    model.outing.new_leg()
    for second in range(600, 1100):
        model.feed(lines(*Epoch(float(second), place=east(1.5 * second), altitude="20.0").bodies()), START_S + second)
    return board_state(model.snapshot())


@lru_cache
def on_a_route() -> BoardState:
    goal = Waypoint("Isle of Quennet", Position(10.5, -20.2), error_95_m=5.0)
    route = Route((Goal(goal.name, goal.position, 5.0), Goal(ISLE.name, ISLE.position)), Position(10.5005, -20.25))
    return board_state(towards(route), target=goal, then=(ISLE,), route=route)


@lru_cache
def arrived() -> BoardState:
    goal = Waypoint("Isle of Quennet", Position(10.5, -20.25), error_95_m=5.0)
    route = Route((Goal(goal.name, goal.position, 5.0),), Position(10.51, -20.25))
    model = judging_model()
    model.navigator.route = route
    for second in range(12):
        model.feed(lines(*Epoch(float(second), knots="0.0").bodies()), START_S + second)
    return board_state(model.snapshot(), target=goal, route=route)


@lru_cache
def by_trail() -> BoardState:
    model = hike()
    assert model.outing
    route = route_back(model.outing.report().track)
    start = Waypoint("start of the trail", route.goals[-1].position)
    return board_state(towards(route, model), target=start, route=route, is_by_trail=True)


@lru_cache
def averaged() -> BoardState:
    site = begun(stood(900, noise=Noise(2.0, 20.0, 0.3)))
    leap = [step._replace(at_s=step.at_s + 900, place=Position(10.5004, -20.25)) for step in stood(2, 3)]
    fed(site, leap)
    back = [step._replace(at_s=step.at_s + 902) for step in stood(300, 4, Noise(2.0, 20.0, 0.3))]
    fed(site, back[:20], usable=False)
    fed(site, back[20:], mode=FixMode.DIFFERENTIAL)
    site.set_mark(Mark("Quennet pillar", OCEAN, 0.5, 0.2, 50.0, HeightKind.ELLIPSOID))
    return board_state(replace(walked(12), site=site.report()))


@lru_cache
def timed() -> BoardState:
    return board_state(replace(walked(12), clock=watch(Station(0.1, 0.2)).last))


def dated(day: str) -> Snapshot:
    return walked(12, Epoch(day=day))


STATES: dict[str, BoardState] = {
    "nothing yet": BoardState(),
    "settled": SETTLED,
    "degrees and minutes": SETTLED.changed(notation=Notation.DEGREES_MINUTES),
    "with seconds": SETTLED.changed(notation=Notation.DEGREES_MINUTES_SECONDS),
    "no fix": board_state(played(Epoch(), Epoch(1.0, valid=False, more=("GPTXT,01,01,02,ANTENNA OPEN",)))),
    "old": board_state(walked(12), age_s=4.0),
    "gone": board_state(walked(12), age_s=60.0),
    "two dimensions": board_state(walked(12, Epoch(dimensions=2, altitude=""))),
    "simulated": board_state(walked(12, Epoch(mode="S", quality="8"))),
    "standing": board_state(walked(12, Epoch(knots="0.0", course=""))),
    "slow": board_state(walked(12, Epoch(knots="1.2"))),
    "in the model's years": board_state(dated("010626")),
    "rolled over": board_state(dated("170907")),
    "RTK": board_state(walked(12, RTK), orientation=Orientation.HEAD_UP),
    "corrected": board_state(corrected()),
    "unsafe": board_state(corrected(status="U")),
    "weak and bunched": board_state(walked(12, Epoch(hdop="7.0", sky=("GPGSV,1,1,02,05,05,090,20,07,05,180,20",)))),
    "held": board_state(status=HELD),
    "a mark far away": SETTLED.changed(target=ISLE),
    "arrived": arrived(),
    "recording": SETTLED.changed(recorder=RecorderStatus(RecorderState.RECORDING, None, 2_500_000, "")),
    "on a route": on_a_route(),
    "by trail": by_trail(),
    "a trip": on_foot(),
    "averaging": averaged(),
    "the clock": timed(),
    "what if": SETTLED.changed(sky=SkyChoice(mask_deg=20, cliff_height_deg=30, street_wall_deg=40)),
    "dropped": SETTLED.changed(sky=SkyChoice(dropped=frozenset({"G05"}), dropped_systems=frozenset({"E"}))),
    **{layer.value: on_foot().changed(sky=SkyChoice(layer=layer)) for layer in Layer},
}

"""Runs of the simulated receiver for tests, and skies that stand still. The place and the sky are invented."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from core.fix import Position
from core.places.geodesic import distance_m
from core.rehearsal.look import OPEN_SKY, Seen
from core.rehearsal.orbits import Sat
from core.rehearsal.ranging import BUDGETS, ErrorBudget
from core.rehearsal.receiver import Epoch, Receiver, ReceiverConfig, Sky, Truth
from core.rehearsal.tracking import Start

HERE = Position(47.25, 8.75)
NOON = datetime(2031, 5, 4, 12, tzinfo=UTC)
TRUTH = Truth(HERE, 550.0, 48.0, 0.0, 0.0, OPEN_SKY)
COLD, HOT = ReceiverConfig(), ReceiverConfig(start=Start.HOT)
AT_THE_GATE = """title = "At the gate"
call = "QX1ABC"
start = 2027-05-15T09:00:00Z
seed = 5
[receiver]
start = "hot"
systems = "GE"
[[path]]
at = "41 N 179.9 E"
pause_s = 20
"""
"""A scenario as a user writes it: twenty seconds and one epoch more."""
Script = Callable[[float], Truth]
ROUND = [(float(azimuth), elevation) for azimuth in range(0, 360, 60) for elevation in (20.0, 60.0)]
"""Twelve satellites, alike in all directions: equal errors east and north."""


def always(_seconds: float) -> Truth:
    """Standing still in the open."""
    return TRUTH


def during(event: str, first: float, last: float) -> Script:
    """An event in force for a while."""
    return lambda seconds: TRUTH._replace(events=frozenset({event} if first <= seconds < last else ()))


def run(
    config: ReceiverConfig,
    seconds: float,
    script: Script = always,
    *,
    seed: int = 1,
    sky: Sky | None = None,
    hz: int = 1,
) -> list[Epoch]:
    """Epochs from switching on, at noon."""
    receiver = Receiver(config, seed, sky)
    return [receiver.step(NOON + timedelta(seconds=k / hz), script(k / hz)) for k in range(round(seconds * hz))]


def first_fix_s(epochs: list[Epoch]) -> int:
    """Seconds to the first position, at 1 Hz; a million for never."""
    return next((second for second, one in enumerate(epochs) if one.valid), 1_000_000)


def seen(system: str, number: int, azimuth_deg: float, elevation_deg: float) -> Seen:
    """A satellite by its direction; its orbit says nothing."""
    a, e = math.radians(azimuth_deg), math.radians(elevation_deg)
    sat = Sat(f"{system}{number:02d}", system, 2.6e7, 1e-4, 1.0, 0.0, 0.0, 0.0, NOON)
    unit = (math.cos(e) * math.sin(a), math.cos(e) * math.cos(a), math.sin(e))
    return Seen(sat, azimuth_deg, elevation_deg, unit, 2.2e7)


def still(systems: str, directions: list[tuple[float, float]]) -> Sky:
    """A sky that stands still: a letter of `systems` for each azimuth and elevation."""
    pairs = enumerate(zip(systems, directions, strict=True), 1)
    found = [seen(system, number, *direction) for number, (system, direction) in pairs]
    return lambda *_: found


def error_m(epoch: Epoch) -> float:
    """Over the ground, from the truth."""
    assert epoch.position is not None
    return distance_m(HERE, epoch.position)


def with_budget(config: ReceiverConfig, budget: ErrorBudget) -> ReceiverConfig:
    """The same errors in every mode."""
    return dataclasses.replace(config, budgets=dict.fromkeys(BUDGETS, budget))

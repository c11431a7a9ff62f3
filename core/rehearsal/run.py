"""A whole rehearsal, epoch by epoch, as bytes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta

from core.rehearsal.path import duration_s, truth_at
from core.rehearsal.receiver import Epoch, Receiver
from core.rehearsal.scenario import Scenario
from core.rehearsal.sentences import bodies
from core.rehearsal.writer import lines
from core.sources.rehearsal_label import WORD

SAID_EVERY_S = 60
"""How often the file says what it is, besides the label of each sentence."""

Progress = Callable[[float], None]
"""Told the part that is done, 0 to 1."""


def rehearse(scenario: Scenario, seed: int | None = None, progress: Progress | None = None) -> Iterator[bytes]:
    """The sentences of each epoch, ended by CR LF. One seed (the scenario's own by default) gives the same bytes."""
    seed = scenario.seed if seed is None else seed
    count = epoch_count(scenario)
    for number, epoch in enumerate(epochs(scenario, seed)):
        yield lines([*_banner(scenario, seed, number), *_told(scenario, number, epoch)])
        if progress is not None:
            progress((number + 1) / count)


def epoch_count(scenario: Scenario) -> int:
    """How many epochs there are, the first at the start included."""
    return int(duration_s(scenario) * scenario.rate_hz + 1e-6) + 1


def epochs(scenario: Scenario, seed: int) -> Iterator[Epoch]:
    """What the receiver knows at each."""
    receiver = Receiver(scenario.receiver, seed)
    for number in range(epoch_count(scenario)):
        seconds = number / scenario.rate_hz
        yield receiver.step(scenario.start + timedelta(seconds=seconds), truth_at(scenario, seconds))


def _told(scenario: Scenario, number: int, epoch: Epoch) -> Iterator[str]:
    """The satellites in view once a second at most: at higher rates receivers leave them out of the other epochs."""
    sky = number % (scenario.rate_hz * scenario.manner.sky_every_s) == 0
    return bodies(epoch, scenario.manner, sky=sky)


def _banner(scenario: Scenario, seed: int, number: int) -> list[str]:
    """TXT of severity 02, a notice: two at the start, then the first of them each minute."""
    title = f"{WORD} {scenario.title}"
    if number == 0:
        return [f"GNTXT,02,01,02,{title}", f"GNTXT,02,02,02,Simulated for {scenario.call} - seed {seed} - no receiver"]
    return [f"GNTXT,01,01,02,{title}"] if number % (scenario.rate_hz * SAID_EVERY_S) == 0 else []

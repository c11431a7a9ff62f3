"""A whole model as bytes, and back: what a seek goes on from.

By pickling all of it, so that nothing can be forgotten: a field that somebody adds to the model tomorrow is in the
next checkpoint. Three sorts of things are not what they hold: locks (a new one each), the rules of the verdict (the
same ones, found by their names) and what a `Growing` list holds, of which only its length is kept: it is shared between
all checkpoints of one pass, since nothing in it ever changes. The bytes never leave this process.
"""

from __future__ import annotations

import copyreg
import io
import pickle
import threading
import zlib
from collections import deque
from collections.abc import Callable
from typing import NamedTuple

from core.events import Event
from core.model import FixModel
from core.series import Sample
from core.track import TrackPoints
from core.trust import Rule
from core.trust_rules import RULES

_LEVEL = 1
"""The fastest: it makes a fifth of it, in a few milliseconds."""
_RULES = {rule.id: rule for rule in RULES}


class Logs(NamedTuple):
    """What a model keeps that only ever grows, or drops its oldest."""

    samples: deque[Sample]
    events: deque[Event]
    track: TrackPoints


def take_out(model: FixModel) -> Logs:
    """The model's logs; it goes on with empty ones. They are to be put back."""
    return put_in(model, Logs(deque(), deque(), TrackPoints()))


def put_in(model: FixModel, logs: Logs) -> Logs:
    """The model with these logs; those that it had."""
    samples, events = model.swap_logs(logs.samples, logs.events)
    return Logs(samples, events, model.outing.swap_track(logs.track) if model.outing else TrackPoints())


def pack(model: FixModel) -> bytes:
    """All of it."""
    buffer = io.BytesIO()
    _Pickler(buffer, pickle.HIGHEST_PROTOCOL).dump(model)
    return zlib.compress(buffer.getbuffer(), _LEVEL)


def unpack(packed: bytes) -> FixModel:
    """A model of its own, as it was when it was packed."""
    model: FixModel = pickle.loads(zlib.decompress(packed))  # our own bytes, which no file was made of
    return model


def _rule(name: str) -> Rule:
    return _RULES[name]


def _of_rule(rule: Rule) -> tuple[Callable[[str], Rule], tuple[str]]:
    return _rule, (rule.id,)


def _of_lock(lock: object) -> tuple[Callable[[], object], tuple[()]]:
    del lock
    return threading.Lock, ()


class _Pickler(pickle.Pickler):
    dispatch_table = {  # noqa: RUF012  # as the standard library's documentation has it
        **copyreg.dispatch_table,
        type(threading.Lock()): _of_lock,
        Rule: _of_rule,
    }

"""Feeds as they are wished for, and what comes out of them."""

from __future__ import annotations

from collections import Counter

from core.feeding.plan import FeedPlan, Origin, feed_plan
from core.feeding.raw import RawWriter
from core.feeding.wish import FeedWish
from core.sources.source import SourceKind
from tests.wire import burst

LIVE, REPLAY = Origin(SourceKind.LIVE), Origin(SourceKind.REPLAY)
NOON = 43_200.0


def plan(**wished: object) -> FeedPlan:
    return feed_plan(FeedWish(**wished))  # type: ignore[arg-type]  # tests name FeedWish's fields


def raw(data: list[tuple[float, bytes]], *, require: bool = True, **wished: object) -> bytes:
    writer = RawWriter(plan(**wished), require_checksum=require)
    return b"".join(one for at_s, piece in data for one in writer.take(piece, at_s))


def at_hz(hz: int, seconds: int, fix: bool = True) -> list[tuple[float, bytes]]:
    """Bursts of an invented receiver, by the time of their arrival."""
    return [(n / hz, burst(n / hz, fix=fix)) for n in range(hz * seconds)]


def addresses(data: bytes) -> Counter[str]:
    return Counter(one[1:6].decode("ascii") for one in data.splitlines())


def clocks(data: bytes, kind: bytes) -> list[float]:
    """Seconds after noon in the sentences of a kind."""
    found = [one.split(b",")[1].decode() for one in data.splitlines() if one[3:6] == kind]
    return [int(t[:2]) * 3600 + int(t[2:4]) * 60 + float(t[4:]) - NOON for t in found if t]

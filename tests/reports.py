"""Recordings for reports, and reports read back. Every place is invented, in open ocean."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from functools import cache
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

from core.accuracy import ErrorModel
from core.report.collect import Plan, collect
from core.report.model import Report
from core.sources.recording import recording_of
from tests.build import clock, lines

SVG = "{http://www.w3.org/2000/svg}"
SOUTH_WEST = (10.5, -20.25)
MINUTE_M = 1843.5
"""Of latitude at 10.5 degrees on WGS 84 (tests/core/test_digest.py has the source)."""


class At(NamedTuple):
    """What the receiver says at a second; no `place` is a void epoch."""

    place: tuple[float, float] | None
    knots: float = 0.0
    height_m: float = 100.0
    used: int = 9


Script = Callable[[int], At | None]
"""By second; None: silence."""


def recorded(
    script: Script, seconds: Iterable[int], extra: dict[int, str] | None = None, begin_s: int = 43_200
) -> bytes:
    """A receiver at 1 Hz with a good sky; `extra`: another sentence's body at a second."""
    found = []
    for second in seconds:
        at = script(second)
        if at is not None:
            found.append(
                lines(*_bodies(clock(begin_s + second), at), *([extra[second]] if extra and second in extra else []))
            )
    return b"".join(found)


def _bodies(time: str, at: At) -> tuple[str, ...]:
    if at.place is None:
        return (f"GNRMC,{time},V,,,,,,,040531,,,N", f"GNGGA,{time},,,,,0,00,,,M,,M,,")
    where = f"{_angle(at.place[0], 2, 'NS')},{_angle(at.place[1], 3, 'EW')}"
    used = ",".join([*(f"{number:02d}" for number in range(1, at.used + 1)), *[""] * (12 - at.used)])
    return (
        f"GNRMC,{time},A,{where},{at.knots},0.0,040531,,,A",
        f"GNGGA,{time},{where},1,{at.used:02d},0.9,{at.height_m:.1f},M,30.0,M,,",
        f"GNGSA,A,3,{used},1.6,0.9,1.3,1",
        *_sky(),
    )


def _sky() -> list[str]:
    """Twelve satellites: number n at azimuth 30 n and 5 n degrees up, 30 + n dB-Hz."""
    groups = [f"{n:02d},{5 * n:02d},{30 * n % 360:03d},{30 + n}" for n in range(1, 13)]
    return [f"GPGSV,3,{page + 1},12,{','.join(groups[4 * page : 4 * page + 4])},1" for page in range(3)]


def _angle(degrees: float, digits: int, letters: str) -> str:
    minutes = round(abs(degrees) * 60, 5)
    whole, rest = divmod(minutes, 60)
    return f"{int(whole):0{digits}d}{rest:08.5f},{letters[degrees < 0]}"


def north(metres: float) -> tuple[float, float]:
    """So far north of the corner where the walks begin."""
    return SOUTH_WEST[0] + metres / MINUTE_M / 60, SOUTH_WEST[1]


def report_of(data: bytes, name: str = "walk.nmea", *, rehearsal: bool = False) -> Report:
    """Collected from memory."""
    recording = recording_of(BytesIO(data), Path(name), len(data))
    return collect(recording, Plan(True, rehearsal, ErrorModel()))


@cache
def report_of_file(path: Path, *, required: bool = True) -> Report:
    """Collected from a file, plain or gzip."""
    with path.open("rb") as raw:
        return collect(recording_of(raw, path, path.stat().st_size), Plan(required, False, ErrorModel()))


def read_as_xml(text: str) -> ElementTree.Element:
    """The page is well-formed XML too; raises where it is not."""
    return ElementTree.fromstring(text.removeprefix("<!DOCTYPE html>\n"))


class Read(HTMLParser):
    """The page as HTML tells it: elements in their order, and all text that is shown."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.shown: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.shown.append(data)

    @property
    def text(self) -> str:
        """Everything between tags, the style among it."""
        return "".join(self.shown)

    def all(self, tag: str) -> list[dict[str, str | None]]:
        """Attributes of all elements of that name."""
        return [attributes for name, attributes in self.tags if name == tag]


def drawing(text: str, name: str) -> ElementTree.Element:
    """One plot by its id."""
    return next(one for one in read_as_xml(text).iter(f"{SVG}svg") if one.get("id") == name)


def paths(plot: ElementTree.Element, kind: str) -> list[list[list[tuple[float, float]]]]:
    """The pieces of each path of that class, as points."""
    return [_pieces(one.get("d", "")) for one in plot.iter(f"{SVG}path") if one.get("class") == kind]


def _pieces(data: str) -> list[list[tuple[float, float]]]:
    found = []
    for piece in data.split("M")[1:]:
        figures = [float(one) for one in piece.replace("L", " ").replace("Z", "").split()]
        found.append(list(zip(figures[::2], figures[1::2], strict=True)))
    return found


def labels(plot: ElementTree.Element) -> list[tuple[str, float, float]]:
    """Texts with their places."""
    return [(one.text or "", float(one.get("x", "nan")), float(one.get("y", "nan"))) for one in plot.iter(f"{SVG}text")]


def near(a: tuple[float, float], b: tuple[float, float], within: float = 0.6) -> bool:
    """To the tenth that is written, and the half unit that thinning may move."""
    return math.dist(a, b) <= within

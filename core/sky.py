"""The sky across epochs: satellites in view, put together from GSV pages that may come seconds apart.

Some receivers send all pages every second, some one page a second, some every fifth second only. A group (one
talker on one signal) is replaced as a whole when its last page has come, so that the sky is never half old, half new.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from core.aged import GONE_AFTER_S
from core.fix import Heard, Satellite, strongest
from core.nmea.readings import Gsv

GroupKey = tuple[str, str]


class _Group(NamedTuple):
    pages: dict[int, Gsv]
    at_s: float
    period_s: float


class SkyBook:
    """Collects GSV pages; gives the satellites in view."""

    def __init__(self) -> None:
        self._groups: dict[GroupKey, _Group] = {}
        self._pages: dict[GroupKey, dict[int, Gsv]] = {}
        self._names: frozenset[str] | None = frozenset()

    def copy(self) -> SkyBook:
        """A book to look ahead with, into epochs that are not finished."""
        other = SkyBook()
        other._groups = dict(self._groups)
        other._pages = {key: dict(pages) for key, pages in self._pages.items()}
        other._names = self._names
        return other

    def take(self, pages: Mapping[tuple[str, str, int], Gsv], at_s: float) -> None:
        """Take all pages of one epoch."""
        for (address, signal, _), gsv in pages.items():
            self._add((address, signal), gsv, at_s)

    def _add(self, key: GroupKey, gsv: Gsv, at_s: float) -> None:
        """A new first page closes an incomplete set before it: what was heard was heard."""
        pages = self._pages.get(key)
        if pages is None or gsv.page in pages:
            if pages:
                self._close(key, pages, at_s)
            pages = self._pages[key] = {}
        pages[gsv.page] = gsv
        if len(pages) >= gsv.pages:
            self._close(key, pages, at_s)
            del self._pages[key]

    @property
    def any_group(self) -> bool:
        """Whether a whole group has ever come: without one nothing is known of what is in view."""
        return bool(self._groups)

    def names(self) -> frozenset[str]:
        """Distinct satellites in view, by name, whatever the age of their group."""
        if self._names is None:
            pages = [page for group in self._groups.values() for page in group.pages.values()]
            self._names = frozenset([one.name for page in pages for one in page.satellites])
        return self._names

    def drop_old(self, now_s: float) -> None:
        """Forget groups that missed three of their turns, and ten seconds."""
        old = [k for k, g in self._groups.items() if now_s - g.at_s > max(GONE_AFTER_S, 3 * g.period_s)]
        for key in old:
            del self._groups[key]
            self._names = None

    def satellites(self, used: frozenset[str]) -> tuple[Satellite, ...]:
        """All in view, strongest first, then those in `used` (names of those in the fix) that no GSV mentions."""
        heard: dict[str, Heard] = {}
        for group in self._groups.values():
            for one in (one for page in group.pages.values() for one in page.satellites):
                heard[one.name] = strongest(heard.get(one.name), one)
        found = [Satellite(*one, one.name in used) for one in heard.values()]
        found.sort(key=lambda satellite: (-(satellite.cno_dbhz or 0), satellite.name))
        return (*found, *(Satellite(name, None, None, None, True) for name in sorted(used - heard.keys())))

    def at_s(self) -> float | None:
        """When the newest group was completed."""
        return max((group.at_s for group in self._groups.values()), default=None)

    def period_s(self) -> float:
        """The longest usual interval of a group: the sky as a whole is no fresher than that."""
        return max((group.period_s for group in self._groups.values()), default=1.0)

    def _close(self, key: GroupKey, pages: dict[int, Gsv], at_s: float) -> None:
        old = self._groups.get(key)
        period = at_s - old.at_s if old and at_s > old.at_s else 1.0
        self._groups[key] = _Group(pages, at_s, min(period, 60.0))
        if old is None or _numbers(old.pages) != _numbers(pages):
            self._names = None


def _numbers(pages: dict[int, Gsv]) -> list[list[str]]:
    return [page.numbers for page in pages.values()]

"""The sky across epochs: satellites in view, put together from GSV pages that may come seconds apart.

Some receivers send all pages every second, some one page a second, some every fifth second only. A group (one
talker on one signal) is replaced as a whole when its last page has come, so that the sky is never half old, half new.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from core.aged import GONE_AFTER_S
from core.fix import Heard, Satellite, strongest
from core.nmea.numbering import satellite_name
from core.nmea.readings import Gsv

GroupKey = tuple[str, str]
MOST_GROUPS = 64
"""More than six systems have on all their signals; damage that makes up more must not fill the memory."""
LONGEST_TURN = 60
"""Seconds, and epochs, that one interval between two sets may count at most: an outage is not a habit."""
EPOCHS_KEPT = 10
"""At 1 Hz the same ten seconds for which an old value may stand on the board."""


class _Group(NamedTuple):
    pages: dict[int, Gsv]
    at_s: float
    period_s: float
    epoch: int
    epochs_between: int


_new = tuple.__new__
"""What the class would call: a group is made with every set of pages, the commonest thing in a recording."""


def _last_epoch(group: _Group) -> int:
    """The last epoch for which a group counts that is not renewed."""
    return group.epoch + max(EPOCHS_KEPT, 3 * group.epochs_between)


class SkyBook:
    """Collects GSV pages; gives the satellites in view."""

    def __init__(self) -> None:
        self._groups: dict[GroupKey, _Group] = {}
        self._pages: dict[GroupKey, dict[int, Gsv]] = {}
        self._names: frozenset[str] | None = frozenset()
        self._epoch = self._next_check = 0

    def copy(self) -> SkyBook:
        """A book to look ahead with, into epochs that are not finished."""
        other = SkyBook()
        other._groups = dict(self._groups)
        other._pages = {key: dict(pages) for key, pages in self._pages.items()}
        other._names, other._epoch = self._names, self._epoch
        other._next_check = self._next_check
        return other

    def take(self, pages: Mapping[tuple[str, str, int], Gsv], at_s: float) -> None:
        """Take all pages of one epoch, which may be none: a group that is not renewed grows old by it."""
        self._epoch += 1
        if self._epoch > self._next_check:
            self._drop_unrenewed()
        for (address, signal, _), gsv in pages.items():
            self._add((address, signal), gsv, at_s)

    def _drop_unrenewed(self) -> None:
        """Forget groups that missed three of their turns, counted in epochs: so a fast reading means the same."""
        for key, group in list(self._groups.items()):
            if self._epoch > _last_epoch(group):
                del self._groups[key]
                self._names = None
        self._next_check = min(map(_last_epoch, self._groups.values()), default=self._epoch + EPOCHS_KEPT)

    def close(self, at_s: float) -> None:
        """Nothing more will come: what an incomplete set of pages has said counts."""
        for key, pages in self._pages.items():
            if pages:
                self._close(key, pages, at_s)
        self._pages.clear()

    def _add(self, key: GroupKey, gsv: Gsv, at_s: float) -> None:
        """A page that does not go on from the last one begins a new set; the incomplete one before it counts.

        Otherwise, after one lost page or joined in mid-set, sets would be put together of two cycles for ever.
        """
        pages = self._pages.get(key)
        if pages is not None:
            last, newest = next(reversed(pages.items()))
            if gsv.page <= last or newest.pages != gsv.pages:
                self._close(key, pages, at_s)
                pages = None
        if pages is not None:
            pages[gsv.page] = gsv
        else:
            pages = {gsv.page: gsv}
            if gsv.pages > 1:
                self._pages[key] = pages
                _bound(self._pages)
        if len(pages) == gsv.pages:
            self._pages.pop(key, None)
            self._close(key, pages, at_s)

    @property
    def any_group(self) -> bool:
        """Whether a whole group has ever come: without one nothing is known of what is in view."""
        return bool(self._groups)

    def names(self) -> frozenset[str]:
        """Distinct satellites in view, by name, of groups that were renewed lately."""
        if self._names is None:
            pages = [page for group in self._groups.values() for page in group.pages.values()]
            self._names = frozenset[str]().union(*map(_names, pages))
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
        old = self._groups.pop(key, None)
        if old is None:
            _bound(self._groups, MOST_GROUPS - 1)
            self._groups[key] = _Group(pages, at_s, 1.0, self._epoch, 1)
        else:
            self._groups[key] = _renewed(old, pages, (at_s, self._epoch))
        self._names = None


def _renewed(old: _Group, pages: dict[int, Gsv], when: tuple[float, int]) -> _Group:
    """The group after a new set. Of an incomplete set the missing pages stay as they were: lost is not gone.

    Two sets closed in one epoch (an incomplete one, then the next) say nothing about the interval.
    """
    old_pages, old_s, period_s, old_epoch, between = old
    at_s, epoch = when
    total = next(iter(pages.values())).pages
    if len(pages) < total and total == next(iter(old_pages.values())).pages:
        pages = {**old_pages, **pages}
    if at_s > old_s:
        period_s = min(at_s - old_s, LONGEST_TURN)
    if epoch > old_epoch:
        between = min(epoch - old_epoch, LONGEST_TURN)
    return _new(_Group, (pages, at_s, period_s, epoch, between))


def _bound(table: dict[GroupKey, Any], most: int = MOST_GROUPS) -> None:
    if len(table) > most:
        del table[next(iter(table))]


@lru_cache(maxsize=256)
def _names(page: Gsv) -> frozenset[str]:
    """Of the satellites on one page. Cached: asked at every epoch, also of the pages that are not renewed."""
    found = [satellite_name(page.system, number) for number in page.numbers]
    return frozenset([name for name in found if name])

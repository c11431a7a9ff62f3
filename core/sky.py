"""The sky across epochs: satellites in view, put together from GSV pages that may come seconds apart.

Some receivers send all pages every second, some one page a second, some every fifth second only. A group (one
talker on one signal) is replaced as a whole when its last page has come, so that the sky is never half old, half new.
"""

from __future__ import annotations

from collections.abc import Mapping
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


def _last_epoch(group: _Group) -> int:
    """The last epoch for which a group counts that is not renewed."""
    return group.epoch + max(EPOCHS_KEPT, 3 * group.epochs_between)


class SkyBook:
    """Collects GSV pages; gives the satellites in view."""

    def __init__(self) -> None:
        self._groups: dict[GroupKey, _Group] = {}
        self._pages: dict[GroupKey, dict[int, Gsv]] = {}
        self._names: frozenset[str] | None = frozenset()
        self._numbers: list[tuple[str, list[str]]] = []
        self._names_of_numbers: frozenset[str] = frozenset()
        self._epoch = self._next_check = 0

    def copy(self) -> SkyBook:
        """A book to look ahead with, into epochs that are not finished."""
        other = SkyBook()
        other._groups = dict(self._groups)
        other._pages = {key: dict(pages) for key, pages in self._pages.items()}
        other._names, other._epoch = self._names, self._epoch
        other._next_check = self._next_check
        other._numbers, other._names_of_numbers = self._numbers, self._names_of_numbers
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
        if not pages or gsv.page <= max(pages) or next(iter(pages.values())).pages != gsv.pages:
            if pages:
                self._close(key, pages, at_s)
            pages = self._pages[key] = {}
            _bound(self._pages)
        pages[gsv.page] = gsv
        if len(pages) >= gsv.pages:
            self._close(key, pages, at_s)
            del self._pages[key]

    @property
    def any_group(self) -> bool:
        """Whether a whole group has ever come: without one nothing is known of what is in view."""
        return bool(self._groups)

    def names(self) -> frozenset[str]:
        """Distinct satellites in view, by name, of groups that were renewed lately."""
        if self._names is None:
            pages = [page for group in self._groups.values() for page in group.pages.values()]
            numbers = [(page.system, page.numbers) for page in pages]
            if numbers != self._numbers:
                self._numbers = numbers
                self._names_of_numbers = _named(numbers)
            self._names = self._names_of_numbers
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
        group = _Group(pages, at_s, 1.0, self._epoch, 1) if old is None else _renewed(old, pages, (at_s, self._epoch))
        self._groups[key] = group
        self._names = None
        _bound(self._groups)


def _renewed(old: _Group, pages: dict[int, Gsv], when: tuple[float, int]) -> _Group:
    """The group after a new set. Of an incomplete set the missing pages stay as they were: lost is not gone.

    Two sets closed in one epoch (an incomplete one, then the next) say nothing about the interval.
    """
    at_s, epoch = when
    total = next(iter(pages.values())).pages
    if len(pages) < total == next(iter(old.pages.values())).pages:
        pages = {**old.pages, **pages}
    period_s = at_s - old.at_s if at_s > old.at_s else old.period_s
    between = epoch - old.epoch if epoch > old.epoch else old.epochs_between
    return _Group(pages, at_s, min(period_s, LONGEST_TURN), epoch, min(between, LONGEST_TURN))


def _bound(table: dict[GroupKey, Any]) -> None:
    if len(table) > MOST_GROUPS:
        del table[next(iter(table))]


def _named(numbers: list[tuple[str, list[str]]]) -> frozenset[str]:
    names = (satellite_name(system, number) for system, page in numbers for number in page)
    return frozenset(name for name in names if name)

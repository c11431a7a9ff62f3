"""A position read back, held against what was said: which character is wrong, in which group, and how far off that is.

The two rows of characters are laid side by side so that as little as possible differs. What was heard is then put
together again, group by group, and read as a place.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum
from typing import NamedTuple

from core.fix import Position
from core.places.geodesic import distance_m
from core.places.locator import box
from core.places.mgrs import square
from core.places.notation import Form
from core.position_report import Group, SpokenForm
from core.report_speech import Piece, Sort, heard
from core.side_by_side import LEFT_OUT, PUT_IN, TURNED, Step, side_by_side

MAX_HEARD = 60
"""Characters: the longest form has 30."""


class SlipKind(Enum):
    """What happened to a character."""

    OTHER = "other"
    MISSING = "missing"
    EXTRA = "extra"
    EXCHANGED = "exchanged"


class Slip(NamedTuple):
    """One thing that is not as it was said."""

    kind: SlipKind
    group: str
    """The name of its group."""
    number: int
    """Which character of the group, 1 for the first."""
    said: str
    """Empty for an extra one."""
    heard: str
    """Empty for a missing one."""

    @property
    def words(self) -> str:
        """For the user."""
        where = f"{self.group}, {_ordinal(self.number)} place"
        if self.kind is SlipKind.MISSING:
            return f"{where}: {self.said} was left out"
        if self.kind is SlipKind.EXTRA:
            return f"{where}: {self.heard} was put in"
        if self.kind is SlipKind.EXCHANGED:
            return f"{where}: {self.said} became {self.heard}, exchanged"
        return f"{where}: {self.said} became {self.heard}"


class ReadBack(NamedTuple):
    """The comparison."""

    form: SpokenForm
    """Which form it was held against."""
    slips: tuple[Slip, ...]
    """In the order of the text; none: all is right."""
    off_m: float | None
    """From the place said to the place heard; None where what was heard is no place."""
    unknown: tuple[str, ...]
    """Words that were not understood."""

    @property
    def is_right(self) -> bool:
        """Whether all was read back, and rightly."""
        return not self.slips


def check(forms: Sequence[SpokenForm], text: str) -> ReadBack | None:
    """The read-back held against the form that it fits best; None where it holds nothing of a position."""
    taken = heard(text)
    if not any(piece.sort in _SAID for piece in taken.pieces):
        return None
    found = [_against(form, taken.pieces, taken.unknown) for form in forms]
    return min(found, key=lambda one: len(one.slips))


_SAID = (Sort.NUMBER, Sort.LETTERS, Sort.HEMISPHERE)


def _against(form: SpokenForm, pieces: tuple[Piece, ...], unknown: tuple[str, ...]) -> ReadBack:
    plain = [group for group in form.groups if not _is_hemisphere(group)]
    letters = [group for group in form.groups if _is_hemisphere(group)]
    sides, others = _sides(pieces) if letters else ([], _characters(pieces))
    numbers = [piece.text for piece in pieces if piece.sort is Sort.NUMBER]
    by_number = letters and len(numbers) == len(plain)
    slips, texts = _number_by_number(plain, numbers) if by_number else _compared(plain, others)
    slips += _hemisphere_slips(letters, sides)
    texts |= {group.name: side for group, side in zip(letters, sides, strict=False)}
    order = {group.name: n for n, group in enumerate(form.groups)}
    slips.sort(key=lambda slip: (order[slip.group], slip.number))
    return ReadBack(form, tuple(slips), _off_m(form, texts) if slips else 0.0, unknown)


def _is_hemisphere(group: Group) -> bool:
    return group.name.startswith("hemisphere")


def _characters(pieces: Sequence[Piece]) -> str:
    """All that was said of figures and letters, in a row; a word for a hemisphere is a letter like any other."""
    return "".join(piece.text for piece in pieces if piece.sort in _SAID)[:MAX_HEARD]


def _sides(pieces: Sequence[Piece]) -> tuple[list[str], str]:
    """Hemispheres in their order, latitude's first, and all other characters. Marks typed as letters are neither."""
    sides = [one for piece in pieces if piece.sort in _LETTERS for one in piece.text if one in "NSEW"]
    others = [piece if piece.sort is Sort.NUMBER else piece._replace(text=_odd(piece)) for piece in pieces]
    sides.sort(key=lambda one: one in "EW")
    return sides, _characters(others)


_LETTERS = (Sort.LETTERS, Sort.HEMISPHERE)


def _odd(piece: Piece) -> str:
    return "".join(one for one in piece.text if one not in "NSEWDM")


def _hemisphere_slips(groups: Sequence[Group], sides: Sequence[str]) -> list[Slip]:
    """Two of them, each against its axis: N or S, E or W."""
    found = []
    for group, axis in zip(groups, ("NS", "EW"), strict=False):
        said = next((side for side in sides if side in axis), "")
        if not said:
            found.append(Slip(SlipKind.MISSING, group.name, 1, group.text, ""))
        elif said != group.text:
            found.append(Slip(SlipKind.OTHER, group.name, 1, group.text, said))
    return found


def _number_by_number(groups: Sequence[Group], numbers: Sequence[str]) -> tuple[list[Slip], dict[str, str]]:
    """Where each group was heard as a number: what is wrong in one must not be sought in the next."""
    slips: list[Slip] = []
    texts: dict[str, str] = {}
    for group, number in zip(groups, numbers, strict=True):
        found, text = _compared((group,), number[:MAX_HEARD])
        texts |= text
        slips += [] if float(number[:MAX_HEARD]) == float(group.text) else found
    return slips, texts


def _compared(groups: Sequence[Group], text: str) -> tuple[list[Slip], dict[str, str]]:
    """What differs, and each group as it was heard."""
    said = "".join(group.text for group in groups)
    owners = [(group, number) for group in groups for number in range(1, len(group.text) + 1)]
    slips: list[Slip] = []
    texts = {group.name: "" for group in groups}
    at = at_heard = 0
    for step in side_by_side(said, text):
        first, second = said[at : at + step.said], text[at_heard : at_heard + step.heard]
        group, number = owners[min(at, len(owners) - 1)]
        if step is PUT_IN and at and number == 1 and second != "0":
            group, number = owners[at - 1][0], owners[at - 1][1] + 1  # behind a group rather than before the next
        number += step is PUT_IN and at == len(owners)
        texts[group.name] += second
        if first != second and not _is_idle_zero(first or second, step, number, group):
            slips.append(Slip(_KINDS.get(step, SlipKind.OTHER), group.name, number, first, second))
        at, at_heard = at + step.said, at_heard + step.heard
    return slips, texts


_KINDS = {LEFT_OUT: SlipKind.MISSING, PUT_IN: SlipKind.EXTRA, TURNED: SlipKind.EXCHANGED}


def _is_idle_zero(character: str, step: Step, number: int, group: Group) -> bool:
    """A leading zero of degrees, minutes or a zone more or less says the same."""
    counts = group.name.startswith(("degrees", "minutes", "zone"))
    leads = number == 1 and (step is PUT_IN or len(group.text.partition(".")[0]) > 1)
    return character == "0" and counts and leads and step in {PUT_IN, LEFT_OUT}


def _off_m(form: SpokenForm, texts: dict[str, str]) -> float | None:
    said = place_of(form.form, {group.name: group.text for group in form.groups})
    wrong = place_of(form.form, texts)
    return distance_m(said, wrong) if said and wrong else None


def place_of(form: Form, texts: dict[str, str]) -> Position | None:
    """The place that groups by their names make; None where they make none. A square's is its middle."""
    if form is Form.DEGREES_MINUTES:
        latitude, longitude = (_angle(texts, axis, limit) for axis, limit in (("latitude", 90), ("longitude", 180)))
        return None if latitude is None or longitude is None else Position(latitude, longitude)
    text = " ".join(texts.values())
    if form is Form.MGRS:
        names = ("zone", "band", "square")
        figures = [texts[name] for name in ("easting", "northing") if name in texts]
        found = square(" ".join(["".join(texts.get(name, "") for name in names), *figures]))
        return found.centre if found else None
    try:
        return box(text.replace(" ", "")).centre
    except ValueError:
        return None


def _angle(texts: dict[str, str], axis: str, limit: int) -> float | None:
    try:
        degrees, minutes = int(texts[f"degrees of {axis}"]), float(texts[f"minutes of {axis}"])
        sign = {"N": 1, "E": 1, "S": -1, "W": -1}[texts[f"hemisphere of {axis}"]]
    except (KeyError, ValueError):
        return None
    value = degrees + minutes / 60
    return sign * value if minutes < 60 and value <= limit else None


def _ordinal(number: int) -> str:
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number, "th")
    return f"{number}{ending}"

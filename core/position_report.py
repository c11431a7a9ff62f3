"""A position as it is read out: in the notation of who listens, digit by digit, with no more digits than it is worth.

Which notation: US National SAR Committee, Georeferencing Matrix, 13 November 2007 (land: US National Grid first, then
degrees and minutes; air: degrees and minutes with decimals first, then the grid; never a second form in degrees, at
most three decimals of a minute, no leading zeros) and IMO Standard Marine Communication Phrases, resolution A.918(22)
(degrees and minutes, with the leading zeros of its own example). What the other party asks for goes before all that.
"""

from __future__ import annotations

import math
from enum import StrEnum
from typing import NamedTuple

from core.blur import AMBIGUITY_MINUTES, COARSE_LOCATOR, EXACT, Blur, BlurKind
from core.fix import Position, Utc
from core.places.forms import digits_for
from core.places.locator import locator
from core.places.mgrs import mgrs
from core.places.notation import Form, Notation, write
from core.report_speech import HEMISPHERES, PLAIN, PRONOUNCED, spoken


class Audience(StrEnum):
    """Who listens: which search and rescue service, or whoever works like it."""

    LAND = "land"
    SEA = "sea"
    AIR = "air"


FORMS = {
    Audience.LAND: (Form.MGRS, Form.DEGREES_MINUTES),
    Audience.SEA: (Form.DEGREES_MINUTES, Form.LOCATOR),
    Audience.AIR: (Form.DEGREES_MINUTES, Form.MGRS),
}
"""First the form that is wanted, then one of another kind, as a check on the first (common practice, no source). At sea
that is the locator: its phrases know no second form, and a second one in degrees would be confused with the first."""
LEADING_ZEROS = {Audience.LAND: False, Audience.SEA: True, Audience.AIR: False}
FIGURES = {Audience.LAND: PLAIN, Audience.SEA: PRONOUNCED, Audience.AIR: PRONOUNCED}
"""On land whoever answers the emergency number need not know how radio pronounces figures."""
MOST_DIGITS = {Form.DEGREES_MINUTES: 3, Form.MGRS: 4, Form.LOCATOR: 8}
"""By voice: three decimals of a minute (the Matrix above), eight figures of a grid, eight characters (common
practice)."""
CAUTIONS = (
    "Emergency: phone the local emergency number first (112, 911, or your own).",
    "If the other party asks for another form, theirs wins. Let it be read back before you end.",
)
WGS84 = frozenset({None, "W84"})
"""As DTM names it; a receiver that says nothing is on it."""
MINUTE_M, DEGREE_M = 1_853.0, 111_195.0
_GRID_M = {n: 10.0 ** (5 - n) for n in range(6)}
_LOCATOR_DEG = {8: (15 / 3600, 30 / 3600), 6: (2.5 / 60, 5 / 60), 4: (1.0, 2.0)}


class Situation(NamedTuple):
    """What is to be reported."""

    position: Position
    error_m: float | None = None
    """95 %; None: not known."""
    utc: Utc | None = None
    """Of the fix."""
    age_s: float | None = None
    """Of the fix; None where it does not age, or nobody knows."""
    origin: str = ""
    """Where it comes from if that is no satellite fix: "a place that was typed, not a measurement"."""
    doubt: str = ""
    """Why the verdict is below usable; empty where it is not."""
    datum: str | None = None
    """As DTM names it; None is WGS 84."""


class Manner(NamedTuple):
    """How it is to be reported."""

    audience: Audience = Audience.LAND
    leading_zeros: bool | None = None
    """Of degrees and minutes; None: as the audience has it."""
    blur: Blur = EXACT


class Group(NamedTuple):
    """Some figures or letters that belong together."""

    name: str
    """As "minutes of latitude"."""
    text: str
    """As "30.123", or "N"."""


class SpokenForm(NamedTuple):
    """The position in one form."""

    form: Form
    title: str
    written: str
    groups: tuple[Group, ...]
    lines: tuple[str, ...]
    """To be read aloud; one that begins with a blank goes on with the line above."""

    @property
    def sentences(self) -> tuple[str, ...]:
        """The lines joined where one goes on with another."""
        found: list[str] = []
        for line in self.lines:
            words = " ".join(line.split())
            if line.startswith(" ") and found:
                found[-1] += f" {words}"
            else:
                found.append(words)
        return tuple(found)


class Report(NamedTuple):
    """All that is read out."""

    audience: Audience
    forms: tuple[SpokenForm, ...]
    """The wanted one first."""
    lines: tuple[str, ...]
    """What is said beside the forms: datum, time, error; to be read aloud."""
    warnings: tuple[str, ...]
    """For the speaker: what is doubtful."""

    @property
    def script(self) -> str:
        """All of it as text, to be read aloud from top to bottom."""
        main, *others = self.forms
        rows = [*CAUTIONS, *self.warnings, "", f"{main.title}: {main.written}", *_indented(main.lines)]
        for other in others:
            rows += ["", f"As a check, {other.title}: {other.written}", *_indented(other.lines)]
        return "\n".join([*rows, "", *self.lines])


def _indented(lines: tuple[str, ...]) -> list[str]:
    return [f"  {line}" for line in lines]


def report(situation: Situation, manner: Manner) -> Report:
    """The report. Digits follow the 95 % error, the voice's limit and the blur, whichever is the coarsest."""
    return Report(
        manner.audience,
        tuple(_spoken_form(form, situation, manner) for form in _forms(situation, manner)),
        tuple(_said_beside(situation, manner)),
        tuple(_warnings(situation)),
    )


def _forms(situation: Situation, manner: Manner) -> tuple[Form, ...]:
    """A blurred place is given in one form alone: the squares of two overlap in less than either."""
    forms, blur = FORMS[manner.audience], manner.blur
    if blur.kind is BlurKind.NONE:
        return forms
    is_by_locator = blur.kind is BlurKind.LOCATOR or figures_for(forms[0], situation, blur) < 0
    return (Form.LOCATOR,) if is_by_locator else forms[:1]


def figures_for(form: Form, situation: Situation, blur: Blur) -> int:
    """Decimals of a minute, figures each way of the grid (0: the 100 km square alone), characters of a locator.

    Never more than the error is worth, than are told by voice, than the blur leaves; -1 where even whole minutes are
    finer than that.
    """
    figures = min(digits_for(situation.error_m, form), MOST_DIGITS[form])
    least_m = _least_m(blur)
    return min(figures, _blurred_figures(form, least_m, situation.position.latitude_deg)) if least_m else figures


def _least_m(blur: Blur) -> float:
    """What the last digit must be worth at least; an ambiguity is as coarse as the digits that it leaves blank."""
    if blur.kind is BlurKind.AMBIGUITY:
        return float(AMBIGUITY_MINUTES[int(blur.amount)]) * MINUTE_M
    return {BlurKind.DIGITS: blur.amount, BlurKind.LOCATOR: DEGREE_M}.get(blur.kind, 0.0)


def _blurred_figures(form: Form, least_m: float, latitude_deg: float) -> int:
    """The most figures whose last is worth so much both ways; where none is, the fewest there are."""
    east = math.cos(math.radians(latitude_deg))
    # Half a percent of slack: a minute of latitude is 1,843 to 1,862 m long, and blurs are round figures.
    enough_m = least_m * 0.995
    if form is Form.MGRS:
        return max((n for n, step_m in _GRID_M.items() if step_m >= enough_m), default=0)
    if form is Form.LOCATOR:
        steps = {n: DEGREE_M * min(high, wide * east) for n, (high, wide) in _LOCATOR_DEG.items()}
        return max((n for n, step_m in steps.items() if step_m >= enough_m), default=COARSE_LOCATOR)
    return max((n for n in range(4) if MINUTE_M * east / 10**n >= enough_m), default=-1)


def _spoken_form(form: Form, situation: Situation, manner: Manner) -> SpokenForm:
    makers = {Form.MGRS: _grid, Form.LOCATOR: _locator, Form.DEGREES_MINUTES: _degrees}
    return makers[form](situation.position, figures_for(form, situation, manner.blur), manner)


def _zeros(manner: Manner) -> bool:
    return LEADING_ZEROS[manner.audience] if manner.leading_zeros is None else manner.leading_zeros


def _degrees(position: Position, figures: int, manner: Manner) -> SpokenForm:
    """Degrees and minutes, hemispheres in words."""
    groups: list[Group] = []
    lines, written = [], []
    halves = write(position, Notation.DEGREES_MINUTES, figures)
    for axis, half in zip(("latitude", "longitude"), halves, strict=True):
        found = _half_groups(axis, half, _zeros(manner))
        groups += found
        lines += _half_lines(axis, found, FIGURES[manner.audience])
        written.append(_half_written(found))
    title = "in degrees and minutes"
    return SpokenForm(Form.DEGREES_MINUTES, title, "  ".join(written), tuple(groups), tuple(lines))


def _half_groups(axis: str, half: str, zeros: bool) -> list[Group]:
    """Of `010° 30.000' N`, which all notations write so."""
    degrees, minutes, letter = half.replace("°", "").replace("'", "").split()
    return [
        Group(f"degrees of {axis}", degrees if zeros else _bare(degrees)),
        Group(f"minutes of {axis}", minutes if zeros else _bare(minutes)),
        Group(f"hemisphere of {axis}", letter),
    ]


def _bare(number: str) -> str:
    """Without leading zeros, one before the point kept."""
    whole, point, decimals = number.partition(".")
    return (whole.lstrip("0") or "0") + point + decimals


def _half_lines(axis: str, groups: list[Group], figures: dict[str, str]) -> list[str]:
    degrees, minutes, hemisphere = (group.text for group in groups)
    return [
        f"{axis:<10}{spoken(degrees, figures)} degrees,",
        f"{'':<10}{spoken(minutes, figures)} minutes, {HEMISPHERES[hemisphere].upper()}",
    ]


def _half_written(groups: list[Group]) -> str:
    degrees, minutes, hemisphere = (group.text for group in groups)
    return f"{degrees}° {minutes}' {hemisphere}"


def _grid(position: Position, figures: int, manner: Manner) -> SpokenForm:
    """The US National Grid, which is MGRS on WGS 84: its figures are never cut of their zeros."""
    zone, square, *metres = mgrs(position, max(figures, 1)).split()
    digits = zone[:-1] if _zeros(manner) else zone[:-1].lstrip("0")
    groups = [
        *([Group("zone", digits)] if digits else []),
        Group("band", zone[-1]),
        Group("square", square),
        *(Group(name, text) for name, text in zip(("easting", "northing"), metres, strict=True) if figures),
    ]
    table = FIGURES[manner.audience]
    lines = [f"{'zone':<10}{spoken(digits + zone[-1], table)},", f"{'square':<10}{spoken(square, table)}"]
    lines += [f"{group.name:<10}{spoken(group.text, table)}" for group in groups[-2:] if figures]
    written = " ".join([digits + zone[-1], square, *(metres if figures else ())])
    size = f"{_GRID_M[figures]:.0f} m" if figures > 2 else f"{_GRID_M[figures] / 1000:.0f} km"
    return SpokenForm(
        Form.MGRS, f"by grid reference (MGRS, US National Grid), a {size} square", written, tuple(groups), tuple(lines)
    )


_PAIRS = ("field", "square", "subsquare", "extended square", "further pair")


def _locator(position: Position, figures: int, manner: Manner) -> SpokenForm:
    text = locator(position, figures).upper()
    groups = [Group(name, text[2 * n : 2 * n + 2]) for n, name in enumerate(_PAIRS[: len(text) // 2])]
    line = f"{'locator':<10}" + ", ".join(spoken(group.text, FIGURES[manner.audience]) for group in groups)
    return SpokenForm(Form.LOCATOR, "by locator", text, tuple(groups), (line,))


def _said_beside(situation: Situation, manner: Manner) -> list[str]:
    """Datum, time with its age, error; a blur is said, or the place would pass for an exact one."""
    figures = FIGURES[manner.audience]
    lines = [_datum(situation.datum, figures)]
    if situation.origin:
        lines.append(f"This is {situation.origin}.")
    if situation.utc is not None:
        clock = situation.utc.clock()[:5].replace(":", "")
        age = "" if situation.age_s is None else f", {_length(situation.age_s)} ago"
        lines.append(f"Position of {spoken(clock, figures)} UTC ({clock[:2]}:{clock[2:]}){age}.")
    lines.append(_error(situation, manner.blur))
    return [*lines, "Please read that back."]


def _datum(datum: str | None, figures: dict[str, str]) -> str:
    if datum in WGS84:
        return f"Datum {spoken('WGS', figures)} {spoken('84', figures)} (WGS 84)."
    return f"Datum not WGS 84: the receiver calls it {datum}."


def _error(situation: Situation, blur: Blur) -> str:
    if blur.kind is not BlurKind.NONE:
        return "Given coarsely on purpose: this is not where I am exactly."
    if situation.error_m is None:
        return "How exact it is, is not known."
    # In metres whatever the speaker's units: the listener's grid is in them, and has not the speaker's settings.
    metres = situation.error_m
    shown = f"{metres:.0f} metres" if metres < 1000 else f"{metres / 1000:.1f} kilometres"
    return f"Good to about {shown if metres >= 1.5 else 'one metre'}."


def _length(seconds: float) -> str:
    """An age in words."""
    whole = int(seconds)
    if whole < 120:
        return f"{whole} second{'' if whole == 1 else 's'}"
    return f"{whole // 60} minutes" if whole < 7200 else f"{whole // 3600} hours"


OLD_S = 60.0
"""A position this old is said to be so: at a walk one is 80 m on (common practice, no source)."""


def _warnings(situation: Situation) -> list[str]:
    found = []
    if situation.doubt:
        found.append(f"Doubtful: {situation.doubt}. Say so.")
    if situation.age_s is not None and situation.age_s >= OLD_S:
        found.append(f"Old: {_length(situation.age_s)}. You may be elsewhere by now; say the time of it.")
    if situation.datum not in WGS84:
        found.append("The receiver is not on WGS 84: grid and locator may be hundreds of metres off.")
    return found

"""Any sentence, field by field: taken or refused and why, who speaks, what each field says, the checksum worked out.

Whether a sentence is taken is never decided here: framing and decoding are asked, so the explanation cannot disagree
with them. What a field says comes from the converters that decoding uses.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from core.nmea import explain_marine, explain_satellites, explain_tail
from core.nmea.decode import Malformed, decode
from core.nmea.explain_frame import body_of, checksum_of, why
from core.nmea.explain_kinds import text as plain_text
from core.nmea.explain_layouts import FIX_LAYOUTS, VTG_BARE, is_bare_vtg
from core.nmea.explain_marine import MARINE_LAYOUTS
from core.nmea.explain_names import FORMATTERS, TALKERS
from core.nmea.explain_prefix import opened
from core.nmea.explain_records import NOT_TOLD, Around, Before, Checksum, Field, Kind
from core.nmea.framing import Event, Framer, Reason, Rejected
from core.nmea.numbering import SYSTEM_OF_TALKER

UNKNOWN = "not known to us"
NOTHING = (
    "Nothing here looks like a sentence.",
    "One begins with $ or !, then come 3 to 10 capital letters and digits, and a comma or *.",
)


@dataclass(frozen=True, slots=True)
class Explained:
    """What there is to say about one sentence."""

    text: str
    """As received, Latin-1; of a refused one at most 200 characters."""
    accepted: bool
    reason: Reason | None = None
    """Why it was refused; None where it was not, and where nothing looked like a sentence."""
    why: tuple[str, ...] = ()
    """The same in sentences."""
    address: str = ""
    talker: str = ""
    """Who speaks, in words; empty for a maker's own sentence."""
    formatter: str = ""
    """What it is, in words; empty where we do not know."""
    maker: str = ""
    """The maker's code of a proprietary sentence."""
    fields: tuple[Field, ...] = ()
    names: str = ""
    """Where names and meanings are from: `fixboard`, `pynmea2`, or empty."""
    checksum: Checksum | None = None
    """None where the text was cut."""
    is_used: bool = False
    """Whether fixboard reads this type: others are taken and left alone."""
    before: tuple[Before, ...] = ()
    """What stood before it on its line, where that is known."""

    @property
    def is_cut(self) -> bool:
        """Whether only the beginning was kept."""
        return bool(self.address) and self.checksum is None


def explain(given: str | bytes, require_checksum: bool = True) -> Explained:
    """The first sentence in `given`; one with `accepted` False and no reason where nothing looks like a sentence."""
    nothing = Explained(as_bytes(given)[:200].decode("latin-1"), accepted=False, why=NOTHING)
    return next(iter(explain_all(given, require_checksum)), nothing)


def explain_all(given: str | bytes, require_checksum: bool = True) -> tuple[Explained, ...]:
    """All sentences and would-be sentences in `given`, in order."""
    data = as_bytes(given)
    framer = Framer(require_checksum)
    return tuple(_in_place(data, [*framer.feed(data), *framer.finish()]))


def _in_place(data: bytes, events: list[Event]) -> Iterator[Explained]:
    """Each with what stands before it on its line."""
    done = 0
    for event in events:
        raw = event.text.encode("latin-1")
        at = data.find(raw, done)
        line = max(data.rfind(b"\n", 0, at), data.rfind(b"\r", 0, at)) + 1
        yield explain_event(event, opened(data[max(done, line) : at]))
        done = at + len(raw)


def explain_wire(line: str | Rejected) -> Explained:
    """A line of the wire: a text that was taken, with or without a checksum, or what was refused."""
    if isinstance(line, Rejected):
        return explain_event(line)
    return explain(line, require_checksum=False)


def explain_event(event: Event, before: tuple[Before, ...] = ()) -> Explained:
    """What framing found."""
    if isinstance(event, Rejected):
        return _refused(event, before)
    reading = decode(event)
    if isinstance(reading, Malformed):
        return _refused(Rejected(Reason.MALFORMED, event.text, reading.detail), before)
    return _explained(event.text, before, is_used=reading is not None)


def _refused(event: Rejected, before: tuple[Before, ...]) -> Explained:
    seen = _explained(event.text, before, accepted=False)
    return _with_reason(seen, event)


def _with_reason(seen: Explained, event: Rejected) -> Explained:
    return Explained(
        seen.text,
        False,
        event.reason,
        why(event.reason, event.text, event.detail, seen.fields),
        seen.address,
        seen.talker,
        seen.formatter,
        seen.maker,
        seen.fields,
        seen.names,
        None if _was_cut(event) else seen.checksum,
        False,
        seen.before,
    )


def _was_cut(event: Rejected) -> bool:
    """Whether the text was longer: then framing says something else of what was kept."""
    if event.reason is Reason.MALFORMED:
        return False
    framer = Framer()
    again = [*framer.feed(event.text.encode("latin-1")), *framer.finish()]
    return not (again and isinstance(again[0], Rejected) and again[0][::2] == event[::2])


def _explained(text: str, before: tuple[Before, ...], *, accepted: bool = True, is_used: bool = False) -> Explained:
    fields = body_of(text).split(",")
    address = fields[0]
    talker, formatter = split_address(address)
    maker = "" if talker else address[1:4]
    title, kinds, names = _layout(talker, formatter, fields)
    return Explained(
        text=text,
        accepted=accepted,
        address=address,
        talker=TALKERS.get(talker, f"talker {talker}, {UNKNOWN}") if talker else "",
        formatter=title,
        maker=maker,
        fields=tuple(_fields(fields, kinds, SYSTEM_OF_TALKER.get(talker, ""))),
        names=names,
        checksum=checksum_of(text),
        is_used=is_used,
        before=before,
    )


def split_address(address: str) -> tuple[str, str]:
    """Talker and formatter; both empty for a maker's own sentence, as decoding tells them apart."""
    if address[:1] == "P" and not (len(address) == 5 and address[:2] in SYSTEM_OF_TALKER):
        return "", ""
    return address[:2], address[2:]


Layout = tuple[str, tuple[Kind, ...], str]
"""Title, fields, and whose they are."""


def _layout(talker: str, formatter: str, fields: list[str]) -> Layout:
    if not talker:
        kinds = explain_tail.makers_type(fields)
        return "", kinds, "pynmea2" if kinds else ""
    if len(formatter) == 3 and formatter[2] == "Q" and formatter[:2] in TALKERS:
        return f"a question to {TALKERS[formatter[:2]]}", (Kind("sentence asked for", plain_text),), "fixboard"
    if formatter in _BUILT:
        return FORMATTERS[formatter], _BUILT[formatter](fields), "fixboard"
    if formatter in _FIXED:
        return FORMATTERS[formatter], _FIXED[formatter], "fixboard"
    kinds = explain_tail.talker_type(formatter)
    return FORMATTERS.get(formatter, ""), kinds, "pynmea2" if kinds else ""


def _vtg(fields: list[str]) -> tuple[Kind, ...]:
    return VTG_BARE if is_bare_vtg(fields) else FIX_LAYOUTS["VTG"]


_FIXED: dict[str, tuple[Kind, ...]] = {
    **FIX_LAYOUTS,
    **MARINE_LAYOUTS,
    "GSA": explain_satellites.GSA,
    "GBS": explain_satellites.GBS,
    "GRS": explain_satellites.GRS,
}
_BUILT: dict[str, Callable[[list[str]], tuple[Kind, ...]]] = {
    "GSV": explain_satellites.gsv,
    "VTG": _vtg,
    "TXT": explain_marine.txt,
    "RTE": explain_marine.rte,
    "XDR": explain_marine.xdr,
}
"""Types whose fields depend on what stands in them."""


def _fields(fields: list[str], kinds: tuple[Kind, ...], system: str) -> Iterator[Field]:
    for number, raw in enumerate(fields[1:], 1):
        kind = kinds[number - 1] if number <= len(kinds) else Kind(UNKNOWN, plain_text)
        told = kind.tell(raw, Around(fields, number, system)) if raw else NOT_TOLD
        yield Field(number, kind.name, raw, told)


def as_bytes(given: str | bytes) -> bytes:
    """Latin-1 where that holds it, as all texts of the wire are; else UTF-8."""
    if isinstance(given, bytes):
        return given
    try:
        return given.encode("latin-1")
    except UnicodeEncodeError:
        return given.encode("utf-8", "surrogatepass")

"""HTML and SVG in one piece: what is not markup already is text, and is escaped.

So a name, a note or a receiver's message can never become an element, whatever it holds. The result is well-formed XML
as well as HTML.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from typing import TypeAlias

from core.safe_text import laid_out

VOID = frozenset({"meta", "br", "hr", "col"})
"""HTML elements that have no content and no end tag."""
DRAWN = frozenset({"path", "rect", "circle", "line", "use"})
LONGEST_TEXT = 300
"""Of what comes from outside: more is cut, and the cut is shown."""
THIN_SPACE = "\N{NARROW NO-BREAK SPACE}"
"""Between thousands."""
STRANGE = "\N{REPLACEMENT CHARACTER}"


class Markup(str):
    """Text that is markup already."""

    __slots__ = ()


Attribute = str | float | None
Content: TypeAlias = "str | Iterable[Content] | None"
"""None is nothing."""


def clean(text: str) -> str:
    """One line, with a replacement character for controls, marks that reorder a line, and halves of characters."""
    shown = text[:LONGEST_TEXT] + ("..." if len(text) > LONGEST_TEXT else "")
    return laid_out(shown, STRANGE)


def text(content: Content | tuple[Content, ...]) -> Markup:
    """As it may stand between tags."""
    if content is None:
        return Markup("")
    if isinstance(content, Markup):
        return content
    if isinstance(content, str):
        return Markup(escape(THIN_SPACE.join(laid_out(part, STRANGE) for part in content.split(THIN_SPACE))))
    return Markup("".join(text(one) for one in content))


def tag(name: str, /, *content: Content, **attributes: Attribute) -> Markup:
    """An element. Underscores in attributes stand for hyphens, one at the end for nothing; None leaves one out."""
    written = "".join(_attribute(key, value) for key, value in attributes.items() if value is not None)
    if name in VOID or (name in DRAWN and not content):
        return Markup(f"<{name}{written}/>")
    return Markup(f"<{name}{written}>{text(content)}</{name}>")


def foreign(words: str) -> Markup:
    """Text of others: cleaned, and kept from reordering what stands around it."""
    return tag("bdi", clean(words))


def figure(value: float) -> str:
    """A coordinate: a tenth is enough, and no sign before nothing."""
    short = f"{value:.1f}"
    short = short.removesuffix(".0")
    return "0" if short == "-0" else short


def _attribute(key: str, value: Attribute) -> str:
    shown = figure(value) if isinstance(value, int | float) else str(text(value))
    return f' {key.rstrip("_").replace("_", "-")}="{shown}"'

"""The commands that open the board."""

from __future__ import annotations

import gc
import os
import sys
from argparse import Namespace
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import replays
from core.errors import InputError, UsageError
from core.locations import own_locations
from core.safe_text import quoted
from tui.first_words import FirstWords
from tui.parting import tidy_parting
from tui.plain_terminal import is_utf8, make_plain
from tui.session import Look, Session
from tui.speaking import is_terminal

# Start-up time: what opens a source is imported when the first frame stands, but for what must be known before.
if TYPE_CHECKING:
    from core.feeding.plan import FeedPlan
    from core.held import HeldPlace
    from core.sources.names import SourceName
    from tui.opening import LiveOpening, Openable

    Openings = Callable[[], tuple[Openable, ...]]
    """What to open, or choose from; called when the first frame stands."""

TOOLKIT_S = ("auto", "standard", "256", "truecolor", "windows")
"""What the screen library takes for a depth of colour in the environment; it fails at anything else."""
COLOUR_SYSTEMS = {"truecolor": "truecolor", "256": "256", "16": "standard", "none": "standard"}


def replay(options: Namespace) -> int:
    """`fixboard replay FILE`."""
    from core.sources.recording import open_recording

    path, beside = Path(options.file), Path(options.beside) if options.beside is not None else None
    for file in filter(None, (path, beside)):
        open_recording(file).close()

    def openings() -> tuple[Openable, ...]:
        from tui.opening import Opening, PairOpening

        if beside is None:
            return (Opening(path, options.pace, options.checksums),)
        return (PairOpening(path, options.pace, options.checksums, beside=beside),)

    return _run(options, openings, FirstWords(path.name, is_recording=True))


def demo(options: Namespace) -> int:
    """`fixboard demo [NAME]`."""
    names = replays.names()
    if options.name is not None and options.name not in names:
        raise UsageError(f"there is no demo {options.name!r}; there are: {', '.join(names)}")
    if options.name is None:
        return _run(options, lambda: _demos(names, options.pace), FirstWords())
    words = FirstWords(replays.path(options.name).name, is_recording=True)
    return _run(options, lambda: _demos((options.name,), options.pace), words)


def _demos(names: tuple[str, ...], pace: float = 1.0) -> tuple[Openable, ...]:
    from tui.opening import Opening

    return tuple(Opening(replays.path(name), pace, remark="demo") for name in names)


def live(options: Namespace) -> int:
    """`fixboard live [SOURCE]`."""
    from core.sources.names import Sort, source_name

    name = source_name(options.source) if options.source else None
    if name is not None and name.sort in {Sort.FILE, Sort.STANDARD_INPUT}:
        raise UsageError(f"{name.text} is no live source: fixboard replay {name.text} plays a recording")
    if name is not None and name.sort is Sort.UDP:
        _check_can_listen(_live(name, options.baud, options.checksums))
    words = FirstWords(name.text if name else "the receiver, wherever it is")
    return _run(options, lambda: (_live(name, options.baud, options.checksums),), words)


def _live(name: SourceName | None, baud: int | None = None, checksums: str | None = None) -> LiveOpening:
    from tui.opening import LiveOpening

    return LiveOpening(name, baud, checksums)


def hold(options: Namespace) -> int:
    """`fixboard hold PLACE`."""
    # Here, since the notations take a while to import and no other command of this file wants them.
    from tui.cli_places import held_place

    place = held_place(options.place)
    return _run(options, lambda: (_held(place),), FirstWords(place.name, is_held=True))


def _held(place: HeldPlace) -> Openable:
    from tui.opening import HeldOpening

    return HeldOpening(place)


def choose(options: Namespace) -> int:
    """`fixboard` alone: the one receiver found, else a list to pick from."""
    from core.sources.names import Sort, SourceName
    from core.sources.ports import ports

    likely = [port for port in ports() if port.vid is not None]
    if len(likely) == 1:
        name = SourceName(Sort.SERIAL, likely[0].device)
        return _run(options, lambda: (_live(name),), FirstWords(name.text))
    return _run(options, lambda: _demos(replays.names()), FirstWords(), ask=True)


def _wanted_feed(options: Namespace) -> FeedPlan | None:
    """What `--feed` asks for; opened and closed once, so that what cannot be had is worth an exit code."""
    if not getattr(options, "feed", None):
        _check_no_feed_option(options)
        return None
    # Only here: a board that feeds nobody has no use for it.
    from core.feeding.outlet import open_outlets
    from core.feeding.plan import feed_plan
    from core.feeding.wish import FeedWish

    rate_hz, talker = options.feed_rate, options.feed_talker
    plan = feed_plan(FeedWish(tuple(options.feed), options.feed_as, options.feed_types, rate_hz, talker))
    for outlet in open_outlets(plan.addresses):
        outlet.close()
    return plan


def _check_no_feed_option(options: Namespace) -> None:
    given = [name for name in ("types", "rate", "talker") if getattr(options, f"feed_{name}", None)]
    if given or getattr(options, "feed_as", "auto") != "auto":
        raise UsageError("--feed says where to: write --feed tcp:10110 too")


def _check_can_listen(opening: LiveOpening) -> None:
    """Before there is a screen: an address that is taken stays taken, so this is worth an exit code."""
    source = opening.source()
    source.close()
    source.read(0.0)


def _run(options: Namespace, openings: Openings, words: FirstWords, *, ask: bool = False) -> int:
    # Until the board stands (`FixboardApp._settle`): modules and widgets are no garbage, however often one looks.
    gc.disable()
    _check_terminal()
    colour = getattr(options, "colour", None)
    if colour:
        os.environ["TEXTUAL_COLOR_SYSTEM"] = COLOUR_SYSTEMS[colour]
    glyphs = getattr(options, "glyphs", None) or ("braille" if _draws_braille() else "plain")
    make_plain(sys.__stderr__)
    look = Look(glyphs, getattr(options, "theme", ""))
    record = getattr(options, "record", False)
    feed = _wanted_feed(options)
    session = Session(own_locations(os.environ, sys.platform), look, record=record)
    # Only now: it takes longer to import than everything else together, and the environment must be ready for it.
    from tui.canvas.palettes import Depth
    from tui.starting import Beginning, StartingApp

    no_colour = colour == "none" or bool(os.environ.get("NO_COLOR"))
    app = StartingApp(
        session, Depth.NONE if no_colour else None, Beginning(words, openings, ask, feed, session.owes_notice)
    )
    with tidy_parting():
        app.run()
    return app.return_code or 0


def _check_terminal() -> None:
    if not (is_terminal("stdin") and is_terminal("stderr")):
        raise InputError("the board needs a terminal; for scripts there are `fixboard now` and `fixboard digest`")
    if os.environ.get("TERM", "console" if sys.platform == "win32" else "") in {"", "dumb"}:  # Windows sets none
        raise InputError("this terminal can only print lines (TERM is dumb or not set): use `fixboard now`")
    wished = os.environ.get("TEXTUAL_COLOR_SYSTEM", "auto")
    if wished not in TOOLKIT_S:
        raise InputError(f"TEXTUAL_COLOR_SYSTEM is {quoted(wished)}: unset it, or write one of {', '.join(TOOLKIT_S)}")


def _draws_braille() -> bool:
    """The Linux console has no font for it, and other encodings no such characters. Textual draws on standard error."""
    return os.environ.get("TERM") != "linux" and is_utf8(sys.__stderr__)

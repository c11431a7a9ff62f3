"""The commands that open the board."""

from __future__ import annotations

import gc
import os
import sys
from argparse import Namespace
from contextlib import ExitStack
from importlib.resources import as_file
from pathlib import Path
from typing import TYPE_CHECKING

import replays
from core.errors import InputError, UsageError
from core.locations import locations
from core.sources.names import Sort, SourceName, source_name
from core.sources.ports import ports
from core.sources.recording import open_recording
from tui.opening import HeldOpening, LiveOpening, Openable, Opening, PairOpening
from tui.session import Look, Session
from tui.speaking import is_terminal

if TYPE_CHECKING:
    from core.feeding.plan import FeedPlan

COLOUR_SYSTEMS = {"truecolor": "truecolor", "256": "256", "16": "standard", "none": "standard"}


def replay(options: Namespace) -> int:
    """`fixboard replay FILE`."""
    path = Path(options.file)
    open_recording(path).close()
    beside = _beside(options)
    if beside is None:
        return _run(options, (Opening(path, options.pace, options.checksums),))
    return _run(options, (PairOpening(path, options.pace, options.checksums, beside=beside),))


def _beside(options: Namespace) -> Path | None:
    """The second recording, known to be readable; None where none was asked for."""
    if options.beside is None:
        return None
    beside = Path(options.beside)
    open_recording(beside).close()
    return beside


def demo(options: Namespace) -> int:
    """`fixboard demo [NAME]`."""
    names = replays.names()
    if options.name is not None and options.name not in names:
        raise UsageError(f"there is no demo {options.name!r}; there are: {', '.join(names)}")
    with ExitStack() as stack:
        chosen = names if options.name is None else (options.name,)
        paths = [stack.enter_context(as_file(replays.path(name))) for name in chosen]
        return _run(options, tuple(Opening(path, options.pace, remark="demo") for path in paths))


def live(options: Namespace) -> int:
    """`fixboard live [SOURCE]`."""
    name = source_name(options.source) if options.source else None
    if name is not None and name.sort in {Sort.FILE, Sort.STANDARD_INPUT}:
        raise UsageError(f"{name.text} is no live source: fixboard replay {name.text} plays a recording")
    opening = LiveOpening(name, options.baud, options.checksums)
    if name is not None and name.sort is Sort.UDP:
        _check_can_listen(opening)
    return _run(options, (opening,))


def hold(options: Namespace) -> int:
    """`fixboard hold PLACE`."""
    # Here, since the notations take a while to import and no other command of this file wants them.
    from tui.cli_places import held_place

    return _run(options, (HeldOpening(held_place(options.place)),))


def choose(options: Namespace) -> int:
    """`fixboard` alone: the one receiver found, else a list to pick from."""
    likely = [port for port in ports() if port.vid is not None]
    if len(likely) == 1:
        return _run(options, (LiveOpening(SourceName(Sort.SERIAL, likely[0].device)),))
    with ExitStack() as stack:
        demos = [Opening(stack.enter_context(as_file(replays.path(name))), remark="demo") for name in replays.names()]
        return _run(options, tuple(demos), ask=True)


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


def _run(options: Namespace, openings: tuple[Openable, ...], *, ask: bool = False) -> int:
    # Until the board stands (`FixboardApp.on_ready`): modules and widgets are no garbage, however often one looks.
    gc.disable()
    _check_terminal()
    colour = getattr(options, "colour", None)
    if colour:
        os.environ["TEXTUAL_COLOR_SYSTEM"] = COLOUR_SYSTEMS[colour]
    glyphs = getattr(options, "glyphs", None) or ("braille" if _draws_braille() else "plain")
    look = Look(glyphs, getattr(options, "theme", ""))
    record = getattr(options, "record", False)
    feed = _wanted_feed(options)
    session = Session(locations(os.environ, sys.platform, Path.home()), look, record=record)
    # Only now: it takes longer to import than everything else together, and the environment must be ready for it.
    from tui.app import FixboardApp
    from tui.canvas.palettes import Depth

    no_colour = colour == "none" or bool(os.environ.get("NO_COLOR"))
    app = FixboardApp(session, openings, Depth.NONE if no_colour else None, ask=ask)
    app.wanted_feed = feed
    app.run()
    return app.return_code or 0


def _check_terminal() -> None:
    if not (is_terminal("stdin") and is_terminal("stderr")):
        raise InputError("the board needs a terminal; for scripts there are `fixboard now` and `fixboard digest`")
    if os.environ.get("TERM", "") in {"", "dumb"}:
        raise InputError("this terminal can only print lines (TERM is dumb or not set): use `fixboard now`")


def _draws_braille() -> bool:
    """The Linux console has no font for it, and other encodings no such characters."""
    return os.environ.get("TERM") != "linux" and (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"

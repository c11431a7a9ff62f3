"""`fixboard rehearse`: a scenario played through to a file. No screen, and no import of one."""

from __future__ import annotations

from argparse import Namespace
from difflib import get_close_matches
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from core.chapter_file import ENDING as CHAPTERS
from core.errors import InputError
from core.rehearsal.run import epoch_count
from core.rehearsal.run import rehearse as play
from core.rehearsal.scenario import Scenario, read_scenario
from core.rehearsal.writer import save, taken
from core.sources.rehearsal_label import is_rehearsal
from tui.progress import bar
from tui.speaking import printable, tell

ENDING = ".toml"
LARGEST_BYTES = 1_000_000
"""A scenario of a thousand places has a tenth of it."""


def rehearse(options: Namespace) -> int:
    """`fixboard rehearse SCENARIO -o OUT`."""
    scenario, out = _scenario(options.scenario), Path(options.output)
    if options.force:
        _check_may_go(out)
    with bar(out.name) as tick:
        size = save(out, play(scenario, options.seed, tick), replace=options.force)
    tell(printable(f"{out}: {scenario.title}, {epoch_count(scenario)} epochs, {size} bytes"))
    return 0


def _scenario(name: str) -> Scenario:
    """Of a file, else of the bundled one of that name."""
    path = Path(name)
    bundled = _bundled()
    found: Path | Traversable = bundled[name] if name in bundled and not taken(path) else path
    return read_scenario(_text(found, name, list(bundled)), name)


def _bundled() -> dict[str, Traversable]:
    entries = sorted(files("replays").iterdir(), key=lambda entry: entry.name)
    return {entry.name.removesuffix(ENDING): entry for entry in entries if _is_scenario(entry.name)}


def _is_scenario(name: str) -> bool:
    """Chapters of the rehearsals lie beside them."""
    return name.endswith(ENDING) and not name.endswith(CHAPTERS)


def _text(found: Path | Traversable, name: str, bundled: list[str]) -> str:
    try:
        if not found.is_file():
            raise InputError(f"{name} is no scenario: {_instead(name, bundled)}")
        with found.open("rb") as stream:
            data = stream.read(LARGEST_BYTES + 1)
        text = data.decode("utf-8")
    except (OSError, ValueError) as error:  # ValueError: not UTF-8, or a NUL in the name
        raise InputError(f"{name} cannot be read ({error}): give a scenario, a text file in TOML") from error
    if len(data) > LARGEST_BYTES:
        raise InputError(f"{name} has more than {LARGEST_BYTES} bytes: that is no scenario")
    return text


def _instead(name: str, bundled: list[str]) -> str:
    near = get_close_matches(name, bundled, 1)
    if near:
        return f"did you mean {near[0]}?"
    return f"give a file in TOML, or one of the bundled: {', '.join(bundled)}"


def _check_may_go(out: Path) -> None:
    """What is no rehearsal may be the only recording of somebody's day."""
    if taken(out) and not is_rehearsal(out):
        raise InputError(
            f"{out} is no rehearsal, and --force replaces nothing else: move it away, or choose another name"
        )

"""The computer: its Python, its clock and zone, the libraries that do the work, the bundled sessions."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib import metadata, resources

from core.dates import BUILT_ON
from core.doctor.finding import Finding, Grade, Surroundings

_COMPUTER = "computer"
OLDEST, NEWEST_TESTED = (3, 11), (3, 14)


def computer(here: Surroundings) -> Iterator[Finding]:
    """Python, clock, libraries, demo."""
    yield _python(here.python)
    yield _clock(here)
    yield from _libraries(here.platform)
    yield _demo()


def _python(version: tuple[int, int, int]) -> Finding:
    shown = "Python " + ".".join(map(str, version))
    if version[:2] < OLDEST:
        return Finding(_COMPUTER, Grade.MEND, shown, "install Python 3.11 or newer")
    if version[:2] > NEWEST_TESTED:
        return Finding(_COMPUTER, Grade.NOTE, f"{shown}: newer than fixboard was tested with", "report what goes wrong")
    return Finding(_COMPUTER, Grade.FINE, shown)


def _clock(here: Surroundings) -> Finding:
    shown = f"the clock says {here.now:%Y-%m-%d %H:%M}, UTC{here.now:%z}"
    if here.now.date() < BUILT_ON:
        return Finding(
            _COMPUTER,
            Grade.MEND,
            f"{shown}: before this program was made",
            "set it; `fixboard clock` tells by how much",
        )
    return Finding(_COMPUTER, Grade.FINE, f"{shown}; `fixboard clock` holds it against the satellites'")


def _libraries(platform: str) -> Iterator[Finding]:
    """Those that the installed package asks for here. A program run from its source folder is not installed."""
    try:
        wanted = metadata.requires("fixboard") or []
    except metadata.PackageNotFoundError:
        yield Finding(_COMPUTER, Grade.NOTE, "fixboard is not installed, only run from its folder", "see README.md")
        return
    names = [match.group() for one in wanted if _is_for(platform, one) and (match := re.match(r"[\w.-]+", one))]
    have = {name: _version(name) for name in names}
    missing = [name for name, version in have.items() if version is None]
    if missing:
        yield Finding(
            _COMPUTER, Grade.MEND, f"not installed: {', '.join(missing)}", "install fixboard again (README.md)"
        )
    found = ", ".join(f"{name} {version}" for name, version in have.items() if version)
    yield Finding(_COMPUTER, Grade.FINE, f"libraries: {found}")


def _is_for(platform: str, requirement: str) -> bool:
    """Whether it is wanted on this platform, and not for tests alone. Of markers we use no others (pyproject.toml)."""
    marker = requirement.partition(";")[2].replace("'", '"')
    return "extra ==" not in marker and ("sys_platform" not in marker or f'sys_platform == "{platform}"' in marker)


def _version(name: str) -> str | None:
    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return None


def _demo() -> Finding:
    count = sum(1 for one in resources.files("replays").iterdir() if one.name.endswith(".nmea.gz"))
    if not count:
        return Finding(_COMPUTER, Grade.MEND, "the bundled sessions are missing", "install fixboard again (README.md)")
    return Finding(_COMPUTER, Grade.FINE, f"{count} bundled sessions; `fixboard demo` plays them")

"""Bundled recordings of invented sessions, for the demo and for trying things out."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable

_ENDINGS = (".nmea.gz", ".nmea")


def _stem(filename: str) -> str | None:
    """The recording's name, None where the file is no recording."""
    return next((filename.removesuffix(ending) for ending in _ENDINGS if filename.endswith(ending)), None)


def _recordings() -> dict[str, Traversable]:
    found = {_stem(entry.name): entry for entry in files("replays").iterdir()}
    return {name: entry for name, entry in found.items() if name}


def names() -> tuple[str, ...]:
    """Names of the bundled recordings, in order."""
    return tuple(sorted(_recordings()))


def path(name: str) -> Traversable:
    """The recording of that name, plain or gzip by its ending; KeyError names those there are."""
    found = _recordings()
    if name not in found:
        raise KeyError(f"no bundled recording {name!r}; there are: {', '.join(sorted(found))}")
    return found[name]


def stations() -> Traversable:
    """The bundled list of invented radio stations around the places of the recordings, CSV."""
    return files("replays") / "demo_stations.csv"

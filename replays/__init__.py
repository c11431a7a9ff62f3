"""Bundled recordings of invented sessions, for the demo and for trying things out."""

from __future__ import annotations

from pathlib import Path

# Beside this file, where every installation has them: importlib.resources, for archives, takes a while to import.
_FOLDER = Path(__file__).parent
_ENDINGS = (".nmea.gz", ".nmea")


def _stem(filename: str) -> str | None:
    """The recording's name, None where the file is no recording."""
    return next((filename.removesuffix(ending) for ending in _ENDINGS if filename.endswith(ending)), None)


def _recordings() -> dict[str, Path]:
    found = {_stem(entry.name): entry for entry in _FOLDER.iterdir()}
    return {name: entry for name, entry in found.items() if name}


def names() -> tuple[str, ...]:
    """Names of the bundled recordings, in order."""
    return tuple(sorted(_recordings()))


def path(name: str) -> Path:
    """The recording of that name, plain or gzip by its ending; KeyError names those there are."""
    found = _recordings()
    if name not in found:
        raise KeyError(f"no bundled recording {name!r}; there are: {', '.join(sorted(found))}")
    return found[name]


def stations() -> Path:
    """The bundled list of invented radio stations around the places of the recordings, CSV."""
    return _FOLDER / "demo_stations.csv"

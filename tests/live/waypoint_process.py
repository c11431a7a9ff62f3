"""A user of the waypoint store in a process of its own, to be killed: says each change once it is saved.

The changes are a fixed row, so that whoever counts what was said knows what must be in the file.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from core.fix import Position
from core.waypoints import Waypoint, Waypoints

KEPT = 40
"""From so many on, waypoints are removed again."""


def expected(steps: int) -> list[str]:
    """Names after so many steps, in the order of the file."""
    names: list[str] = []
    for number in range(steps):
        kind, place = step(number, len(names))
        if kind == "add":
            names.append(f"Camp {number}")
        elif kind == "change":
            names[place] = f"Pond {number}"
        else:
            del names[place]
    return names


def step(number: int, count: int) -> tuple[str, int]:
    """What the step with this number does, and to which of `count` waypoints."""
    if number % 3 == 0 or count == 0:
        return "add", count
    return ("remove" if count > KEPT or number % 7 == 0 else "change"), number * 31 % count


def take(places: Waypoints, number: int) -> None:
    """One step."""
    kind, place = step(number, len(places.all()))
    if kind == "add":
        places.add(Waypoint(f"Camp {number}", Position(1.0, number % 90)))
    elif kind == "change":
        old = places.all()[place]
        if not places.change(old, replace(old, name=f"Pond {number}", note="x" * (number * 53 % 400))):
            raise SystemExit(f"step {number}: {old} had gone")
    else:
        places.remove(places.all()[place])


def main(path: str, first: str) -> None:
    """Steps from that number on, until killed."""
    places = Waypoints(Path(path))
    print("ready", flush=True)
    for number in range(int(first), 10**9):
        take(places, number)
        print(number, flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])

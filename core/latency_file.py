"""Learned latencies on the disk: `latency.json`, one entry a receiver, speed and set of sentences.

    {"usb 1546:01a8 at 9600 baud: GGA GSA RMC": {"low_s": 0.11, "high_s": 0.31, "learned_on": "2031-05-04"}}

Whoever edits it by hand may do so. What cannot be read is an error that names the file, and is never overwritten.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any, TypeGuard

from core.errors import InputError
from core.file_lock import locked
from core.latency import LONGEST_S, NETWORK_MARGIN_S, WANDER_S, Basis, Latency, ReceiverKey
from core.plain_files import read_plain
from core.storage import replace_file

LARGEST = 1_000_000
"""Bytes: thousands of receivers."""
_DAY = re.compile(r"\d{4}-\d\d-\d\d")


class LatencyFile:
    """Reads and writes it."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def find(self, key: ReceiverKey) -> Latency | None:
        """What was learned; None where nothing was. Raises InputError where the file or the entry is no good."""
        entry = self._read().get(key.text)
        return None if entry is None else self._latency(key, entry)

    def keep(self, key: ReceiverKey, latency: Latency) -> None:
        """Save it in the place of an older one, all others as they are. Raises InputError where it cannot be saved."""
        with locked(self._path):
            entries = self._read()
            entries[key.text] = {
                "low_s": round(latency.low_s, 3),
                "high_s": round(latency.high_s, 3),
                "learned_on": latency.learned_on,
            }
            replace_file(self._path, (json.dumps(entries, indent=1) + "\n").encode("utf-8"))

    def _read(self) -> dict[str, Any]:
        try:
            found = json.loads(read_plain(self._path, LARGEST))
        except FileNotFoundError:
            return {}
        except (OSError, ValueError, RecursionError) as error:
            raise self._unusable(f"cannot be read ({error})") from error
        if not isinstance(found, dict):
            raise self._unusable("holds no latencies")
        return found

    def _latency(self, key: ReceiverKey, entry: Any) -> Latency:
        values = entry if isinstance(entry, dict) else {}
        low_s, high_s, day = (values.get(name) for name in ("low_s", "high_s", "learned_on"))
        if not (_is_time(low_s) and _is_time(high_s) and _DAY.fullmatch(str(day))):
            raise self._unusable(f"holds no latency under {key.text!r}")
        if low_s >= high_s:
            raise self._unusable(f"holds a latency whose bounds are the wrong way round, under {key.text!r}")
        return Latency(float(low_s), float(high_s), Basis.LEARNED, str(day))

    def _unusable(self, why: str) -> InputError:
        return InputError(f"{self._path} {why}: correct it, or move it away and learn again")


class LearnedLatencies:
    """What a meter asks, once a second: reads the file once for each key, and never raises."""

    def __init__(self, file: LatencyFile) -> None:
        self._file = file
        self._found: dict[ReceiverKey, Latency | None] = {}
        self.trouble = ""
        """Why the file could not be used; empty while it can be, or is not there."""

    def __call__(self, key: ReceiverKey) -> Latency | None:
        """What was learned, before this program began to watch."""
        if key not in self._found:
            self._found[key] = self._look(key)
        return self._found[key]

    def _look(self, key: ReceiverKey) -> Latency | None:
        try:
            return self._file.find(key)
        except InputError as error:
            self.trouble = str(error)
            return None


def _is_time(value: Any) -> TypeGuard[float]:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return is_number and 0.0 <= value <= LONGEST_S + NETWORK_MARGIN_S + WANDER_S

"""Whether a recording is a rehearsal: simulated, and saying so in its own lines.

Either mark is enough: a TAG block whose source is `rehearsal` (NMEA 0183 4.11, field s), or a TXT sentence that begins
with REHEARSAL. `core.rehearsal` writes both, so that a file cut in two still says what it is.
"""

from __future__ import annotations

import re
from pathlib import Path

from core.sources.recording import open_recording

SOURCE = "rehearsal"
WORD = "REHEARSAL"
LOOKED_AT_BYTES = 65_536
_LABEL = re.compile(
    rb"\\(?:[^\\\r\n]*,)?s:%b[,*][^\\\r\n]*\\|\$..TXT,[0-9]*,[0-9]*,[0-9]*,%b" % (SOURCE.encode(), WORD.encode())
)


def is_rehearsal(path: Path) -> bool:
    """Whether the beginning of the file says that it is one. Raises InputError where it cannot be read."""
    recording = open_recording(path)
    try:
        begun = b""
        for block in recording.blocks():
            begun += block
            if len(begun) >= LOOKED_AT_BYTES:
                break
        return _LABEL.search(begun[:LOOKED_AT_BYTES]) is not None
    finally:
        recording.close()

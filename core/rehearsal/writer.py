"""From sentences to a file: start, checksum, the label before each, and the file whole or not at all.

The label is a TAG block with the source `rehearsal` (NMEA 0183 4.10, field s), so that a part cut out of the file still
says what it is. `core.sources.rehearsal_label` looks for it, and for the TXT sentence that `run` writes.
"""

from __future__ import annotations

import gzip
import os
from collections.abc import Iterable
from pathlib import Path
from typing import BinaryIO

from core.errors import InputError
from core.folders import replace_over, sync_folder
from core.nmea.whole_lines import checksum
from core.part_files import part_beside
from core.sources.rehearsal_label import SOURCE
from core.storage import give_name

PACKED = ".gz"
_LABEL_BODY = b"s:" + SOURCE.encode("ascii")
LABEL = b"\\%s*%02X\\" % (_LABEL_BODY, checksum(_LABEL_BODY))


def line(body: str) -> bytes:
    """One sentence with its label, ended by CR LF."""
    data = body.encode("ascii")
    return b"%s$%s*%02X\r\n" % (LABEL, data, checksum(data))


def lines(bodies: Iterable[str]) -> bytes:
    """Several."""
    return b"".join(map(line, bodies))


def save(path: Path, pieces: Iterable[bytes], *, replace: bool = False) -> int:
    """Write pieces as they come to a new file, compressed if its name ends in .gz; how many bytes the file has.

    The name appears when all is on the disk. `replace`: an old file of that name gives way to it. Raises InputError
    where there is one otherwise, or it cannot be written; nothing is left behind then.
    """
    if not replace and taken(path):
        raise _exists(path)
    try:
        with part_beside(path) as (handle, fresh):
            _fill(handle, path.suffix == PACKED, pieces)
            size = fresh.stat().st_size
            if replace:
                replace_over(fresh, path)
            else:
                give_name(fresh, path)
        sync_folder(path.parent)
        return size
    except FileExistsError as error:
        raise _exists(path) from error
    except OSError as error:
        raise InputError(f"{path} could not be written ({error.strerror or error}): choose another place") from error


def taken(path: Path) -> bool:
    """Whether there is anything of that name. Raises InputError for what is no name."""
    if "\0" in str(path):
        raise InputError(f"{path} is no name for a file: choose another")
    return os.path.lexists(path)


def _exists(path: Path) -> InputError:
    return InputError(f"{path} exists already: choose another name, or --force to replace an older rehearsal")


def _fill(handle: int, packed: bool, pieces: Iterable[bytes]) -> None:
    """On the disk when it returns. The header of gzip holds no time and no name: one rehearsal, the same bytes."""
    with os.fdopen(handle, "wb") as stream:
        if packed:
            with gzip.GzipFile("", "wb", 9, stream, mtime=0) as packing:
                _pour(packing, pieces)
        else:
            _pour(stream, pieces)
        stream.flush()
        os.fsync(stream.fileno())


def _pour(stream: BinaryIO | gzip.GzipFile, pieces: Iterable[bytes]) -> None:
    for piece in pieces:
        stream.write(piece)

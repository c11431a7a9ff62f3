"""From sentences to a file: start, checksum, the label before each, and the file whole or not at all.

The label is a TAG block with the source `rehearsal` (NMEA 0183 4.10, field s), so that a part cut out of the file still
says what it is. `core.sources.rehearsal_label` looks for it, and for the TXT sentence that `run` writes.
"""

from __future__ import annotations

import gzip
import os
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from core.errors import InputError
from core.nmea.framing import checksum
from core.sources.rehearsal_label import SOURCE

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
        with _beside(path) as fresh:
            _fill(fresh, path.suffix == PACKED, pieces)
            size = fresh.stat().st_size
            _name(fresh, path, replace=replace)
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


@contextmanager
def _beside(path: Path) -> Iterator[Path]:
    """A new file in the same folder, gone at the end unless it was given another name."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:100]}.", suffix=".part")
    os.close(handle)
    fresh = Path(name)
    try:
        yield fresh
    finally:
        fresh.unlink(missing_ok=True)


def _fill(fresh: Path, packed: bool, pieces: Iterable[bytes]) -> None:
    """On the disk when it returns. The header of gzip holds no time and no name: one rehearsal, the same bytes."""
    with fresh.open("wb") as stream:
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


def _name(fresh: Path, path: Path, *, replace: bool) -> None:
    """A hard link never takes the place of anything; where there are none, the name is taken first, then filled."""
    if not replace:
        try:
            path.hardlink_to(fresh)
        except FileExistsError:
            raise
        except OSError:
            path.open("xb").close()
        else:
            return
    fresh.replace(path)

"""A disk that loses, at a power cut, whatever was not synced: watched while a writer works, cut at every moment after.

The writer works on a real folder. Between any two of its calls to the system the folder is looked at: what has changed
counts as unsynced, until the file, or the folder for its names, is synced. A cut leaves of each file what was synced
and any beginning of what was written since, and of each folder its names as of any moment since its last sync, each
file and folder by itself: so a name may be there before its content is, and a move between two folders half done (as
POSIX allows; journalling file systems are kinder).
"""

from __future__ import annotations

import itertools
import os
import random
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

import pytest

OPERATIONS = ("fsync", "replace", "rename", "link", "unlink", "remove", "mkdir", "rmdir", "symlink", "open")
MOST = 300
"""States of one moment; of more, so many are drawn."""

Folder = dict[str, int]
"""Names and their inodes."""
State = Mapping[str, "Left | None"]
"""What a cut leaves, by path below the root; None for a folder."""


class Left(NamedTuple):
    """Of a file."""

    content: bytes
    inode: int
    """The same under several names: they are one file."""


class DiskModel:
    """Of one folder. For one thread."""

    def __init__(self, root: Path) -> None:
        self._root = root
        self._root_inode = root.stat().st_ino
        self._files: dict[int, list[bytes]] = {}
        """Contents by inode, the synced one first."""
        self._folders: dict[int, list[Folder]] = {self._root_inode: [{}]}
        self._pinned: dict[int, int] = {}
        self._dice = random.Random(1)
        self._look()
        self.settle()

    def settle(self) -> None:
        """All that is there counts as synced."""
        for inode in (*self._files, *self._folders):
            self._synced(inode)

    def close(self) -> None:
        for handle in self._pinned.values():
            os.close(handle)

    @contextmanager
    def watching(self, at_cut: Callable[[], None]) -> Iterator[None]:
        """While a writer works; `at_cut`: called at every moment at which the power may go."""
        busy = False
        with pytest.MonkeyPatch.context() as patch:
            for name in OPERATIONS:
                real: Callable[..., Any] = getattr(os, name)

                def call(*arguments: Any, _real: Callable[..., Any] = real, _name: str = name, **more: Any) -> Any:
                    nonlocal busy
                    if busy:
                        return _real(*arguments, **more)
                    busy = True
                    try:
                        if self._look():
                            at_cut()
                        result = _real(*arguments, **more)
                        if _name == "fsync":
                            self._synced(os.fstat(arguments[0]).st_ino)
                        if self._look() or _name == "fsync":
                            at_cut()
                        return result
                    finally:
                        busy = False

                patch.setattr(os, name, call)
            yield
        if self._look():
            at_cut()

    def states(self) -> Iterator[State]:
        """All that the power may leave at this moment, or a fair choice of it."""
        choices = [list(self._tree(self._root_inode, ""))]
        for tree in choices[0]:
            files = [(path, inode) for path, inode in tree.items() if inode in self._files]
            folders: dict[str, Left | None] = {path: None for path, inode in tree.items() if inode in self._folders}
            inodes = list(dict.fromkeys(inode for _, inode in files))
            contents = [_beginnings(self._files[inode]) for inode in inodes]
            for chosen in self._some(contents):
                found = dict(zip(inodes, chosen, strict=True))
                yield folders | {path: Left(found[inode], inode) for path, inode in files}

    def _tree(self, inode: int, prefix: str) -> Iterator[Folder]:
        """Paths and inodes, for every choice of what has become of the folders."""
        for version in _distinct(self._folders[inode]):
            below = [
                [{f"{prefix}{name}": one, **deeper} for deeper in self._tree(one, f"{prefix}{name}/")]
                for name, one in version.items()
                if one in self._folders
            ]
            plain = {f"{prefix}{name}": one for name, one in version.items() if one in self._files}
            for chosen in self._some(below):
                yield {**plain, **{path: one for part in chosen for path, one in part.items()}}

    def _some(self, choices: list[list[Any]]) -> Iterator[tuple[Any, ...]]:
        total = 1
        for one in choices:
            total *= len(one)
        if total <= MOST:
            yield from itertools.product(*choices)
            return
        for _ in range(MOST):
            yield tuple(self._dice.choice(one) for one in choices)

    def _synced(self, inode: int) -> None:
        for kept in (self._files, self._folders):
            if inode in kept:
                del kept[inode][:-1]

    def _look(self) -> bool:
        """Whether anything has changed."""
        return self._look_into(self._root, self._root_inode)

    def _look_into(self, folder: Path, inode: int) -> bool:
        names: Folder = {}
        changed = False
        for entry in sorted(os.scandir(folder), key=lambda one: one.name):
            path, found = Path(entry.path), entry.stat(follow_symlinks=False).st_ino
            if entry.is_symlink():
                continue
            names[entry.name] = found
            if entry.is_dir(follow_symlinks=False):
                changed |= self._new(found, path, self._folders, {})
                changed |= self._look_into(path, found)
            elif entry.is_file(follow_symlinks=False):
                changed |= self._new(found, path, self._files, b"")
                changed |= _note(self._files[found], path.read_bytes())
        return _note(self._folders[inode], names) or changed

    def _new(self, inode: int, path: Path, kept: dict[int, Any], empty: Any) -> bool:
        """A file's number is not given to another one while we hold it open."""
        if inode in kept:
            return False
        self._pinned[inode] = os.open(path, os.O_RDONLY)
        kept[inode] = [empty]
        return True


def _note(versions: list[Any], now: Any) -> bool:
    if versions[-1] == now:
        return False
    versions.append(now)
    return True


def _distinct(versions: list[Any]) -> list[Any]:
    return [one for number, one in enumerate(versions) if one not in versions[:number]]


def _beginnings(versions: list[bytes]) -> list[bytes]:
    """The synced content, and of every later one its beginnings: none, a byte, the half, all but a byte, all."""
    found = [versions[0]]
    for before, after in itertools.pairwise(versions):
        base = len(before) if after.startswith(before) else 0
        more = len(after) - base
        found += [after[: base + cut] for cut in (0, 1, more // 2, more - 1, more) if 0 <= cut <= more]
    return _distinct(found)


def laid_out(state: State, folder: Path) -> None:
    """A state as files."""
    first: dict[int, Path] = {}
    for path, left in sorted(state.items(), key=lambda item: (item[1] is not None, item[0])):
        if left is None:
            (folder / path).mkdir(parents=True, exist_ok=True)
        elif left.inode in first:
            (folder / path).hardlink_to(first[left.inode])
        else:
            (folder / path).write_bytes(left.content)
            first[left.inode] = folder / path

"""No writer of the program is left out of the table of kinds that are killed, cut off and filled up."""

from __future__ import annotations

import ast

from tests.faults.storage_kinds import KEEPS_NOTHING, KINDS
from tests.faults.storage_scan import _writes, sites

CAREFUL = {
    "core/storage.py:give_name": "makes an empty file, where there are no hard links, to take the name",
    "core/folders.py:move_aside": "in one step, for who holds the lock on it",
}


def test_every_function_that_writes_is_in_the_table() -> None:
    listed = {site for kind in KINDS for site in kind.sites} | set(KEEPS_NOTHING)
    found = set(sites())
    # Their flags are put together elsewhere.
    quiet = {"core/file_lock.py:_open", "tui/text_sender.py:write", "core/appended.py:append_lines"}
    assert found - listed == set(), "new writers: give each a row in storage_kinds.py, or its reason in KEEPS_NOTHING"
    assert listed - found - quiet == set(), "writers that are no longer there"


def test_nothing_but_storage_replaces_or_opens_files_for_writing_without_a_part() -> None:
    """Whoever else did could leave a half."""
    risky = {"write_text", "write_bytes", "touch"}
    found = {site for site, calls in sites().items() if {call.rsplit(".")[-1] for call in calls} & risky}
    assert found <= set(KEEPS_NOTHING) | set(CAREFUL)


def test_the_scan_sees_what_it_is_for() -> None:
    seen = {
        "p.write_text('x')": "p.write_text",
        "p.open('wb')": "p.open",
        "p.open(mode='a')": "p.open",
        "open(p, 'x')": "open",
        "os.fdopen(h, 'wb')": "os.fdopen",
        "os.open(p, os.O_RDWR | os.O_CREAT)": "os.open",
        "fresh.replace(p)": "fresh.replace",
        "os.replace(a, b)": "os.replace",
        "replace_file(p, b)": "replace_file",
        "tempfile.mkstemp()": "tempfile.mkstemp",
        "path.parent.mkdir()": "path.parent.mkdir",
        "p.open('rb')": "",
        "p.open()": "",
        "os.open(p, os.O_RDONLY)": "",
        "text.replace('a', 'b')": "",
        "replace(state, target=None)": "",
        "self.open(opening)": "",
    }
    for text, name in seen.items():
        (statement,) = ast.parse(text).body
        assert isinstance(statement, ast.Expr)
        assert isinstance(statement.value, ast.Call)
        assert _writes(statement.value) == name, text

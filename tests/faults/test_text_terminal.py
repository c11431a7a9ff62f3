"""A real board on a pseudo terminal, all its data hostile: what reaches the terminal is the toolkit's alone."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.running import posix
from tests.faults.hostile_text import MARK, PAYLOADS, sent, strange_letters, strangers
from tests.faults.test_screen_terminals import shown
from tests.faults.test_text_board import LEGAL, _stations, _waypoints
from tests.faults.test_text_shell import OF_SENTENCES, heard

pytestmark = posix
KEYS = (
    ("t", "Waypoints"), ("F", "Stations"), ("K", "Chapters"), ("L", "Logbook"), ("o", "What to watch"), ("2", "Fix"),
    ("6", "Wire"), ("e", "Events"), ("v", ""), ("p", ""), ("i", ""), ("H", ""), ("V", ""), ("V", ""), ("0", ""),
)  # fmt: skip
"""To every page and list that shows text of others."""


def furnished(folder: Path) -> Path:
    """Data of a user who has been sent files by somebody."""
    data = folder / "data"
    data.mkdir()
    _waypoints(data, LEGAL)
    _stations(data, LEGAL)
    texts = [text.replace("\ud800", "").replace("\udfff", "") for text in PAYLOADS.values()]
    name = f"\x1b]0;{MARK}\x07[red]\u202e{MARK}\x9b31m \udcff.nmea"
    path = heard(folder / name, *(body.format(text[:60]) for body in OF_SENTENCES for text in texts[::4]))
    chapters = "".join(
        f'[[chapter]]\nat = "0:00:{n:02d}"\ntitle = {json.dumps(text[:40] or "-")}\nwords = {json.dumps(text[:90])}\n'
        for n, text in enumerate(texts[:9])
        if text.isprintable() or "\x1b" in text
    )
    path.with_name(path.name.removesuffix(".nmea") + ".chapters.toml").write_text(chapters, "utf-8")
    return path


def test_nothing_of_a_payload_is_obeyed(tmp_path: Path) -> None:
    with shown(tmp_path, "replay", furnished(tmp_path), size=(120, 40)) as terminal:
        terminal.wait_for("REPLAY")
        terminal.wait_for("F1 Help")
        for key, _ in KEYS:
            terminal.type(key.encode())
            terminal.drain(1.5)
            terminal.type(b"\x1b")
            terminal.drain(0.7)
            assert terminal.process.poll() is None, key
        terminal.type(b"\x1b[200~\x1b]0;Qz\x07\x9b2J\x1b[201~")
        terminal.drain(0.5)
        terminal.type(b"q")
        terminal.look(terminal.ended)
        assert terminal.process.returncode == 0
        found = sent(bytes(terminal.seen))
        assert MARK in found.words
        assert not strangers(found)
        assert not strange_letters(found)

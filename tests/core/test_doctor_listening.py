"""The doctor listens: a receiver that speaks, one that is silent, and a port that somebody else has open."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import repeat
from pathlib import Path

from core.doctor.examination import examine
from core.doctor.finding import Finding, Grade, Surroundings
from core.doctor.listening import Ears, listened
from core.locations import Locations
from core.sources.ports import Port
from tests.cli.running import posix
from tests.live.rig import Computer, hurried
from tests.wire import PtyReceiver

pytestmark = posix


def surroundings(folder: Path, device: str) -> Surroundings:
    at = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
    return Surroundings({}, "linux", (3, 12, 1), "utf-8", None, Locations(folder), (Port(device),), at)


def heard(folder: Path, receiver: PtyReceiver, users: list[str] | None = None) -> list[Finding]:
    computer = Computer(users=users or [])
    computer.plug(receiver.device, receiver)
    return list(listened(surroundings(folder, receiver.device), Ears(computer, hurried, 20.0)))


def test_a_receiver_that_speaks_is_heard_with_its_speed(tmp_path: Path) -> None:
    with PtyReceiver(9600) as receiver:
        (only,) = heard(tmp_path, receiver)
        assert only.grade is Grade.FINE
        assert "9600" in only.found
        assert bytes(receiver.heard) == b""  # nothing is ever written to it


def test_a_receiver_that_sends_nothing_is_said_with_what_to_look_at(tmp_path: Path) -> None:
    with PtyReceiver(9600, bursts=lambda: repeat(b"")) as receiver:
        (only,) = heard(tmp_path, receiver)
        assert only.grade is Grade.NOTE
        assert "no sentence in 20 s" in only.found
        assert "power" in only.remedy


def test_a_port_in_use_is_not_taken_from_its_user(tmp_path: Path) -> None:
    with PtyReceiver(9600) as receiver:
        computer = Computer(users=["quarrel (77)"])
        computer.plug(receiver.device, receiver)
        assert list(listened(surroundings(tmp_path, receiver.device), Ears(computer, hurried))) == []
        assert computer.opened == []


def test_a_port_that_has_gone_is_left_to_the_look_at_ports(tmp_path: Path) -> None:
    assert list(listened(surroundings(tmp_path, str(tmp_path / "gone")), Ears(Computer(), hurried))) == []


def test_nobody_listens_unless_asked(tmp_path: Path) -> None:
    with PtyReceiver(9600) as receiver:
        found = [one.found for one in examine(surroundings(tmp_path, receiver.device)) if one.subject == "ports"]
        assert len(found) == 1
        assert "--listen" in found[0] or "in use" in found[0]

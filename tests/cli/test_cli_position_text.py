"""`fixboard position-text` as people and scripts use it. Places are open ocean, invented."""

from __future__ import annotations

import socket
import threading
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from aprslib import parse

from core.fix import Position
from core.waypoints import Waypoint, Waypoints
from tests.build import lines
from tests.cli.running import DEMO, Ask, Run, asker, check_civil
from tests.tui.support import Epoch

AT = "49 03.50 N 72 01.75 W"


@pytest.fixture
def ask(capfdbinary: pytest.CaptureFixture[bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ask:
    monkeypatch.setenv("FIXBOARD_DATA", str(tmp_path))
    return asker(capfdbinary)


def asked(ask: Ask, *arguments: str) -> Run:
    run = ask("position-text", *arguments)
    check_civil(run)
    return run


def text_of(ask: Ask, *arguments: str) -> str:
    run = asked(ask, *arguments)
    assert run.code == 0, run.complaint
    text = run.out.decode("ascii")
    assert text.endswith("\n")
    assert text.count("\n") == 1
    return text[:-1]


def read(text: str) -> dict[str, Any]:
    found: dict[str, Any] = parse(f"QQ1QQX>APRS:{text}")
    return found


@pytest.mark.parametrize(
    ("arguments", "text"),
    [
        # APRS Protocol Reference 1.0, chapters 8 and 9, see tests/core/test_aprs.py.
        (("--symbol", "house", "--comment", "Test 001234"), "!4903.50N/07201.75W-Test 001234"),
        (("--symbol", "/-", "--comment", "Test", "--altitude", "376.1"), "!4903.50N/07201.75W-Test /A=001234"),
        (("--symbol", "/-", "--ambiguity", "4"), "!49  .  N/072  .  W-"),
        (("--symbol", "/-", "--ambiguity", "1"), "!4903.5 N/07201.7 W-"),
        (("--symbol", "car", "--course", "88", "--speed", "18.52"), "!4903.50N/07201.75W>088/036"),
        (("--speed", "0"), "!4903.50N/07201.75W[000/000"),
        ((), "!4903.50N/07201.75W["),
    ],
)
def test_a_place_makes_the_text_of_the_protocol(ask: Ask, arguments: tuple[str, ...], text: str) -> None:
    assert text_of(ask, "--at", AT, *arguments) == text


def test_the_compressed_text_of_the_protocol(ask: Ask) -> None:
    text = text_of(
        ask, "--at", "49.5 N 72.75 W", "--compressed", "--symbol", "car", "--course", "88", "--speed", "18.64"
    )
    # A typed place is no current fix, which the last character says: the example's `[` less its bit of 32.
    assert text == "!/5L!!<*e7>7P;"


def test_a_place_that_begins_with_a_minus_sign_works_as_it_stands(ask: Ask) -> None:
    found = read(text_of(ask, "--at", "-33.9,-18.4"))
    assert (found["latitude"], found["longitude"]) == (pytest.approx(-33.9, abs=1e-4), pytest.approx(-18.4, abs=1e-4))


def test_compressed_with_ambiguity_is_wrong_usage_and_says_why(ask: Ask) -> None:
    # Before the source is opened: it need not exist.
    for where in (("--at", AT), ("--from", "nowhere.nmea")):
        run = asked(ask, *where, "--compressed", "--ambiguity", "1")
        assert (run.code, run.out) == (2, b"")
        assert "no ambiguity" in run.complaint


def test_an_ambiguity_says_how_large_a_box_others_see(ask: Ask) -> None:
    run = asked(ask, "--at", "60 N 10 W", "--ambiguity", "2")
    assert "927 m west to east by 1853 m" in run.complaint or "926 m west to east by 1853 m" in run.complaint


def test_a_recording_gives_its_last_fix_with_course_speed_and_altitude(ask: Ask, tmp_path: Path) -> None:
    walk = tmp_path / "walk.nmea"
    walk.write_bytes(b"".join(lines(*Epoch(second=float(n)).bodies()) for n in range(5)))
    run = asked(ask, "--from", str(walk))
    assert run.out == b"!1030.00N/02015.00W[090/003/A=000041\n"
    assert "a recording, not now" in run.complaint
    assert text_of(ask, "--from", str(walk), "--time", "clock", "--bare") == "/120004h1030.00N/02015.00W["
    assert (
        text_of(ask, "--from", str(walk), "--time", "day", "--ambiguity", "3") == "/041200z103 .  N/0201 .  W[090/003"
    )
    assert read(text_of(ask, "--from", str(walk), "--compressed"))["course"] == 92  # 90 in steps of 4


def test_a_live_receiver_makes_a_current_text(ask: Ask) -> None:
    said = b"".join(lines(*Epoch(second=float(n)).bodies()) for n in range(5))
    with socket.create_server(("127.0.0.1", 0)) as server:

        def serve() -> None:
            client, _ = server.accept()
            with client:
                client.sendall(said)
                client.recv(1)

        serving = threading.Thread(target=serve, daemon=True)
        serving.start()
        text = text_of(ask, "--from", f"tcp://127.0.0.1:{server.getsockname()[1]}", "--compressed")
        serving.join(20.0)
    # The example of chapter 9 ends on `[`: current fix, RMC, by software.
    assert text[13] == "["
    assert read(text)["latitude"] == pytest.approx(10.5, abs=1e-5)


def test_a_course_at_rest_is_no_course(ask: Ask, tmp_path: Path) -> None:
    rest = tmp_path / "rest.nmea"
    rest.write_bytes(b"".join(lines(*Epoch(second=float(n), knots="0.3").bodies()) for n in range(5)))
    assert "[000/000" in text_of(ask, "--from", str(rest))


def test_a_void_source_makes_no_text(ask: Ask, tmp_path: Path) -> None:
    void = tmp_path / "void.nmea"
    void.write_bytes(b"".join(lines(*Epoch(second=float(n), valid=False).bodies()) for n in range(5)))
    run = asked(ask, "--from", str(void))
    assert (run.code, run.out) == (3, b"")


def test_a_simulated_position_makes_no_text(ask: Ask, tmp_path: Path) -> None:
    simulated = tmp_path / "simulated.nmea"
    simulated.write_bytes(b"".join(lines(*Epoch(second=float(n), mode="S", quality="8").bodies()) for n in range(5)))
    run = asked(ask, "--from", str(simulated))
    assert (run.code, run.out) == (3, b"")


def test_the_demo_is_read(ask: Ask) -> None:
    assert read(text_of(ask, "--from", str(DEMO)))["format"] == "uncompressed"


def test_a_time_of_a_typed_place_is_that_of_this_computer(ask: Ask) -> None:
    before = datetime.now(tz=UTC)
    text = text_of(ask, "--at", AT, "--time", "day")
    assert text[1:8] in {f"{moment:%d%H%M}z" for moment in (before, datetime.now(tz=UTC))}


def test_a_place_that_is_known_coarsely_is_said_to_be(ask: Ask) -> None:
    assert "--ambiguity 2 says so" in asked(ask, "--at", "HK60ab").complaint
    assert "says so" not in asked(ask, "--at", "HK60ab", "--ambiguity", "2").complaint


def test_near_home_a_precise_text_is_warned_of_and_a_blurred_one_is_not(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('[home]\nplace = "49.0583 N 72.0292 W"\nradius_m = 500\n')
    assert "where you live" in asked(ask, "--at", AT).complaint
    assert "where you live" in asked(ask, "--at", AT, "--ambiguity", "1").complaint
    assert "where you live" not in asked(ask, "--at", AT, "--ambiguity", "2").complaint
    assert "where you live" not in asked(ask, "--at", "20 N 30 W").complaint


@pytest.mark.parametrize(
    "arguments",
    [
        ("--at", AT, "--from", "x"),
        ("--at", AT, "--ambiguity", "5"),
        ("--at", AT, "--ambiguity", "-1"),
        ("--at", AT, "--ambiguity", "1.5"),
        ("--at", AT, "--course", "90"),
        ("--at", AT, "--course", "361", "--speed", "1"),
        ("--at", AT, "--course", "nan", "--speed", "1"),
        ("--at", AT, "--speed", "-1"),
        ("--at", AT, "--speed", "515"),
        ("--at", AT, "--speed", "5", "--compressed"),
        ("--at", AT, "--altitude", "400000"),
        ("--at", AT, "--altitude", "high"),
        ("--at", AT, "--symbol", "//x"),
        ("--at", AT, "--symbol", "/_"),
        ("--at", AT, "--time", "noon"),
    ],
)
def test_what_cannot_be_said_is_wrong_usage(ask: Ask, arguments: tuple[str, ...]) -> None:
    run = asked(ask, *arguments)
    assert (run.code, run.out) == (2, b"")
    assert run.complaint


def test_a_place_that_is_none_is_unusable(ask: Ask) -> None:
    run = asked(ask, "--at", "nowhere\x1b[2J")
    assert (run.code, run.out) == (1, b"")


def test_a_waypoint_goes_by_its_name_and_hostile_comments_are_cleaned(ask: Ask, tmp_path: Path) -> None:
    Waypoints(tmp_path / "waypoints.gpx").add(Waypoint("Quennet", Position(10.51, -20.24)))
    run = asked(ask, "--at", "Quennet", "--comment", "\x1b[2J\u202e088/036\nnext|line")
    assert run.code == 0
    text = run.out.decode("ascii").rstrip("\n")
    assert text.startswith("!1030.60N/02014.40W[")
    assert text.isprintable()
    assert "|" not in text
    assert "cannot be sent" in run.complaint


def test_the_help_says_that_transmitting_needs_a_licence(ask: Ask) -> None:
    assert b"licence" in asked(ask, "--help").out

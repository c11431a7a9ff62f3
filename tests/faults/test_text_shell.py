"""Hostile text in every command of the shell: arguments, names of files, what files hold; terminals without UTF-8."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from core.sheet_page import FORM_FEED
from core.waypoints import Waypoints
from tests.build import gga, line, rmc
from tests.cli.running import DEMO, Ask, Run, asker, fixboard, posix
from tests.faults.hostile_text import LONG, MARK, PAYLOADS, columns, plain
from tests.tui.support import ISLE

NOON_S = 43_200.0


@pytest.fixture
def ask(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Ask:
    monkeypatch.setenv("FIXBOARD_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path))
    (tmp_path / "data").mkdir()
    monkeypatch.chdir(tmp_path)
    return asker(capfdbinary)


def check_plain(run: Run) -> None:
    """Nothing obeyed, nothing reordered, no line longer than its text."""
    assert run.code in {0, 1, 2, 3}
    for stream in (run.out, run.err):
        text = stream.decode("utf-8")
        assert "Traceback" not in text
        assert "unexpected " not in text
        for row in text.replace(FORM_FEED, "\n").split("\n"):
            assert plain(row), ascii(row[:200])


def as_argument(payload: str) -> str:
    """As POSIX hands it over: bytes that are no UTF-8 as lone low surrogates, never as high ones."""
    return payload.replace("\ud800", "\udcff").replace("\udfff", "\udc81")


ARGUMENTS: dict[str, Callable[[str], list[str]]] = {
    "a command": lambda text: [text or "-"],
    "an option": lambda text: [f"--{text}"],
    "place": lambda text: ["place", "--", text],
    "bearing": lambda text: ["bearing", "--", "10.5 N 20.25 W", text],
    "beam": lambda text: ["beam", "--", text, "HK90"],
    "beam --at": lambda text: ["beam", "HK90", "JN58", f"--at={text}"],
    "hold": lambda text: ["hold", "--", text],
    "sheet": lambda text: ["sheet", "--", text, text],
    "sheet --zone": lambda text: ["sheet", "HK90", f"--zone={text}"],
    "sheet --climb": lambda text: ["sheet", "HK90", "HK91", f"--climb={text}"],
    "sheet -o": lambda text: ["sheet", "HK90", f"--output={text}"],
    "now --from": lambda text: ["now", f"--from={text}", "--wait", "0.1"],
    "digest": lambda text: ["digest", "--", text],
    "explain": lambda text: ["explain", "--", text],
    "log show": lambda text: ["log", "show", "--", text],
    "log at": lambda text: ["log", "at", "--", text],
    "report": lambda text: ["report", f"--output={text}", "--", text],
    "chapters": lambda text: ["chapters", "--", text],
    "export": lambda text: ["export", "--to=gpx", "--", text],
    "export --since": lambda text: ["export", str(DEMO), "--to=gpx", f"--since={text}"],
    "export -o": lambda text: ["export", "--waypoints", "--to=gpx", f"--output={text}"],
    "rehearse": lambda text: ["rehearse", f"--output={text}", "--", text],
    "position-text --symbol": lambda text: ["position-text", "--at", "HK90vm", f"--symbol={text}"],
    "position-text --comment": lambda text: ["position-text", "--at", "HK90vm", f"--comment={text}"],
    "nearest --list": lambda text: ["nearest", "HK90", f"--list={text}"],
    "nearest --band": lambda text: ["nearest", "HK90", f"--band={text}"],
    "stations": lambda text: ["stations", "--", text],
    "say --at": lambda text: ["say", f"--at={text}"],
    "say --check": lambda text: ["say", "--at=10.5 N 20.25 W", f"--check={text}"],
    "say --heard": lambda text: ["say", f"--heard={text}"],
    "say --blur": lambda text: ["say", "--at=10.5 N 20.25 W", f"--blur={text}"],
    "clock --latency": lambda text: ["clock", f"--from={DEMO}", f"--latency={text}"],
    "live": lambda text: ["live", "--", f"tcp://{text}"],
    "live --feed": lambda text: ["live", "/dev/null", f"--feed={text}"],
    "replay": lambda text: ["replay", "--", text],
    "demo": lambda text: ["demo", "--", text],
}
"""Where text is given: each gets every payload, none of which means anything there."""


@pytest.mark.parametrize("place", ARGUMENTS.values(), ids=ARGUMENTS)
def test_what_is_typed_is_quoted_harmlessly(ask: Ask, place: Callable[[str], list[str]]) -> None:
    for payload in PAYLOADS.values():
        if "\0" not in payload or place is ARGUMENTS["place"]:
            check_plain(ask(*place(as_argument(payload).replace("/", "|"))))


# What files hold


def heard(path: Path, *bodies: str) -> Path:
    path.write_bytes(
        b"".join(line(rmc(NOON_S + n)) + line(gga(NOON_S + n)) + b"".join(map(_line, bodies)) for n in range(12))
    )
    return path


def _line(body: str) -> bytes:
    data = body.encode("utf-8", "surrogatepass")
    made = 0
    for byte in data:
        made ^= byte
    return b"$" + data + b"*%02X\r\n" % made


OF_SENTENCES = (
    "GNTXT,01,01,02,{}",
    "{},1,2,3",
    "GPGSV,1,1,01,{},45,090,40",
    "GNGNS,120000,1030.0,N,02015.0,W,{},08,1.1,12.5,30.0,,,V",
    "GPDTM,{},,0.0,N,0.0,E,0.0,W84",
    "PQ{},1",
)
FROM_IT = (
    ["now", "--from"],
    ["say", "--from"],
    ["position-text", "--from"],
    ["log", "at", "12:00:05Z", "--session"],
)


def test_what_a_recording_holds_and_is_called(ask: Ask, tmp_path: Path) -> None:
    for number, payload in enumerate(PAYLOADS.values()):
        name = as_argument(payload[:50]).replace("/", "|").replace("\0", "").strip() or "blank"
        path = heard(tmp_path / f"{number}{name}.nmea", *(body.format(payload) for body in OF_SENTENCES))
        for name in ("digest", "chapters"):
            check_plain(ask(name, path))
        for command in FROM_IT:
            check_plain(ask(*command, path))
            found = ask(*command, path, "--json") if command[0] != "position-text" else None
            if found and found.code == 0:
                check_plain(found)
                assert isinstance(json.loads(found.out), dict)
        path.unlink()


def test_a_sentence_is_explained_as_it_is(ask: Ask) -> None:
    for payload in PAYLOADS.values():
        for body in OF_SENTENCES:
            text = os.fsdecode(_line(body.format(payload.replace("\0", ""))).strip())
            check_plain(ask("explain", "--", text))
            found = ask("explain", "--json", "--", text)
            check_plain(found)
            if found.code == 0:
                json.loads(found.out)


def test_a_table_of_stations_keeps_its_columns(ask: Ask, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    rows = ["call,name,output,shift,mode,locator,notes,status,keeper"]
    for number, payload in enumerate(PAYLOADS.values()):
        cell = payload.replace('"', "'").replace("\0", "")[:50]
        rows.append(f'QX{number}A,"{cell}",145.6,-0.6,"{cell[:12]}",HK90vm,"{cell}","{cell[:20]}","{cell}"')
        rows.append(f'"{cell[:20]}",Ridge,145.6,-0.6,FM,HK90vm,,,')
    path.write_text("\n".join(rows), "utf-8", errors="surrogatepass", newline="")
    run = ask("nearest", "10.5 N 20.25 W", "--list", path, "--count", "200")
    check_plain(run)
    assert run.code == 0
    table = run.out.decode("utf-8").split("\n\n")[0].split("\n")
    edge = columns(table[0].partition("distance")[0] + "distance")
    assert len(table) > 40
    for row in table[1:]:
        assert _cell_at(row, edge) == "5.11 km"[-1], row
        assert _cell_at(row, edge + 1) == " ", row
    check_plain(ask("stations", path))
    asked: tuple[list[str | Path], ...] = (["nearest", "HK90", "--list", path, "--json"], ["stations", path, "--json"])
    for arguments in asked:
        json.loads(ask(*arguments).out.decode("ascii"))


def _cell_at(row: str, column: int) -> str:
    """The character whose last cell is that column, counted from 1."""
    return next(char for n, char in enumerate(row) if columns(row[: n + 1]) == column)


def test_waypoints_of_any_name(ask: Ask, tmp_path: Path) -> None:
    book = Waypoints(tmp_path / "data" / "waypoints.gpx")
    for number, payload in enumerate(PAYLOADS.values()):
        book.add(replace(ISLE, name=payload or f"{number}", note=payload, kind=payload))
    names = [one.name for one in Waypoints(tmp_path / "data" / "waypoints.gpx").all()]
    assert len(names) == len(PAYLOADS)
    for name in names:
        if not name.strip():
            continue
        for command in (
            ["place", "--", name],
            ["bearing", "--", name, "HK90"],
            ["say", f"--at={name}"],
            ["beam", "--", name, "HK91"],
            ["sheet", "--date=2031-05-04", "--zone=UTC", "--", name, "HK90"],
            ["position-text", f"--at={name}"],
        ):
            check_plain(ask(*command))
    for name in names[:40]:
        run = ask("sheet", "--date=2031-05-04", "--zone=UTC", "--", name, "HK90")
        assert all(columns(row.strip(FORM_FEED)) <= 78 for row in run.out.decode().split("\n"))


def test_names_and_notes_in_the_logbook(ask: Ask, tmp_path: Path) -> None:
    folder = tmp_path / "data" / "recordings"
    folder.mkdir()
    entries = {}
    for number, payload in enumerate(PAYLOADS.values()):
        path = heard(folder / f"2031-05-04_12{number:02d}00_gps.nmea")
        entries[path.name] = {"name": payload.replace("\ud800", ""), "note": payload, "written": "2031-05-05T00:00:00Z"}
    (folder / "sessions.json").write_text(json.dumps({"sessions": entries}), "ascii")
    run = ask("log")
    check_plain(run)
    assert len(run.out.splitlines()) >= len(PAYLOADS)
    check_plain(ask("log", "show", "1"))
    json.loads(ask("log", "--json").out.decode("ascii"))


def test_a_scenario_of_any_title(ask: Ask, tmp_path: Path) -> None:
    for number, payload in enumerate(PAYLOADS.values()):
        path = tmp_path / "scenario.toml"
        path.write_text(f"title = {json.dumps(payload)}\n", "utf-8")
        check_plain(ask("rehearse", path, "-o", tmp_path / f"{number}.nmea"))


SETTINGS = (
    "[track]\nrule = {}\n",
    "[position]\nnotation = {}\n",
    "[home]\nplace = {}\n",
    "{} = 1\n",
    "[recorder]\n{} = true\n",
)


def test_settings_of_any_value(ask: Ask, tmp_path: Path) -> None:
    path = tmp_path / "data" / "settings.toml"
    for payload in PAYLOADS.values():
        for text in SETTINGS:
            path.write_text(text.format(json.dumps(payload)), "utf-8")
            check_plain(ask("now", "--from", DEMO))


class FakePort:
    """As the system lists one."""

    def __init__(self, text: str) -> None:
        self.device = f"/dev/tty{text}"
        self.name = self.description = self.hwid = self.manufacturer = self.product = self.serial_number = text
        self.interface = self.location = text
        self.vid, self.pid = 0x1209, 0x0001


def test_ports_of_any_description(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        "serial.tools.list_ports.comports", lambda *_, **__: [FakePort(one) for one in PAYLOADS.values()]
    )
    run = ask("ports")
    check_plain(run)
    rows = run.out.decode("utf-8").splitlines()
    assert len(rows) == len(PAYLOADS)
    for row in rows:
        device, identity, _ = row.partition("USB 1209:0001")
        assert identity
        assert columns(device) >= 18
    json.loads(ask("ports", "--json").out.decode("ascii"))


# A real process


@posix
def test_on_a_terminal_a_bar_shows_the_name_of_a_file_as_text(tmp_path: Path) -> None:
    """Brackets are markup to the library that draws the bar; escapes to the terminal."""
    from tests.cli.running import command, environment
    from tests.cli.terminal import Terminal
    from tests.faults.hostile_text import sent, strangers

    for number, payload in enumerate(("[/]", "[@click=x]\x1b]0;Qz\x07", "\x9b31mQz\u202e:warning:", "\\[red]")):
        path = tmp_path / f"{payload}.nmea.gz".replace("/", "|" if number else "/")
        path.parent.mkdir(exist_ok=True)
        shutil.copy(DEMO, path)
        report: list[str | bytes | Path] = ["report", path, "-o", tmp_path / f"{number}.html"]
        commands: tuple[list[str | bytes | Path], ...] = (["digest", path], report, ["chapters", path])
        for arguments in commands:
            terminal = Terminal(command(arguments), environment(tmp_path / "data"))
            run = terminal.run()
            terminal.close()
            assert run.code == 0, run.out[-500:]
            assert b"Traceback" not in run.out
            assert not strangers(sent(run.out))


POOR = {
    "ascii": {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": "ascii"},
    "posix": {"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    "latin-1": {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONIOENCODING": "latin-1"},
    "koi8-r": {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONIOENCODING": "koi8-r"},
    "nothing set": {"LC_ALL": "", "LANG": "", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
}
EVERY_COMMAND: tuple[list[str | bytes], ...] = (
    ["--help"],
    ["--version"],
    ["ports"],
    ["now", "--from", str(DEMO)],
    ["digest", str(DEMO)],
    ["clock", "--from", str(DEMO)],
    ["chapters", str(DEMO)],
    ["explain", "$GPGGA,120000,4717.1,N,00833.9,E,1,08,1.1,12.5,M,30.0,M,,*5B"],
    ["explain", b"$GPTXT,01,01,02,K\xc3\xb6t\xe9*00"],
    ["place", "47.285 N 8.565 E"],
    ["place", "H\u00fctte \u4e16"],
    ["bearing", "47.285 N 8.565 E", "JN58td"],
    ["beam", "JN58td", "HK90", "--beamwidth", "12"],
    ["sheet", "--zone", "UTC", "47.285 N 8.565 E", "JN58td"],
    ["position-text", "--at", "JN58td"],
    ["say", "--at", "JN58td", "--for", "sea"],
    ["say", "--heard", "47 17 1 8 33 9"],
    ["log"],
    ["log", "at", "14:32"],
    ["nearest", "JN58td", "--list", "list.csv"],
    ["stations", "list.csv"],
    ["replay", str(DEMO)],
    ["demo"],
    ["live"],
    ["doctor"],
    ["completion", "bash"],
    ["hold", "JN58td"],
    ["rehearse", "under_trees", "-o", "out.nmea"],
    ["export", str(DEMO), "--to", "csv", "-o", "out.csv"],
    ["report", str(DEMO), "-o", "out.html"],
    ["digest", "no-such-f\u00efle \u4e16\udcff"],
    ["nearest", "JN58td", "--band", "2\u00b5"],
)


@posix
@pytest.mark.parametrize("poor", [POOR["ascii"], POOR["latin-1"]], ids=["ascii", "latin-1"])
def test_every_command_on_a_terminal_without_utf_8(tmp_path: Path, poor: dict[str, str]) -> None:
    data = tmp_path / "data"
    data.mkdir()
    listed = tmp_path / "list.csv"
    listed.write_text("call,name,output,locator\nQX1AA,H\u00fctte \u4e16,145.6,JN58td\n", "utf-8")
    encoding = poor["PYTHONIOENCODING"]
    ours = {"list.csv", "out.nmea", "out.csv", "out.html"}
    for arguments in EVERY_COMMAND if encoding == "ascii" else EVERY_COMMAND[9:18]:
        there = [str(tmp_path / one) if isinstance(one, str) and one in ours else one for one in arguments]
        run = fixboard(data, *there, env=poor)
        for stream in (run.out, run.err):
            text = stream.decode(encoding)
            assert "Traceback" not in text, arguments
            assert "UnicodeEncodeError" not in text, arguments
            assert "unexpected " not in text, arguments
            assert "\\xb0" not in text, arguments
            assert "\\u201" not in text, arguments


@posix
@pytest.mark.parametrize("poor", POOR.values(), ids=POOR)
def test_marks_of_our_own_are_in_words(tmp_path: Path, poor: dict[str, str]) -> None:
    run = fixboard(tmp_path, "place", "47.285 N 8.565 E", env=poor)
    assert run.code == 0
    assert b"?" not in run.out
    run = fixboard(tmp_path, "place", "nowhere", env=poor)
    assert run.code == 1
    assert b"nowhere" in run.err


def test_payloads_hold_what_tests_look_for() -> None:
    assert sum(MARK in one for one in PAYLOADS.values()) >= len(PAYLOADS) - 2
    assert len(LONG) > 1000

"""Wrong usage: exit code 2, the right usage said, nothing on standard output, and no escape reaches the terminal."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path

import pytest

from tests.cli.running import DEMO, asker, check_civil
from tui.arguments import NAMES, parsed, parser
from tui.cli import main
from tui.speaking import printable

WRONG = [
    ["no-such-command"],
    ["digest"],
    ["digest", "a", "b"],
    ["replay"],
    ["replay", "a", "--pace", "0"],
    ["replay", "a", "--pace", "0.09"],
    ["replay", "a", "--pace", "100.1"],
    ["replay", "a", "--pace", "-1"],
    ["replay", "a", "--pace", "nan"],
    ["replay", "a", "--pace", "inf"],
    ["replay", "a", "--pace", "fast"],
    ["replay", "a", "--pace", ""],
    ["now", "--from", "a", "--wait", "-1"],
    ["now", "--from", "a", "--wait", "nan"],
    ["now", "--from", "a", "--wait", "soon"],
    ["now", "--from"],
    ["digest", "a", "--checksums", "maybe"],
    ["digest", "a", "--json=yes"],
    ["--theme", "pink", "demo"],
    ["demo", "first_walk", "another"],
]


@pytest.mark.parametrize("arguments", WRONG, ids=" ".join)
def test_wrong_usage_is_exit_code_2_and_says_why(arguments: list[str], capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    out, err = capfd.readouterr()
    assert ended.value.code == 2
    assert out == ""
    assert err.startswith("usage: fixboard")
    assert "error:" in err


@pytest.mark.parametrize(("text", "pace"), [("0.1", 0.1), ("1", 1.0), ("100", 100.0), ("max", float("inf"))])
def test_right_paces(text: str, pace: float) -> None:
    assert parser().parse_args(["replay", "a", "--pace", text]).pace == pace


def test_options_of_all_commands_may_stand_before_or_after_the_name() -> None:
    assert parser().parse_args(["--debug-log", "x", "digest", "a"]).debug_log == "x"
    assert parser().parse_args(["digest", "a", "--debug-log", "x"]).debug_log == "x"
    assert parser().parse_args(["digest", "a"]).debug_log is None


@pytest.mark.parametrize(
    "words", [["--help"], ["--no-such-option"], ["a", "b", "c", "d"], ["--wait", "soon"]], ids=" ".join
)
@pytest.mark.parametrize("name", NAMES)
def test_a_command_that_is_made_alone_says_what_it_says_among_all(
    name: str, words: list[str], capfd: pytest.CaptureFixture[str]
) -> None:
    alone, among_all = (_said(made, [name, *words], capfd) for made in (parser((name,)), parser()))
    assert alone == among_all


def _said(made: ArgumentParser, arguments: list[str], capfd: pytest.CaptureFixture[str]) -> tuple[object, ...]:
    try:
        found = vars(made.parse_args(arguments))
        return tuple((key, value) for key, value in found.items() if key != "run")
    except SystemExit as ended:
        return ended.code, *capfd.readouterr()


def test_options_before_the_command_and_no_command_at_all_are_understood() -> None:
    assert parsed(["--debug-log", "digest", "demo"]).debug_log == "digest"
    assert parsed(["--theme", "night"]).theme == "night"
    assert parsed([]).debug_log is None


def test_an_unknown_demo_names_those_there_are(capfd: pytest.CaptureFixture[str]) -> None:
    assert main(["demo", "no-such-demo"]) == 2
    out, err = capfd.readouterr()
    assert out == ""
    assert "first_walk" in err


@pytest.mark.parametrize(
    "arguments",
    [
        ["\x1b]0;owned\x07\x1b[31mred"],
        ["digest", "a", "\x1b[2Jgone", "\x9b31m"],
        ["digest", "\x1b[2Jgone"],
        ["digest", "two\nlines\rover"],
        ["now", "--wait", "\x1b[1m", "--from", "a"],
        ["demo", "\x1b[1m"],
        ["replay", "\u202egpj.\x1b"],
    ],
    ids=ascii,
)
def test_what_was_typed_is_shown_without_its_escapes(
    arguments: list[str], capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    run = asker(capfdbinary)(*arguments)
    check_civil(run)
    assert run.code in {1, 2}
    assert run.out == b""
    shown = run.complaint
    assert not any(char in shown for char in "\x1b\x9b\x07\u202e\r")
    assert shown.splitlines()[-1].startswith("fixboard")


def test_what_is_printable_stays() -> None:
    assert printable("h\u00fctte 山") == "h\u00fctte 山"
    assert printable("a\nb\tc\x1b\x7f\x85\u2028\u202e\ud800") == "a?b?c??????"


@pytest.mark.parametrize(
    "arguments", [["--help"], ["now", "--help"], ["digest", "--help"], ["--version"]], ids=" ".join
)
def test_help_is_output_not_failure(arguments: list[str], capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    out, err = capfd.readouterr()
    assert ended.value.code == 0
    assert "fixboard" in out
    assert err == ""


def test_the_caution_stands_in_the_help(capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--help"])
    assert "Not for primary navigation" in capfd.readouterr().out.replace("\n", " ")


def test_an_unexpected_failure_is_one_line_and_its_details_go_to_the_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    def fail(_: object) -> None:
        raise ZeroDivisionError("an \x1b[1mescape")

    monkeypatch.setattr("tui.cli_queries.digest", fail)
    log = tmp_path / "details"
    assert main(["digest", str(DEMO)]) == 1
    assert "--debug-log" in capfd.readouterr().err
    assert main(["digest", str(DEMO), "--debug-log", str(log)]) == 1
    out, err = capfd.readouterr()
    assert (out, err) == ("", f"fixboard: unexpected ZeroDivisionError: an ?[1mescape; details are in {log}\n")
    assert "Traceback" in log.read_text("utf-8")
    assert main(["digest", str(DEMO), "--debug-log", str(tmp_path)]) == 1
    assert "could not be written" in capfd.readouterr().err


def test_interrupted_it_ends_quietly(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> None:
    def interrupt(_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("tui.cli_queries.digest", interrupt)
    assert main(["digest", str(DEMO)]) == 130  # 128 and the number of SIGINT, as shells have it
    assert capfd.readouterr() == ("", "")

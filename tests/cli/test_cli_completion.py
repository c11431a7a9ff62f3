"""`fixboard completion`: the script works in a real bash, and is no nonsense to the other shells."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

import replays
from tests.cli.running import ROOT, check_civil, fixboard
from tui.arguments import NAMES
from tui.cli_completion import SHELLS

ASK = """
source "$1"
shift
COMP_WORDS=("$@")
COMP_CWORD=$((${#COMP_WORDS[@]} - 1))
_shtab_fixboard
printf '%s\\n' "${COMPREPLY[@]}"
"""
"""What a shell does when Tab is pressed, with the words typed so far as arguments."""

bash = pytest.mark.skipif(shutil.which("bash") is None, reason="no bash here")


def script(folder: Path, shell: str) -> Path:
    run = fixboard(folder / "data", "completion", shell)
    check_civil(run)
    assert run.code == 0
    path = folder / f"fixboard.{shell}"
    path.write_bytes(run.out)
    return path


@pytest.fixture(scope="module")
def for_bash(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return script(tmp_path_factory.mktemp("bash"), "bash")


def offered(path: Path, *words: str, cwd: Path = ROOT) -> set[str]:
    done = subprocess.run(
        ["bash", "--norc", "-c", ASK, "ask", str(path), "fixboard", *words],
        capture_output=True,
        text=True,
        check=True,
        cwd=cwd,
        timeout=60,
    )
    assert done.stderr == ""
    return set(done.stdout.split())


@bash
def test_every_command_is_offered(for_bash: Path) -> None:
    assert set(NAMES) <= offered(for_bash, "")
    assert offered(for_bash, "rep") == {"replay", "report"}


@bash
@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        (["live", "--re"], {"--record"}),
        (["export", "--to", ""], {"gpx", "kml", "geojson", "csv", "nmea"}),
        (["demo", "--theme", "d"], {"dark", "daylight"}),
        (["log", ""], {"show", "at"}),
        (["log", "at", "--s"], {"--session"}),
        (["demo", ""], set(replays.names())),
        (["completion", ""], set(SHELLS)),
        (["doctor", "--l"], {"--listen"}),
    ],
    ids=" ".join,
)
def test_options_values_and_parts_are_offered(for_bash: Path, words: list[str], wanted: set[str]) -> None:
    assert offered(for_bash, *words) == wanted


@bash
@pytest.mark.parametrize("words", [["replay", ""], ["now", "--from", ""], ["report", "-o", ""]], ids=" ".join)
def test_files_are_offered_where_a_file_may_stand(for_bash: Path, tmp_path: Path, words: list[str]) -> None:
    (tmp_path / "quennet.nmea").touch()
    assert "quennet.nmea" in offered(for_bash, *words, cwd=tmp_path)


@pytest.mark.parametrize("shell", SHELLS)
def test_the_shell_finds_nothing_wrong_with_it(tmp_path: Path, shell: str) -> None:
    if shutil.which(shell) is None:
        pytest.skip(f"no {shell} here to ask")
    done = subprocess.run(
        [shell, "-n", str(script(tmp_path, shell))], capture_output=True, text=True, check=False, timeout=60
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.parametrize("shell", SHELLS)
def test_each_script_names_every_command_and_says_how_to_install_it(tmp_path: Path, shell: str) -> None:
    text = script(tmp_path, shell).read_text(encoding="utf-8")
    assert [name for name in NAMES if name not in text] == []
    assert "_fixboard" in text or "completions/fixboard" in text


def test_zsh_s_first_line_says_for_which_command(tmp_path: Path) -> None:
    assert script(tmp_path, "zsh").read_text(encoding="utf-8").startswith("#compdef fixboard\n")


def test_another_shell_is_wrong_usage(tmp_path: Path) -> None:
    run = fixboard(tmp_path, "completion", "csh")
    check_civil(run)
    assert (run.code, run.out) == (2, b"")
    assert "bash" in run.complaint

"""`fixboard rehearse`: a scenario in, a labelled recording out, and nothing that was there before lost."""

from __future__ import annotations

import gzip
import json
from pathlib import Path

import pytest

from core.rehearsal.run import rehearse
from core.rehearsal.scenario import read_scenario
from core.sources.rehearsal_label import is_rehearsal
from tests.cli.running import DEMO, Ask, check_civil, fixboard
from tests.contract import check_digest
from tests.rehearsed import AT_THE_GATE


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the shell stands."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def scenario(tmp_path: Path) -> Path:
    path = tmp_path / "gate.toml"
    path.write_text(AT_THE_GATE, encoding="utf-8")
    return path


def test_a_scenario_becomes_a_recording(tmp_path: Path, scenario: Path) -> None:
    """As from a shell, and read again by the digest."""
    out = tmp_path / "gate.nmea.gz"
    run = fixboard(tmp_path, "rehearse", scenario, "-o", out)
    check_civil(run)
    assert (run.code, run.err) == (0, b"")
    assert f"{out}: At the gate, 21 epochs, {out.stat().st_size} bytes".encode() in run.out
    assert gzip.decompress(out.read_bytes()) == b"".join(rehearse(read_scenario(AT_THE_GATE, "gate.toml")))
    found = json.loads(fixboard(tmp_path, "digest", out, "--json").out)
    check_digest(found)
    assert found["epochs"] == 21
    assert found["epochs_with_fix"] >= 18
    assert found["sentences"]["good"] == sum(found["types"].values())
    assert found["first_fix"]["latitude"] == pytest.approx(41.0, abs=0.001)


def test_the_seed_counts(tmp_path: Path, ask: Ask, scenario: Path) -> None:
    runs = [("a", ()), ("b", ("--seed", "5")), ("c", ("--seed", "6"))]
    for name, seed in runs:
        assert ask("rehearse", scenario, "-o", tmp_path / name, *seed).code == 0
    own, same, other = ((tmp_path / name).read_bytes() for name, _ in runs)
    assert own == same
    assert own != other


def test_what_is_there_stays_unless_it_may_go(tmp_path: Path, ask: Ask, scenario: Path) -> None:
    out = tmp_path / "gate.nmea"
    assert ask("rehearse", scenario, "--output", out).code == 0
    before = out.read_bytes()
    refused = ask("rehearse", scenario, "-o", out, "--seed", "6")
    assert refused.code == 1
    assert "exists already: choose another name, or --force" in refused.complaint
    assert out.read_bytes() == before
    assert ask("rehearse", scenario, "-o", out, "--seed", "6", "--force").code == 0
    assert out.read_bytes() != before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["gate.nmea", "gate.toml"]


def test_force_replaces_rehearsals_only(tmp_path: Path, ask: Ask, scenario: Path) -> None:
    """Somebody's own recording, and the scenario itself."""
    own = tmp_path / "own.nmea.gz"
    own.write_bytes(DEMO.read_bytes())
    for out in (own, scenario):
        before = out.read_bytes()
        run = ask("rehearse", scenario, "-o", out, "--force")
        assert run.code == 1
        assert "is no rehearsal, and --force replaces nothing else" in run.complaint
        assert out.read_bytes() == before


def test_bundled_scenarios_go_by_their_names(tmp_path: Path, ask: Ask) -> None:
    out = tmp_path / "old.nmea"
    assert ask("rehearse", "rolled_over", "-o", out).code == 0
    assert is_rehearsal(out)
    run = ask("rehearse", "roled_over", "-o", tmp_path / "other")
    assert (run.code, "did you mean rolled_over?" in run.complaint) == (1, True)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("missing.toml", "is no scenario: "),
        ("", "is no scenario: give a file in TOML, or one of the bundled: "),
        ("folder", "is no scenario"),
        ("binary.toml", "cannot be read"),
        ("large.toml", "has more than 1000000 bytes"),
        ("wrong.toml", "line 1: titel is not known: did you mean title?"),
        ("a\x1b[2J", "a?[2J is no scenario"),
        ("a\0b", "a?b is no scenario"),
        ("x" * 5000, "cannot be read"),
    ],
)
def test_what_is_no_scenario_is_refused(folder: Path, ask: Ask, name: str, said: str) -> None:
    (folder / "folder").mkdir()
    (folder / "binary.toml").write_bytes(b"\xff\xfe")
    (folder / "large.toml").write_bytes(b"#" * 1_000_001)
    (folder / "wrong.toml").write_text("titel = 3\n", encoding="utf-8")
    run = ask("rehearse", name, "-o", "out.nmea")
    check_civil(run)
    assert run.code == 1
    assert said in run.complaint
    assert not (folder / "out.nmea").exists()


@pytest.mark.parametrize(
    "arguments",
    [
        ("gate.toml",),
        ("gate.toml", "-o", "x", "--seed", "-1"),
        ("gate.toml", "-o", "x", "--seed", "1.5"),
        ("gate.toml", "-o", "x", "--seed", "9" * 16),
        ("-o", "x"),
    ],
)
def test_wrong_usage_is_wrong_usage(ask: Ask, arguments: tuple[str, ...]) -> None:
    run = ask("rehearse", *arguments)
    check_civil(run)
    assert run.code == 2


@pytest.mark.parametrize("out", ["no/such/folder/out.nmea", ".", "x" * 300, "a\0b"])
def test_places_that_cannot_be_written_are_named(folder: Path, ask: Ask, scenario: Path, out: str) -> None:
    for force in ((), ("--force",)):
        run = ask("rehearse", scenario, "-o", out, *force)
        check_civil(run)
        assert run.code == 1
    assert [path.name for path in folder.iterdir()] == ["gate.toml"]

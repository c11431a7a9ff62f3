"""Damage by the thousand through every stage from bytes to what is shown; by the million where that is asked for.

The long versions: `python -m tests.faults.fuzzing TARGET` and `python -m tests.faults.fuzz_sentences`.
"""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest

from tests.faults import fuzzing
from tests.faults.damage import BYTE_WOUNDS, FIELD_WOUNDS, LINE_WOUNDS, Damager, checksum, mutations, repaired
from tests.faults.fuzz_sentences import receiver, run
from tests.faults.fuzz_sentences_checks import MOST_HELD
from tests.faults.fuzz_sentences_targets import TARGETS
from tests.faults.fuzzing import NO_ATHERIS, Target, hammer

needs_atheris = pytest.mark.skipif(
    importlib.util.find_spec("atheris") is None,
    reason="atheris is not installed: the seeded mutations of the test above it stand for it",
)
ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("name", TARGETS)
def test_mutations_of_sound_inputs_break_nothing(name: str) -> None:
    assert hammer(TARGETS[name], runs=150, most_seeds=25) > 160


@needs_atheris
@pytest.mark.parametrize("name", TARGETS)
def test_inputs_that_coverage_leads_to_break_nothing(name: str, tmp_path: Path) -> None:
    command = [sys.executable, "-m", "tests.faults.fuzzing", name, "--runs", "300", "--most-seeds", "25"]
    folders = ["--keep", str(tmp_path), "--corpus", str(tmp_path / "corpus")]
    done = subprocess.run([*command, *folders], cwd=ROOT, capture_output=True, text=True, timeout=600, check=False)
    assert done.returncode == 0, done.stderr[-3000:] + done.stdout[-3000:]
    assert "Done 300 runs" in done.stderr


def test_a_target_that_breaks_is_reported_with_its_input(tmp_path: Path) -> None:
    def breaks(data: bytes) -> None:
        assert b"\x00" not in data

    with pytest.raises(AssertionError) as caught:
        hammer(Target(breaks, lambda: [b"sound"]), runs=1000)
    assert any("the input was" in note for note in caught.value.__notes__)


def test_without_atheris_it_is_said_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "atheris", None)  # what makes an import of it fail
    with pytest.raises(SystemExit, match="--plain") as caught:
        fuzzing.main(["model"])
    assert caught.value.code == NO_ATHERIS


def test_an_unknown_target_names_those_that_there_are() -> None:
    with pytest.raises(SystemExit, match=r"decode, .*framing, .*model"):
        fuzzing.main(["nonesuch", "--plain"])


def test_an_input_that_broke_once_can_be_given_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "one").write_bytes(b"\x01$GNRMC,235960.00,A,,,,,,,310226,,,A*00\r\n")
    fuzzing.main(["model", "--file", str(tmp_path / "one")])
    assert "nothing broke" in capsys.readouterr().out


def test_damaged_sentences_break_nothing() -> None:
    report = run(20_000, seed=1, lives=2)
    assert report.damaged >= 20_000
    assert report.most_held <= MOST_HELD
    assert set(report.reasons) == {"bad checksum", "no checksum", "too long", "illegal character", "malformed"}
    assert 0 < report.with_position < report.fixes


@pytest.mark.slow
def test_ten_million_damaged_sentences_break_nothing() -> None:
    report = run(10_000_000, seed=1)
    assert report.damaged >= 10_000_000
    assert report.most_held <= MOST_HELD


# The damage itself


def test_the_same_number_gives_the_same_damage() -> None:
    seeds = [b"".join(receiver()[:40])]
    assert [*mutations(seeds, 50, 3)] == [*mutations(seeds, 50, 3)] != [*mutations(seeds, 50, 4)]
    assert Damager(receiver(), 3).block(300) == Damager(receiver(), 3).block(300) != Damager(receiver(), 4).block(300)


def test_most_damaged_fields_come_past_the_checksum() -> None:
    lines = [one for one in Damager(receiver(), 1, sound=0.0).block(4000).split(b"\r\n") if one[:1] == b"$"]
    right = [one for one in lines if one[-3:] == b"*%02X" % checksum(one[1:-3])]
    assert 0.3 < len(right) / len(lines) < 0.9
    assert len(set(right) - {one.strip() for one in receiver()}) > 1000


@pytest.mark.parametrize("data", [b"", b"$", b"\r\n", b"\x00", b"$GPGGA*00"])
def test_damage_to_next_to_nothing_is_damage_too(data: bytes) -> None:
    assert len([*mutations([data], 200, 1)]) == 200


def test_no_kind_of_damage_is_missing_from_the_tables() -> None:
    assert len({*BYTE_WOUNDS}) >= 9
    assert len({*FIELD_WOUNDS}) >= 8
    assert len({*LINE_WOUNDS}) >= 9


def test_checksums_are_put_right_and_nothing_else_is() -> None:
    assert repaired(b"x$GPQQQ,1*ZZ$GPQQQ,2*00\r\n!A*") == b"x$GPQQQ,1*%02XZZ$GPQQQ,2*%02X\r\n!A*41" % (
        checksum(b"GPQQQ,1"),
        checksum(b"GPQQQ,2"),
    )

"""A rehearsal says that it is one, and nothing else is taken for one."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from core.sources.rehearsal_label import is_rehearsal
from tests.build import line

RMC = line("GNRMC,120000.00,A,1030.0000,N,02015.0000,W,2.9,90.0,040531,,,A")
TXT = line("GNTXT,01,01,02,REHEARSAL Quennet ridge, simulated")
TAGGED = b"\\s:rehearsal,c:1935662400*5B\\" + RMC


@pytest.mark.parametrize("data", [TXT + RMC, RMC + TXT, TAGGED, b"\\c:1,s:rehearsal*00\\" + RMC])
def test_either_mark_is_enough(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "a.nmea").write_bytes(data)
    (tmp_path / "b.nmea.gz").write_bytes(gzip.compress(data))
    assert is_rehearsal(tmp_path / "a.nmea")
    assert is_rehearsal(tmp_path / "b.nmea.gz")


@pytest.mark.parametrize(
    "data",
    [RMC, line("GNTXT,01,01,02,a rehearsal"), b"\\s:rehearsals*00\\" + RMC, b"\\s:gps*00\\" + RMC + b"s:rehearsal"],
)
def test_nothing_else_is_one(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "a.nmea").write_bytes(data)
    assert not is_rehearsal(tmp_path / "a.nmea")

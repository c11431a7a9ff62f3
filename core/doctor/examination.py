"""Everything looked at, in the order of the report."""

from __future__ import annotations

from core.doctor.computer import computer
from core.doctor.files import files
from core.doctor.finding import Finding, Grade, Surroundings
from core.doctor.serial_ports import serial_ports
from core.doctor.terminal import terminal

_ROOMS = (terminal, serial_ports, files, computer)


def examine(here: Surroundings) -> tuple[Finding, ...]:
    """All findings, by subject. Reads files and tries to write a nameless one; changes nothing."""
    return tuple(finding for room in _ROOMS for finding in room(here))


def worst(findings: tuple[Finding, ...]) -> Grade:
    """The gravest of them; FINE of none."""
    grades = {finding.grade for finding in findings}
    return next((grade for grade in (Grade.MEND, Grade.NOTE) if grade in grades), Grade.FINE)

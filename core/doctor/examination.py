"""Everything looked at, in the order of the report."""

from __future__ import annotations

from core.doctor.computer import computer
from core.doctor.files import files
from core.doctor.finding import Finding, Grade, Surroundings
from core.doctor.listening import Ears, listened
from core.doctor.serial_ports import serial_ports
from core.doctor.terminal import terminal


def examine(here: Surroundings, ears: Ears | None = None) -> tuple[Finding, ...]:
    """All findings, by subject. Reads files and tries to write a nameless one; changes nothing.

    `ears`: to listen to the ports too, which takes some seconds each; None leaves them closed.
    """
    heard = listened(here, ears) if ears else ()
    return (*terminal(here), *serial_ports(here), *heard, *files(here), *computer(here))


def worst(findings: tuple[Finding, ...]) -> Grade:
    """The gravest of them; FINE of none."""
    grades = {finding.grade for finding in findings}
    return next((grade for grade in (Grade.MEND, Grade.NOTE) if grade in grades), Grade.FINE)

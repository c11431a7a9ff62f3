"""What comes from a terminal need not be UTF-8: keys of another encoding, noise on a line, a careless paste."""

from __future__ import annotations

from textual.drivers.linux_driver import LinuxDriver


class PatientDriver(LinuxDriver):
    """Textual's own, which ends the program at the first byte that is no UTF-8."""

    def run_input_thread(self) -> None:
        """Read on after such a byte; what came in one piece with it is lost, as on a terminal that drops a key."""
        while not self.exit_event.is_set():
            try:
                super().run_input_thread()
            except UnicodeDecodeError:
                continue

"""What all commands have of argparse: how help is laid out and ends, and that a command is imported when it runs."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Any, NoReturn

from tui.speaking import flush, printable


class _Lines(argparse.HelpFormatter):
    """Text is wrapped, but for lines that are indented: those are there to be pasted."""

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        filled = super()._fill_text
        lines = text.split("\n")
        return "\n".join(line if line.startswith("  ") else filled(line, width, indent) for line in lines)


class Parser(argparse.ArgumentParser):
    """Of the program, and of each command."""

    def __init__(self, *arguments: Any, **named: Any) -> None:
        super().__init__(*arguments, **{"formatter_class": _Lines, **named})
        # argparse takes -33.9,18.4 for an option, unless it looks like a number to it; no option of ours has a digit.
        self._negative_number_matcher = re.compile(r"-\d|-\.\d")

    def format_help(self) -> str:
        """With examples at its end, which nobody needs but who asks for help."""
        from tui.command_examples import EXAMPLES, epilog

        name = self.prog.partition(" ")[2]
        if name in EXAMPLES:
            self.epilog = epilog(name)
        return super().format_help()

    def exit(self, status: int = 0, message: str | None = None) -> NoReturn:
        """After help and after wrong usage. What was typed may stand in `message`, escapes and all."""
        flush()
        super().exit(status, message and printable(message.rstrip("\n")) + "\n")


def later(module: str, function: str) -> Callable[[argparse.Namespace], int]:
    """The command in tui/cli_MODULE.py, imported only when it is called."""

    def run(options: argparse.Namespace) -> int:
        command: Callable[[argparse.Namespace], int] = getattr(import_module(f"tui.cli_{module}"), function)
        return command(options)

    return run


class ShowVersion(argparse.Action):
    """Print the version and end. Found out when it is asked for: the search takes as long as all the words here."""

    def __init__(self, option_strings: Sequence[str], dest: str) -> None:
        super().__init__(option_strings, argparse.SUPPRESS, nargs=0, help="show program's version number and exit")

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        """As argparse's own action does it."""
        parser._print_message(f"fixboard {own_version()}\n", sys.stdout)
        parser.exit()


def own_version() -> str:
    """As it was installed."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("fixboard")
    except PackageNotFoundError:
        return "from a source tree that is not installed"

"""`fixboard completion SHELL`: a script that completes commands, options and their values in a shell."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

import replays
from tui.arguments import parser
from tui.speaking import tell

SHELLS = ("bash", "zsh", "fish")
_FILES = frozenset({"FILE", "OUT", "OUT.html", "SOURCE", "SCENARIO"})
"""Words in usage for which files are offered; of SOURCE and SCENARIO other things are possible too."""
_HOW = {
    "bash": "fixboard completion bash > ~/.local/share/bash-completion/completions/fixboard",
    "zsh": "fixboard completion zsh > DIR/_fixboard, DIR being a folder of $fpath; then compinit",
    "fish": "fixboard completion fish > ~/.config/fish/completions/fixboard.fish",
}


def completion(options: argparse.Namespace) -> int:
    """Print it."""
    tell(f"{_head(options.shell)}{script(options.shell)}")
    return 0


def _head(shell: str) -> str:
    """How to install it. zsh wants its #compdef to be the first line: there it says it itself."""
    return "" if shell == "zsh" else f"# To have it in every {shell}:\n#   {_HOW[shell]}\n"


def script(shell: str) -> str:
    """For one of SHELLS, made from the parser that reads the command line, so that it cannot fall behind."""
    # Only here: no other command wants it.
    import shtab

    top = parser()
    for one in _with_parts(top):
        for action in one._actions:
            _offer(action, shtab.FILE)
    text: str = shtab.complete(top, shell)
    return text.rstrip("\n")


def _offer(action: argparse.Action, files: object) -> None:
    """Files, or names of demos, where the parser itself lists no values."""
    if action.metavar == "NAME" and action.dest == "name":
        action.choices = replays.names()
    elif action.choices is None and action.metavar in _FILES:
        action.complete = files  # type: ignore[attr-defined]  # what the library looks for


def _with_parts(one: argparse.ArgumentParser) -> Iterator[argparse.ArgumentParser]:
    """A parser, and those of its commands, and of theirs."""
    yield one
    for action in one._actions:
        if isinstance(action, argparse._SubParsersAction):
            for part in action.choices.values():
                yield from _with_parts(part)

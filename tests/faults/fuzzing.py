"""Fuzzing guided by coverage: `python -m tests.faults.fuzzing TARGET [--runs N] [--seconds S]`.

A target takes bytes and raises where something is wrong with what the program made of them; an `AssertionError` of a
property counts like any other escape. Targets stand in the table `TARGETS` (name -> `Target`) of any file
`tests/faults/fuzz_*.py`; a new file is found by its name alone. `--plain` runs the same target without atheris, over
mutations of its seeds that a number decides (`tests/faults/damage.py`): for machines where atheris does not install.

Nothing of `core` may be imported before atheris watches the imports, so this file and the head of `main` know none
of it. What broke is written into the folder of `--keep` (default: the current one) and can be given again as a file.
"""

from __future__ import annotations

import argparse
import importlib
import sys
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import NamedTuple

LONGEST = 4096
"""Bytes of one input: coverage grows by many short inputs, the gigantic ones have tests of their own."""
HANGS_AFTER_S = 30
"""One input may take so long (the slowest of ours takes milliseconds) before it counts as a hang."""
NO_ATHERIS = (
    "atheris is not installed here. Install it (pip install 'fixboard[fuzz]'; Linux on x86-64 only), "
    "or run the same target over seeded mutations with --plain."
)


class Target(NamedTuple):
    """One thing to fuzz."""

    run: Callable[[bytes], None]
    """Raises where something is wrong; whatever is allowed to be raised it catches itself."""
    seeds: Callable[[], Iterable[bytes]]
    """Sound inputs to begin with; what is not there (recordings outside the tree) is left out."""


def targets(name: str = "") -> dict[str, Target]:
    """All there are, by name, sorted. `name`: this one is enough, and only files that mention it are imported.

    Watching the imports of half the core takes atheris longer than many a run.
    """
    files = sorted(Path(__file__).parent.glob("fuzz_*.py"))
    first = [path for path in files if name and f'"{name}"' in path.read_text("utf-8")]
    found: dict[str, Target] = {}
    for path in (*first, *files):
        module = importlib.import_module(f"tests.faults.{path.stem}")
        found.update(getattr(module, "TARGETS", {}))
        if name in found:
            break
    return dict(sorted(found.items()))


def hammer(target: Target, runs: int, seed: int = 1, most_seeds: int | None = None) -> int:
    """Run a target over its seeds and `runs` mutations of them, the same ones each time; how many inputs it took.

    Raises what the target raises, with the input as a note. `most_seeds`: of more, so many are taken evenly.
    """
    from tests.faults.damage import mutations

    seeds = _seeds(target, most_seeds)
    count = 0
    for data in (*seeds, *mutations(seeds, runs, seed)):
        try:
            target.run(data)
        except BaseException as error:
            error.add_note(f"the input was {data!r}")
            raise
        count += 1
    return count


def _seeds(target: Target, most: int | None) -> list[bytes]:
    seeds = [one[:LONGEST] for one in target.seeds()]
    return seeds[:: max(1, -(-len(seeds) // most))] if most else seeds


def fuzz(name: str, options: argparse.Namespace) -> None:
    """Hand a target to atheris, which ends the process: 0 where nothing broke."""
    try:
        import atheris  # type: ignore[import-untyped, import-not-found, unused-ignore]  # no types
    except ImportError:
        sys.exit(NO_ATHERIS)
    with atheris.instrument_imports(include=["core"]):
        target = _chosen(name)
    corpus = options.corpus or Path(tempfile.mkdtemp(prefix="corpus-"))
    corpus.mkdir(parents=True, exist_ok=True)
    for number, data in enumerate(_seeds(target, options.most_seeds)):
        (corpus / f"seed-{number:04d}").write_bytes(data)
    options.keep.mkdir(parents=True, exist_ok=True)
    limits = [f"-max_len={LONGEST}", f"-timeout={HANGS_AFTER_S}", f"-seed={options.seed}"]
    limits += [f"-runs={options.runs}"] if options.runs is not None else []
    limits += [f"-max_total_time={options.seconds}"] if options.seconds is not None else []
    atheris.Setup([sys.argv[0], *limits, f"-artifact_prefix={options.keep}/", f"{corpus}"], target.run)
    atheris.Fuzz()


def _chosen(name: str) -> Target:
    known = targets(name)
    if name not in known:
        sys.exit(f"No target {name!r}. There are: {', '.join(known)}.")
    return known[name]


def _options(arguments: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.faults.fuzzing", description="Fuzz one target.")
    parser.add_argument("target", help="its name; `list` names them all")
    parser.add_argument("--runs", type=int, help="how many inputs (default: without end; 10000 with --plain)")
    parser.add_argument("--seconds", type=int, help="how long at most; not with --plain")
    parser.add_argument("--seed", type=int, default=1, help="of the dice")
    parser.add_argument("--most-seeds", type=int, help="take so many of the sound inputs evenly (default: all)")
    parser.add_argument("--plain", action="store_true", help="without atheris: seeded mutations")
    parser.add_argument("--corpus", type=Path, help="folder that keeps what reached new code, for the next time")
    parser.add_argument("--keep", type=Path, default=Path(), help="folder for inputs that broke it")
    parser.add_argument("--file", type=Path, action="append", help="run this input alone, and again for more")
    return parser.parse_args(arguments)


def main(arguments: list[str] | None = None) -> None:
    options = _options(arguments)
    if options.target == "list":
        print("\n".join(targets()))
    elif options.file:
        target = _chosen(options.target)
        for path in options.file:
            target.run(path.read_bytes())
            print(f"{path}: nothing broke")
    elif options.plain:
        count = hammer(_chosen(options.target), options.runs or 10_000, options.seed, options.most_seeds)
        print(f"{options.target}: {count} inputs, nothing broke")
    else:
        fuzz(options.target, options)


if __name__ == "__main__":
    main()

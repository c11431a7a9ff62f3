"""TOML from anybody: what the library answers with other errors than its own, or with all of the memory, is refused.

The library keeps every beginning of a dotted key, so a key of 100,000 names takes gigabytes. Files of ours nest three
deep; a hundred keeps clear of texts and comments in which words have dots behind them.
"""

from __future__ import annotations

import re
from typing import Any

# Possessive, and tried only where a name can begin: a text of a million letters is looked through once.
_LONG_KEY = r"""(?:(?<![\w-])(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){100}"""


def parsed(text: str) -> dict[str, Any]:
    """The tables of a text. Raises ValueError, in words, for whatever is no TOML, or none that anybody writes."""
    import tomllib  # start-up time: many have no file in TOML

    long = re.search(_LONG_KEY, text)  # not compiled before it is wanted: start-up time
    if long:
        line = text.count("\n", 0, long.start()) + 1
        raise ValueError(f"a key of more than 100 names (at line {line})")
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise ValueError("its values nest too deeply") from error
    except tomllib.TOMLDecodeError:
        raise
    except ValueError as error:  # Python's own words on numbers of thousands of digits are for programmers
        raise ValueError("a number in it has thousands of digits") from error

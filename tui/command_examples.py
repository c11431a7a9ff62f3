"""What each command's help ends with: lines to paste. A test runs them all in a folder that holds `walk.nmea.gz`."""

from __future__ import annotations

from typing import NamedTuple


class Example(NamedTuple):
    """A line to paste."""

    line: str
    needs: str = ""
    """`receiver`, or `terminal` where it opens the board; empty where it runs anywhere."""


_RECEIVER, _TERMINAL = "receiver", "terminal"
_PLACE = '"47.285 N 8.565 E"'

EXAMPLES: dict[str, tuple[Example, ...]] = {
    "live": (Example("fixboard live", _RECEIVER), Example("fixboard live /dev/ttyACM0 --record", _RECEIVER)),
    "replay": (Example("fixboard replay walk.nmea.gz --pace 10", _TERMINAL),),
    "demo": (Example("fixboard demo", _TERMINAL), Example("fixboard demo ridge_walk --theme daylight", _TERMINAL)),
    "hold": (Example(f"fixboard hold {_PLACE}", _TERMINAL),),
    "now": (Example("fixboard now --from walk.nmea.gz --json"), Example("fixboard now --wait 60", _RECEIVER)),
    "clock": (Example("fixboard clock --latency 0.2", _RECEIVER), Example("fixboard clock --learn", _RECEIVER)),
    "digest": (Example("fixboard digest walk.nmea.gz"),),
    "explain": (Example("fixboard explain '$GNGSA,A,3,05,07,13,15,20,24,30,,,,,,1.6,0.9,1.3,1*3E'"),),
    "log": (Example("fixboard log"), Example("fixboard log --json")),
    "log show": (Example("fixboard log show 1"),),
    "log at": (Example("fixboard log at 07:05 --session walk.nmea.gz"),),
    "report": (Example("fixboard report walk.nmea.gz -o walk.html"),),
    "chapters": (Example("fixboard chapters walk.nmea.gz"),),
    "export": (
        Example("fixboard export walk.nmea.gz --to gpx -o walk.gpx"),
        Example("fixboard export walk.nmea.gz --to csv --only usable --every 10s"),
    ),
    "rehearse": (Example("fixboard rehearse under_trees -o walk.nmea.gz"),),
    "ports": (Example("fixboard ports"),),
    "place": (Example(f"fixboard place {_PLACE}"), Example("fixboard place JN47GG --json")),
    "bearing": (Example(f"fixboard bearing {_PLACE} JN48QM"),),
    "sheet": (Example(f'fixboard sheet {_PLACE} "47.3 N 8.6 E" --depart 08:30 --climb 240/60'),),
    "beam": (Example("fixboard beam JN47GG FN31 --beamwidth 12"),),
    "position-text": (Example(f"fixboard position-text --at {_PLACE} --symbol car"),),
    "nearest": (Example(f"fixboard nearest {_PLACE} --list stations.csv --band 2m"),),
    "stations": (Example("fixboard stations stations.csv"),),
    "say": (
        Example(f"fixboard say --at {_PLACE} --for sea"),
        Example(f'fixboard say --heard "48.285 N 8.565 E" --near {_PLACE}'),
    ),
    "doctor": (Example("fixboard doctor"), Example("fixboard doctor --listen", _RECEIVER)),
    "completion": (Example("fixboard completion bash > fixboard.bash"),),
}
"""By command, and by the parts of one. Places and stations are invented."""


def epilog(command: str) -> str:
    """The end of its help."""
    return "\n".join(["for example:", *(f"  {example.line}" for example in EXAMPLES[command])])

"""Short ways through the core: bodies in, readings or Fixes out; and receivers to play."""

from __future__ import annotations

from collections.abc import Iterable

from core.fix import Fix, Position
from core.model import FixModel
from core.nmea.decode import Malformed, decode
from core.nmea.framing import Framer, Sentence
from core.nmea.readings import Reading
from tests.build import LATITUDE, LONGITUDE, gga, gll, gsa, gst, gsv, line, lines, rmc, vtg, zda

NOON = 43_200
HERE = Position(LATITUDE, LONGITUDE)
QUALITY = [
    "none",
    "autonomous",
    "differential",
    "precise",
    "rtk_fixed",
    "rtk_float",
    "estimated",
    "manual",
    "simulated",
]
"""What GGA's digits mean, by the digit; independent of core: nmea-facts.toml [gga_quality]."""


def read(body: str) -> Reading | Malformed | None:
    (event,) = Framer().feed(line(body))
    assert isinstance(event, Sentence)
    return decode(event)


def fixes(*bodies: str) -> list[Fix]:
    model = FixModel()
    return model.feed(lines(*bodies), 0.0) + model.finish()


def only(*bodies: str) -> Fix:
    (fix,) = fixes(*bodies)
    return fix


def clocks(found: list[Fix]) -> list[str | None]:
    return [fix.utc.clock(1) if fix.utc else None for fix in found]


def play(model: FixModel, bodies: Iterable[str], at_s: float) -> None:
    model.feed(lines(*bodies), at_s)


def sparse(model: FixModel, seconds: int) -> None:
    """RMC every second, the rest every fifth."""
    for second in range(seconds):
        bodies = [rmc(NOON + second)]
        if second % 5 == 0:
            bodies += [gga(NOON + second, altitude=f"{second}.0"), gsa(5, 6), gst(NOON + second)]
        play(model, bodies, 100.0 + second)


def sky_at(second: int) -> list[str]:
    return [gsv(1, 2, 1, 2, 3, 4, cno=10 + second), gsv(2, 2, 5, cno=10 + second)]


def cycle(second: int, order: str) -> list[str]:
    """One second of a receiver that sends these types in this order."""
    at = NOON + second
    made = {
        "RMC": [rmc(at)],
        "GGA": [gga(at, altitude=f"{second}.0")],
        "GLL": [gll(at)],
        "GSA": [gsa(second + 1, second + 2)],
        "GSV": sky_at(second),
        "VTG": [vtg(5.0)],
        "GST": [gst(at, f"{second}.5")],
        "ZDA": [zda(at)],
    }
    return [body for kind in order.split() for body in made[kind]]

"""Writes tests/data/synthetic: one small recording for each peculiarity that real recordings have, or should have.

Everything in them is invented: a boat in open ocean that moves north by 0.0001 degrees a second from 12:00:00 on
2031-05-04, unless the name says otherwise. Each begins with a TXT that says so. `python -m tests.data.make_synthetic`
from the project's root writes them again; a test checks that they are what this makes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tests.build import clock, gsa, gsv, sentence, xor_of

FOLDER = Path(__file__).parent / "synthetic"
LABEL = "GNTXT,01,01,02,Synthetic test data"
START = datetime(2031, 5, 4, 12, tzinfo=UTC)
NOON = 43_200.0
STEP = 0.0001
Bodies = Iterable[str]


def place(latitude: float, longitude: float) -> str:
    """Four decimals of a minute, 0.2 m."""
    return (
        f"{_angle(latitude, 2)},{'S' if latitude < 0 else 'N'},{_angle(longitude, 3)},{'W' if longitude < 0 else 'E'}"
    )


def _angle(degrees: float, digits: int) -> str:
    whole, rest = divmod(round(abs(degrees) * 600_000), 600_000)
    return f"{whole:0{digits}d}{rest / 10_000:07.4f}"


def rmc(seconds: float, where: str, *, status: str = "A", speed: str = "21.6,0.0", day: str = "040531") -> str:
    """`where` may stand beside any status."""
    return f"GNRMC,{clock(seconds)},{status},{where},{speed},{day},,,{'A' if status == 'A' else 'N'}"


def gga(seconds: float, where: str, quality: str = "1", tail: str = "08,1.1,12.5,M,30.0,M,,") -> str:
    """`where` may stand beside any quality."""
    return f"GNGGA,{clock(seconds)},{where},{quality},{tail}"


def sky() -> list[str]:
    """A GSA and two pages of GSV."""
    return [gsa(1, 2, 3, 4, 5), gsv(1, 2, 1, 2, 3, 4), gsv(2, 2, 5)]


def here(second: float) -> str:
    """Where the boat is."""
    return place(10.5 + second * STEP, -20.25)


def second(n: float, quality: str = "1") -> list[str]:
    """One whole epoch."""
    return [rmc(NOON + n, here(n)), gga(NOON + n, here(n), quality), *sky()]


def walk(seconds: int = 5) -> list[str]:
    """The label and so many epochs."""
    return [LABEL, *[body for n in range(seconds) for body in second(n)]]


def written(bodies: Bodies, end: str = "\r\n") -> bytes:
    """As a receiver sends them."""
    return "".join(sentence(body) + end for body in bodies).encode("latin-1")


def _with_host_prefix() -> bytes:
    rows = enumerate(sentence(body) for body in walk())
    stamps = ((START + timedelta(seconds=n // 5, milliseconds=250), row) for n, row in rows)
    return "".join(f"{at:%Y-%m-%d %H:%M:%S}.{at.microsecond // 1000:03d} -->> {row}\n" for at, row in stamps).encode()


def _with_tag_blocks() -> bytes:
    rows = []
    for n, body in enumerate(walk()):
        unix = int(START.timestamp()) + n // 5
        tag = f"s:mast,c:{unix * 1000 + 250 if n % 2 else unix}"
        rows.append(f"\\{tag}*{xor_of(tag):02X}\\{sentence(body)}\r\n")
    return "".join(rows).encode()


def _banner() -> bytes:
    head = "=~=~=~= log started 2031.05.04 12:00 =~=~=~=\r\nWelcome! Costs $5.\r\n"
    return head.encode() + sentence(gsa(1, 2, 3))[9:].encode() + b"\r\n" + written(walk())


def _padded(filler: bytes) -> bytes:
    blocks = [written([body], filler.decode() + "\r\n") for body in walk()]
    return b"".join(blocks) + filler * 200 + b"\r\n" + filler * 300


def _binary() -> bytes:
    """Pieces that hold line ends, dollars and the head of a sentence, but no sentence."""
    noise = bytes(n * 89 % 256 for n in range(300)) + b"\xb5\x62$\x00$GP\x01\r\xd3\x00\n!\xff"
    return noise + b"".join(noise + written([body]) for body in walk()) + noise


def _without_checksums() -> bytes:
    return "".join(f"${body}\r\n" for body in walk()).encode()


def _lower_case() -> bytes:
    rows = (sentence(body) for body in walk())
    return "".join(f"{row[:-2]}{row[-2:].lower()}\r\n" for row in rows).encode()


def _wrong_checksums() -> bytes:
    """A GGA with a changed digit, an RMC with a lost one, a GSV with half its checksum."""
    rows = [sentence(body) for body in walk()]
    rows[7] = rows[7].replace(",08,", ",09,")
    rows[11] = rows[11].replace("21.6", "2.6")
    rows[25] = rows[25][:-1]
    return "".join(f"{row}\r\n" for row in rows).encode()


def _void_with_old_position() -> list[str]:
    void = [b for n in range(3) for b in (rmc(NOON + n, here(0), status="V"), gga(NOON + n, here(0), "0"), *sky())]
    return [LABEL, *void, *[body for n in (3, 4) for body in second(n)]]


def _fast_while_void() -> list[str]:
    void = [rmc(NOON + n, ",,,", status="V", speed="425.45,10.84") for n in range(3)]
    vtg = "GNVTG,10.84,T,,M,425.45,N,787.93,K,N"
    return [LABEL, *[body for one in void for body in (one, vtg)], *second(3)]


def _dates_of_1980() -> list[str]:
    cold = [rmc(86_382.8 + n, ",,,", status="V", speed=",", day="050180") for n in range(3)]
    return [LABEL, *cold, *second(3), *second(4)]


def _power_cycles() -> list[str]:
    """On for three seconds, off, on without knowing the time for two cycles, then a time an hour later."""
    cold = ["GNRMC,,V,,,,,,,,,,N", "GNGGA,,,,,,0,00,,,,,,,", "GPGSV,1,1,00"]
    later = [body for n in (3600, 3601) for body in second(n)]
    return [*walk(3), "PABC010,001", *cold, *cold, *later]


def _sparse_gga() -> list[str]:
    rows = [LABEL]
    for n in range(11):
        rows += second(n) if n % 5 == 0 else [rmc(NOON + n, here(n))]
    return rows


def _padded_gsv() -> list[str]:
    padded = "GPGSV,2,2,05,05,45,090,40,,,,,,,,,,,,"
    return [padded if body.startswith("GPGSV,2,2") else body for body in walk()]


def _empty_quality() -> list[str]:
    lost = [body for n in (2, 3) for body in (f"GNRMC,{clock(NOON + n)},V,,,,,,,040531,,,N", "GPGGA,,,,,,,,,,M,,M,,")]
    return [*walk(2), *lost, *second(4)]


def _qualities(digits: str) -> list[str]:
    return [LABEL, *[body for n, digit in enumerate(digits) for body in second(n, digit)]]


def _several_gsa() -> list[str]:
    rows = [LABEL]
    for n in range(4):
        talkers = [
            gsa(1, 2, talker="GP"),
            gsa(65, 66, talker="GL"),
            gsa(3, talker="GA"),
            gsa(talker="GB", dimensions=1),
        ]
        rows += [rmc(NOON + n, here(n)), gga(NOON + n, here(n)), *talkers]
    return rows


def _six_letters() -> list[str]:
    slave = "GNGGAH," + gga(NOON, place(11, 21)).partition(",")[2]
    return [body for row in walk(3) for body in (row, slave, "GNTHS2,90.0,A")]


def _long_sentences() -> list[str]:
    """83 and 84 characters with CR LF: seven decimals of a minute."""
    rows = [LABEL]
    for n in range(3):
        long = f"1030.{n * 60_000:07d},N,02015.0000000,W"
        tail = f"08,1.1,12.5000,M,30.0{'' if n % 2 else '0'},M,1.0,"
        rows += [rmc(NOON + n, long), gga(NOON + n, long, "5", tail)]
    return rows


def _hertz(rate: int) -> list[str]:
    """The sky once a second."""
    rows = [LABEL]
    for n in range(2 * rate + 1):
        at = n / rate
        rows += second(at) if n % rate == 0 else [rmc(NOON + at, here(at)), gga(NOON + at, here(at))]
    return rows


def _across(latitude: float, longitude: float, north: float, east: float) -> list[str]:
    """Five epochs, the middle one at this place."""
    rows = [LABEL]
    for n in range(5):
        there = longitude + (n - 2) * east
        where = place(latitude + (n - 2) * north, (there + 180) % 360 - 180)
        rows += [rmc(NOON + n, where), gga(NOON + n, where)]
    return rows


def _over_the_pole(latitude: float) -> list[str]:
    """Up one meridian, the pole itself, down the opposite one."""
    rows = [LABEL]
    for n in range(5):
        where = place(latitude * (1 - abs(n - 2) * 1e-6), -20.0 if n < 2 else 0.0 if n == 2 else 160.0)
        rows += [rmc(NOON + n, where), gga(NOON + n, where)]
    return rows


def _leap_second() -> list[str]:
    """23:59:58 to 00:00:01 at the end of a year; no leap second is announced for it."""
    days = [(86_398.0, "311231"), (86_399.0, "311231"), (86_400.0, "311231"), (0.0, "010132"), (1.0, "010132")]
    return [LABEL, *[b for n, (at, day) in enumerate(days) for b in (rmc(at, here(n), day=day), gga(at, here(n)))]]


def _old_and_short() -> bytes:
    """GLL of 1.5 without time or status, ZDA without a zone, VTG of four figures; no checksum; a time before each."""
    rows = []
    for n in range(4):
        at = START + timedelta(seconds=n)
        bodies = [f"GPZDA,{clock(NOON + n)},04,05,2031,", f"GPGLL,{here(n)}", "GPVTG,0.0,0.0,21.6,40.0"]
        rows += [f"{at:%Y-%m-%dT%H:%M:%S}Z ${body}\n" for body in bodies]
    return (f"# Synthetic test data\n{''.join(rows)}").encode()


FILES: dict[str, Callable[[], bytes]] = {
    "cr-lf.nmea": lambda: written(walk()),
    "lf.nmea": lambda: written(walk(), "\n"),
    "cr.nmea": lambda: written(walk(), "\r"),
    "cr-cr-lf.nmea": lambda: written(walk(), "\r\r\n"),
    "host-prefix.nmea": _with_host_prefix,
    "tag-blocks.nmea": _with_tag_blocks,
    "banner.nmea": _banner,
    "nul-padded.nmea": lambda: _padded(b"\x00"),
    "space-padded.nmea": lambda: _padded(b" "),
    "binary.bin": _binary,
    "no-checksums.nmea": _without_checksums,
    "lower-case-checksums.nmea": _lower_case,
    "wrong-checksums.nmea": _wrong_checksums,
    "ends-in-mid-sentence.nmea": lambda: written(walk())[:-75],
    "void-with-old-position.nmea": lambda: written(_void_with_old_position()),
    "fast-while-void.nmea": lambda: written(_fast_while_void()),
    "dates-of-1980.nmea": lambda: written(_dates_of_1980()),
    "power-cycles.nmea": lambda: written(_power_cycles()),
    "sparse-gga.nmea": lambda: written(_sparse_gga()),
    "padded-gsv.nmea": lambda: written(_padded_gsv()),
    "empty-quality.nmea": lambda: written(_empty_quality()),
    "rtk-churn.nmea": lambda: written(_qualities("145512544")),
    "rtk-fixed-moving.nmea": lambda: written(_qualities("4444444444")),
    "dead-reckoning.nmea": lambda: written(_qualities("116661")),
    "several-gsa.nmea": lambda: written(_several_gsa()),
    "six-letter-types.nmea": lambda: written(_six_letters()),
    "long-sentences.nmea": lambda: written(_long_sentences()),
    "five-hertz.nmea": lambda: written(_hertz(5)),
    "ten-hertz.nmea": lambda: written(_hertz(10)),
    "antimeridian.nmea": lambda: written(_across(10.0, 180.0, 0.0, STEP)),
    "equator.nmea": lambda: written(_across(0.0, -20.25, STEP, 0.0)),
    "greenwich.nmea": lambda: written(_across(-40.0, 0.0, 0.0, STEP)),
    "north-pole.nmea": lambda: written(_over_the_pole(90.0)),
    "south-pole.nmea": lambda: written(_over_the_pole(-90.0)),
    "leap-second.nmea": lambda: written(_leap_second()),
    "old-and-short.nmea": _old_and_short,
}


def main() -> None:
    """Write them all."""
    FOLDER.mkdir(exist_ok=True)
    for name, make in FILES.items():
        (FOLDER / name).write_bytes(make())


if __name__ == "__main__":
    main()

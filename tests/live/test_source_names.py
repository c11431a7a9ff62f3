"""What the user may call a source, and what is no address."""

from __future__ import annotations

import pytest

from core.errors import UsageError
from core.sources.names import Sort, source_name


@pytest.mark.parametrize(
    ("text", "sort", "host", "port"),
    [
        ("tcp://quennet:10110", Sort.TCP, "quennet", 10110),
        ("TCP://Quennet:10110/", Sort.TCP, "quennet", 10110),
        ("tcp://[fe80::1%eth0]:1", Sort.TCP, "fe80::1%eth0", 1),
        ("udp://:10110", Sort.UDP, "", 10110),
        ("udp://0.0.0.0:65535", Sort.UDP, "0.0.0.0", 65535),
        ("udp://[::]:10110", Sort.UDP, "::", 10110),
        ("-", Sort.STANDARD_INPUT, "", 0),
        ("COM3", Sort.SERIAL, "", 0),
        (r"\\.\COM12", Sort.SERIAL, "", 0),
        ("/dev/ttyQUENNET0", Sort.SERIAL, "", 0),
        ("/dev/null", Sort.SERIAL, "", 0),
        ("walk.nmea", Sort.FILE, "", 0),
        ("walk.nmea.gz", Sort.FILE, "", 0),
        ("COM3.nmea", Sort.FILE, "", 0),
        ("nul\x00byte", Sort.FILE, "", 0),
        ("", Sort.FILE, "", 0),
    ],
)
def test_the_forms_of_a_name(text: str, sort: Sort, host: str, port: int) -> None:
    name = source_name(text)
    assert (name.sort, name.text, name.host, name.port) == (sort, text, host, port)


@pytest.mark.parametrize(
    "text",
    [
        "tcp:",
        "tcp://",
        "tcp://quennet",
        "tcp://quennet:",
        "tcp://quennet:0",
        "tcp://quennet:65536",
        "tcp://quennet:99999999",
        "tcp://:10110",
        "tcp://[]:10110",
        "tcp://::1:10110",
        "tcp://quennet:1/path",
        "tcp://quennet:-1",
        "udp://",
        "udp:10110",
        "udp://:",
        "udp://:ten",
        "udp://:１０",
        "tcp://a b:c",
        "udp://\x1b[31m:1x",
    ],
)
def test_what_is_no_address(text: str) -> None:
    with pytest.raises(UsageError) as caught:
        source_name(text)
    assert "write tcp://host:port" in str(caught.value)
    assert "\x1b" not in str(caught.value)

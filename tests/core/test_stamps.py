"""Host times beside sentences: TAG blocks and times at the start of a line."""

from __future__ import annotations

import pytest

from core.nmea.framing import Reason, Rejected, Sentence
from tests.build import xor_of
from tests.framed import GGA, RMC, frame, only


@pytest.mark.parametrize(
    ("block", "ms"),
    [
        ("c:1935662400", 1_935_662_400_000),
        ("c:1935662400250", 1_935_662_400_250),
        ("s:mast,c:1935662400", 1_935_662_400_000),
        ("c:0", 0),
        ("s:mast", None),
        ("c:", None),
        ("c:-5", None),
        ("c:1e9", None),
        ("c:99999999999999999999", None),
        ("c:999999999999999", None),
    ],
)
def test_a_tag_block_says_when_the_host_wrote_it(block: str, ms: int | None) -> None:
    """Up to 11 digits are seconds, more are milliseconds (nmea-facts.toml [tag_block])."""
    found = only(f"\\{block}*{xor_of(block):02X}\\{RMC}\r\n")
    assert found.text == RMC
    assert found.stamp_ms == ms
    assert found.tag is not None
    assert found.tag.source == ("mast" if "mast" in block else None)


def test_a_tag_block_with_a_wrong_checksum_gives_no_time_but_the_sentence_counts() -> None:
    found = only(f"\\c:1935662400*00\\{RMC}\r\n")
    assert found.verified
    assert (found.stamp_ms, found.tag) == (None, None)


@pytest.mark.parametrize("block", ["\\c:19*", "\\c:19*5", "\\*00\\", "\\\\", "\\c:1935662400\\", "\\c" * 300])
def test_half_a_tag_block_is_noise(block: str) -> None:
    found = only(f"{block}{RMC}\r\n")
    assert (found.text, found.stamp_ms, found.tag) == (RMC, None, None)


def test_the_last_of_two_tag_blocks_counts() -> None:
    one, two = "g:1-2-7", "c:1935662400"
    found = only(f"\\{one}*{xor_of(one):02X}\\\\{two}*{xor_of(two):02X}\\{RMC}")
    assert found.stamp_ms == 1_935_662_400_000


@pytest.mark.parametrize(
    ("before", "ms"),
    [
        ("2031-05-04T12:00:00Z ", 1_935_662_400_000),
        ("2031-05-04 12:00:00.250 -->> ", 1_935_662_400_250),
        ("2031-05-04T12:00:00,5 ", 1_935_662_400_500),
        ("2031-05-04T14:00:00.123456+02:00 ", 1_935_662_400_123),
        ("2031-05-04T14:00:00+0200 ", 1_935_662_400_000),
        ("2031-05-04 11:00:00 2031-05-04 12:00:00 ", 1_935_662_400_000),
        ("2031-13-04T12:00:00 ", None),
        ("2031-05-04T25:00:00 ", None),
        ("2031-05-04T12:00:00+99:99 ", None),
        ("2031-05-04 ", None),
        ("0000-00-00T00:00:00Z ", None),
    ],
)
def test_a_time_at_the_start_of_the_line(before: str, ms: int | None) -> None:
    found = only(before + RMC)
    assert found.text == RMC
    assert found.stamp_ms == ms
    assert found.tag is None


def test_only_the_first_sentence_of_a_line_has_its_time() -> None:
    first, second = frame(f"2031-05-04T12:00:00Z {RMC}{GGA}\n")
    assert isinstance(first, Sentence)
    assert isinstance(second, Sentence)
    assert (first.stamp_ms, second.stamp_ms) == (1_935_662_400_000, None)


def test_a_bare_sentence_has_its_time_too() -> None:
    found = only("2031-05-04T12:00:00Z " + RMC[:-3], require_checksum=False)
    assert found.stamp_ms == 1_935_662_400_000


def test_a_tag_block_after_a_half_sentence_belongs_to_the_next_one() -> None:
    """Two logged lines that ran together: the block's `*` is no checksum of the half before it."""
    block = "c:1935662400"
    half, whole = frame(f"{GGA[:31]}\\{block}*{xor_of(block):02X}\\{RMC}\r\n")
    assert isinstance(half, Rejected)
    assert (half.reason, half.text) == (Reason.NO_CHECKSUM, GGA[:31])
    assert isinstance(whole, Sentence)
    assert (whole.text, whole.stamp_ms) == (RMC, 1_935_662_400_000)

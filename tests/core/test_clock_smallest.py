"""The smallest delay of the window, kept up to date instead of looked for: the same as looking."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from core.clock_samples import WINDOW_S, Delay, DelayWindow

delays = st.lists(st.tuples(st.floats(0.1, 30.0), st.sampled_from([0.1, 0.2, 0.3, 0.35, 2.0, -3.0])), max_size=60)


@given(delays)
def test_what_is_kept_is_what_looking_would_find(found: list[tuple[float, float]]) -> None:
    window, at_s = DelayWindow(), 0.0
    for apart_s, delay_s in found:
        at_s += apart_s
        window.add(Delay(at_s, delay_s, delay_s, 500, None))
        smallest = min(one.sentence_s for one in window._delays)
        assert window._smallest(0.0) == smallest
        assert window._delays[0].at_s >= at_s - WINDOW_S

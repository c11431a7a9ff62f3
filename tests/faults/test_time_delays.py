"""Delays that come out of their order, as epochs that damage finishes late make them."""

from __future__ import annotations

import pytest

from core.clock_samples import Delay, DelayWindow


@pytest.mark.parametrize("late_s", [1.0, 50.0, 89.0, 91.0, 5000.0])
def test_a_second_whose_epoch_was_finished_late_leaves_the_window_in_order(late_s: float) -> None:
    window = DelayWindow()
    for n in range(80):
        window.add(Delay(1000.0 + n, 0.2, 0.1, 300, 0.5))
    window.add(Delay(1079.0 - late_s, 0.2, 0.1, 300, 0.5))
    for n in range(80, 120):
        window.add(Delay(1000.0 + n, 0.2, 0.1, 300, 0.5))
        window.trouble(9600)
    times = [one.at_s for one in window._delays]
    assert times == sorted(times)

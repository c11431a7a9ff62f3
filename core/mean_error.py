"""How far the mean of correlated values may be from the truth, when nobody has told how long they remember.

The values are taken for a first-order Gauss-Markov process (variance, correlation time) with white noise on top, which
is what a standing receiver makes (trade-facts.md c: an Ornstein-Uhlenbeck process fits, white noise does not). What is
asked is the error of their plain mean. Its variance depends on the correlation time, and just that is badly known where
the observation is a few correlation times long. So no single estimate is put in: the interval is a mixture over all
correlation times (`core.memory_models`), each weighted by how well it explains what was seen.

Axes of one receiver share their correlation time, and each has its own size: two tell more than one. The size is
integrated out: with n coefficients the error of the mean given the correlation time is Student's t, n degrees of
freedom.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from operator import mul, truediv
from typing import NamedTuple

from core.memory_models import MOST_COEFFICIENTS, Model, mean_variance, models

LEAST_VALUES = 120
"""Fewer, and what was thought before outweighs what was seen: eight gave an interval of a metre out of nothing, and
sixty over three correlation times, half of them white noise, missed the truth one time in six."""
P_95 = 0.95
NORMAL_95 = 1.959964
"""accuracy.toml, one dimension."""


class Possible(NamedTuple):
    """One of the processes that may have made the values."""

    model: Model
    weight: float
    sigmas: tuple[float, ...]
    """Of the process, by axis, as wide as Student's t asks for."""

    def mean_sigma(self, axis: int, times_as_long: float) -> float:
        """Standard deviation of the mean once the observation is so many times as long."""
        variance = mean_variance(self.model.length * times_as_long) + self.model.white / times_as_long
        return self.sigmas[axis] * math.sqrt(variance)


class MeanError(NamedTuple):
    """What is known of the error of a mean."""

    possible: tuple[Possible, ...]
    """Their weights add up to 1."""

    def half_95(self, axis: int = 0, times_as_long: float = 1.0) -> float:
        """The mean is within so much of the truth with 95 %, now or after waiting until the observation is longer."""
        return _quantile([(one.mean_sigma(axis, times_as_long), one.weight) for one in self.possible])

    def variance(self) -> float:
        """Of the mean, all axes together: the middle of what is plausible."""
        return _middle(
            (math.fsum(one.mean_sigma(axis, 1.0) ** 2 for axis in range(len(one.sigmas))), one.weight)
            for one in self.possible
        )

    @property
    def length(self) -> float:
        """The observation in correlation times of the process without the noise: the middle of what is plausible."""
        return _middle((one.model.length, one.weight) for one in self.possible)

    def shorter_than(self, length: float) -> float:
        """How plausible it is that the observation is shorter than so many correlation times, 0 to 1."""
        return math.fsum(one.weight for one in self.possible if one.model.length < length)


def mean_error(axes: Sequence[Sequence[float]]) -> MeanError | None:
    """Of values at equal steps, equally many on each axis.

    None for fewer than `LEAST_VALUES`, or for an axis of equal values.
    """
    if len(axes[0]) < LEAST_VALUES or any(max(values) == min(values) for values in axes):
        return None
    seen = [cosines(values) for values in axes]
    count = len(seen[0])
    scored = [(model, [_square(model, one) for one in seen]) for model in models(count)]
    logs = [_log_odds(model, squares, count) for model, squares in scored]
    best = max(logs)
    odds = [math.exp(log - best) for log in logs]
    total, wider = math.fsum(odds), _student(count)
    return MeanError(
        tuple(
            Possible(model, odd / total, tuple(wider * math.sqrt(square / count) for square in squares))
            for (model, squares), odd in zip(scored, odds, strict=True)
        )
    )


def cosines(values: Sequence[float]) -> list[float]:
    """The first cosine coefficients (DCT-II), k = 1, 2 ...; those of white noise have 1/len(values) of its variance."""
    mean = math.fsum(values) / len(values)
    centred = [value - mean for value in values]
    return [math.fsum(map(mul, centred, wave)) for wave in _waves(len(values))]


def _square(model: Model, seen: Sequence[float]) -> float:
    """The square sum of the coefficients, each weighted by the inverse of the model's covariance."""
    square = math.fsum(map(truediv, map(mul, seen, seen), model.diagonal))
    for product, gain in zip(model.products, model.gains, strict=True):
        along = math.fsum(map(mul, seen, product))
        square += gain * along * along
    return max(square, 1e-300)


def _log_odds(model: Model, squares: Sequence[float], count: int) -> float:
    """Logarithm of the likelihood with each axis's size integrated out, and of what was thought before."""
    return model.before - 0.5 * math.fsum(model.log_det + count * math.log(square) for square in squares)


@lru_cache(maxsize=8)
def _waves(n: int) -> tuple[tuple[float, ...], ...]:
    """The cosines for k = 1, 2 ..., so that a product with n values is their coefficient."""
    table = [math.sqrt(2.0) / n * math.cos(math.pi * j / (2 * n)) for j in range(4 * n)]
    count = min(MOST_COEFFICIENTS, n // 2)
    return tuple(tuple(table[k * (2 * at + 1) % (4 * n)] for at in range(n)) for k in range(1, count + 1))


def _middle(parts: Iterable[tuple[float, float]]) -> float:
    """Median of positive values with weights that add up to 1; between two of them by ratio."""
    before, value_before, so_far = 0.0, 0.0, 0.0
    for value, weight in sorted(parts):
        so_far += weight
        at = so_far - weight / 2
        if at >= 0.5:
            return value * (value_before / value) ** ((at - 0.5) / (at - before)) if value_before else value
        before, value_before = at, value
    return value_before


def _student(n: int) -> float:
    """How much wider 95 % of Student's t is than of the normal law (first two terms of Cornish and Fisher)."""
    z = NORMAL_95
    return 1.0 + (z * z + 1.0) / (4.0 * n) + (5.0 * z**4 + 16.0 * z * z + 3.0) / (96.0 * n * n)


def _quantile(parts: Sequence[tuple[float, float]]) -> float:
    """Half width that holds 95 % of a mixture of normal laws (standard deviation, weight) about one middle."""
    kept = [(sigma * math.sqrt(2.0), weight) for sigma, weight in parts if weight > 1e-6]
    low, high = 0.0, 3.0 * max(sigma for sigma, _ in kept)
    for _ in range(26):
        middle = (low + high) / 2
        inside = math.fsum(weight * math.erf(middle / sigma) for sigma, weight in kept)
        low, high = (middle, high) if inside < P_95 else (low, middle)
    return (low + high) / 2

"""Processes that may have made a series: how long they remember, and how much white noise lies on top.

The slow wandering of a series is seen in its cosine coefficients (DCT-II, k = 1, 2 ...). For a covariance exp(-t/tau),
over an observation of a correlation times, with w = k pi and unit variance,

    cov(c_k, c_l) = 2a / (a2 + w2) [k = l]  -  4 a2 (1 - (-1)^k exp(-a)) / ((a2 + w_k2)(a2 + w_l2))   for k + l even

and 0 otherwise; the variance of the mean is 2/a - 2 (1 - exp(-a)) / a2. Worked out by integrating the covariance; the
test does it again in sums. A diagonal and one product of vectors for even and one for odd k: the inverse costs nothing
(Sherman and Morrison), so the likelihood is exact.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

MOST_COEFFICIENTS = 60
"""The slow ones. More would only tell of the fast end, which the mean does not feel."""
SHORTEST, LONGEST = 0.7, 4000.0
"""Lengths of an observation, in correlation times, that are thought possible."""
STEPS = 36
FAVOURED_UP_TO = 30.0
"""Before anything is seen, an observation is thought the likelier the longer it is, in proportion, up to here, and
equally likely beyond (for each factor). Found by experiment, so that the interval of 95 % covers 95 % in the long run:
with equal odds throughout it covers 98 to 99 % and is 2.1 to 2.7 times as wide as who knew the correlation time would
make it, with this 94 to 97 % and 1.2 to 1.5 times (tests/core/test_averaging_coverage.py)."""
WHITE = (0.0, 0.25, 1.0, 4.0, 16.0)
"""White noise on a coefficient, over what the process itself gives the fastest of them: equal odds."""


class Model(NamedTuple):
    """One possible process of unit variance, seen through the first coefficients."""

    length: float
    """Observation over correlation time."""
    white: float
    """Variance by white noise, of a coefficient and of the mean alike."""
    before: float
    """Logarithm of its odds before anything is seen."""
    diagonal: tuple[float, ...]
    products: tuple[tuple[float, ...], tuple[float, ...]]
    """The vectors over the diagonal, for even and odd k; zero elsewhere."""
    gains: tuple[float, float]
    """What the inverse has of their product."""
    log_det: float


def mean_variance(length: float) -> float:
    """Of the mean of a process of variance 1 over so many correlation times: near 1 for few, 2/length for many."""
    if length < 1e-4:
        return 1.0 - length / 3.0
    return 2.0 / length * (1.0 + math.expm1(-length) / length)


@lru_cache(maxsize=8)
def models(count: int) -> tuple[Model, ...]:
    """All of them, for so many coefficients."""
    ratio = (LONGEST / SHORTEST) ** (1.0 / (STEPS - 1))
    return tuple(_model(SHORTEST * ratio**step, white, count) for step in range(STEPS) for white in WHITE)


def _model(a: float, white: float, count: int) -> Model:
    u = [1.0 / (a * a + (k * math.pi) ** 2) for k in range(1, count + 1)]
    noise = white * 2.0 * a * u[-1]
    diagonal = tuple(2.0 * a * one + noise for one in u)
    even, odd = (_product(a, parity, u, diagonal) for parity in (0, 1))
    return Model(
        a,
        noise,
        math.log(min(a, FAVOURED_UP_TO)),
        diagonal,
        (even[0], odd[0]),
        (even[1], odd[1]),
        math.fsum(map(math.log, diagonal)) + even[2] + odd[2],
    )


def _product(
    a: float, parity: int, u: list[float], diagonal: tuple[float, ...]
) -> tuple[tuple[float, ...], float, float]:
    """Vector over diagonal, its gain in the inverse, and what it adds to the logarithm of the determinant."""
    beta = 4.0 * a * a * (1.0 - (-1.0) ** parity * math.exp(-a))
    vector = tuple(one / d if k % 2 == parity else 0.0 for k, (one, d) in enumerate(zip(u, diagonal, strict=True), 1))
    rest = 1.0 - beta * math.fsum(p * one for p, one in zip(vector, u, strict=True))
    return vector, beta / rest, math.log(rest)

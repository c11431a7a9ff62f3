"""The figures under an averaging: those of scatter, and the mathematics of its memory."""

from __future__ import annotations

import math
from random import Random

import pytest

from core.averaging import DEFINITIONS
from core.mean_error import cosines
from core.memory_models import length_of, mean_variance, models
from core.scatter import quantile, spread_of, vertical_spread_of

# Scatter


def test_the_figures_of_round_scatter_are_those_of_the_normal_law() -> None:
    """accuracy.toml [two_dimensions], in units of sigma; 100,000 points leave about 0.4 %."""
    rng = Random(8)
    east, north = ([rng.gauss(0.0, 1.0) for _ in range(100_000)] for _ in range(2))
    found = spread_of(east, north)
    assert found.cep_m == pytest.approx(1.177410, rel=0.012)
    assert found.drms_m == pytest.approx(1.414214, rel=0.012)
    assert found.r95_m == pytest.approx(2.447747, rel=0.012)
    assert found.two_drms_m == pytest.approx(2.828427, rel=0.012)
    assert found.correlation == pytest.approx(0.0, abs=0.02)
    assert vertical_spread_of(east).p50_m == pytest.approx(0.674490, rel=0.02)
    assert vertical_spread_of(east).p95_m == pytest.approx(1.959964, rel=0.02)


def test_scatter_on_a_line_has_its_direction() -> None:
    rng = Random(8)
    along = [rng.gauss(0.0, 3.0) for _ in range(1000)]
    found = spread_of(along, [-0.5 * value for value in along])
    assert found.correlation == pytest.approx(-1.0)
    assert found.sigma_east_m == pytest.approx(2 * found.sigma_north_m)
    assert spread_of(along, [0.0] * 1000).correlation == 0.0


def test_every_figure_is_defined() -> None:
    assert set(DEFINITIONS) == {"CEP", "DRMS", "R95", "2DRMS"}


def test_quantiles_lie_between_neighbours() -> None:
    assert [quantile([1.0, 2.0, 4.0], share) for share in (0.0, 0.25, 0.5, 0.75, 1.0)] == [1.0, 1.5, 2.0, 3.0, 4.0]


# What is underneath


def test_covariances_of_the_cosines_are_those_of_a_sum() -> None:
    """Beside the double sum over 600 points; diagonal less product, for even and odd k."""
    n, count, length = 600, 6, 4.0
    at = [(i + 0.5) / n for i in range(n)]
    waves = [[math.sqrt(2) * math.cos(k * math.pi * t) for t in at] for k in range(1, count + 1)]
    model = min((one for one in models(count) if one.white == 0.0), key=lambda one: abs(one.length - length))
    decay = [math.exp(-model.length * lag / n) for lag in range(n)]
    for k, wave in enumerate(waves):
        for m, other in enumerate(waves[: k + 1]):
            total = math.fsum(wave[i] * other[j] * decay[abs(i - j)] for i in range(0, n, 3) for j in range(0, n, 3))
            assert total * 9 / n**2 == pytest.approx(_modelled(model.length, k + 1, m + 1), abs=0.004)


def _modelled(a: float, k: int, m: int) -> float:
    """The closed form of core/memory_models.py, written out again."""
    u, v = 1 / (a * a + (k * math.pi) ** 2), 1 / (a * a + (m * math.pi) ** 2)
    crossed = 0.0 if (k + m) % 2 else 4 * a * a * (1 - (-1) ** k * math.exp(-a)) * u * v
    return (2 * a * u if k == m else 0.0) - crossed


@pytest.mark.parametrize("length", [1.0, 10.0, 100.0])
def test_the_inverse_that_is_used_is_that_of_those_covariances(length: float) -> None:
    """Times the matrix it gives back what it was given; the determinant by elimination."""
    count = 6
    model = min((one for one in models(count) if one.white == 0.0), key=lambda one: abs(one.length - length))
    matrix = [[_modelled(model.length, k, m) for m in range(1, count + 1)] for k in range(1, count + 1)]
    given = [0.3, -1.0, 0.5, 2.0, -0.7, 0.1]
    solved = [value / d for value, d in zip(given, model.diagonal, strict=True)]
    for product, gain in zip(model.products, model.gains, strict=True):
        along = gain * math.fsum(p * value for p, value in zip(product, given, strict=True))
        solved = [value + along * p for value, p in zip(solved, product, strict=True)]
    back = [math.fsum(a * b for a, b in zip(row, solved, strict=True)) for row in matrix]
    assert back == pytest.approx(given, rel=1e-9)
    assert model.log_det == pytest.approx(_log_det(matrix), rel=1e-9)


def _log_det(matrix: list[list[float]]) -> float:
    rows, total = [row[:] for row in matrix], 0.0
    for k, row in enumerate(rows):
        total += math.log(row[k])
        for below in rows[k + 1 :]:
            factor = below[k] / row[k]
            below[k:] = [a - factor * b for a, b in zip(below[k:], row[k:], strict=True)]
    return total


@pytest.mark.parametrize("length", [0.01, 1.0, 10.0, 3000.0])
def test_a_variance_leads_back_to_its_length(length: float) -> None:
    assert length_of(mean_variance(length)) == pytest.approx(length, rel=1e-6)


def test_a_pure_wave_is_one_coefficient() -> None:
    n = 240
    wave = [math.cos(7 * math.pi * (i + 0.5) / n) for i in range(n)]
    found = cosines(wave)
    assert found[6] == pytest.approx(1 / math.sqrt(2))
    assert [value for k, value in enumerate(found, 1) if k != 7] == pytest.approx([0.0] * (len(found) - 1), abs=1e-12)

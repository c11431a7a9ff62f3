"""Inverses of symmetric matrices: multiplied by what they are the inverse of, and those that have none."""

from __future__ import annotations

import pytest

from core.symmetric import Symmetric, inverse, times

WELL = (4.0, 3.0, 5.0, 0.5, -0.25, 1.0)
AXES = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def test_the_inverse_undoes_the_matrix() -> None:
    undo = inverse(WELL, flat=False)
    assert undo is not None
    for axis in AXES:
        assert times(undo, times(WELL, axis)) == pytest.approx(axis, abs=1e-12)


def test_a_flat_one_is_that_of_east_and_north_alone() -> None:
    """Whatever stands in the row of the height."""
    undo = inverse(WELL, flat=True)
    assert undo is not None
    assert undo == inverse((4.0, 3.0, 99.0, 0.5, 77.0, -55.0), flat=True)
    level = (4.0, 3.0, 0.0, 0.5, 0.0, 0.0)
    for axis in AXES[:2]:
        assert times(undo, times(level, axis)) == pytest.approx(axis, abs=1e-12)
    assert times(undo, AXES[2]) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize("scale", [1e-9, 1.0, 1e9])
@pytest.mark.parametrize(
    ("matrix", "flat"),
    [
        ((1.0, 1.0, 1.0, 1.0, 0.0, 0.0), False),
        ((1.0, 1.0, 1.0, 1.0, 0.0, 0.0), True),
        ((1.0, 1.0, 0.0, 0.0, 0.0, 0.0), False),
        ((1.0, 1.0, 1.0, 1.0 - 1e-12, 0.0, 0.0), True),
        ((0.0,) * 6, False),
        ((0.0,) * 6, True),
    ],
)
def test_directions_that_say_the_same_twice_have_no_inverse_at_any_scale(
    matrix: Symmetric, flat: bool, scale: float
) -> None:
    ee, nn, uu, en, eu, nu = matrix
    scaled = (ee * scale, nn * scale, uu * scale, en * scale, eu * scale, nu * scale)
    assert inverse(scaled, flat=flat) is None


def test_the_sky_without_heights_is_flat_and_no_more() -> None:
    """Singular as a whole, well as a plane."""
    assert inverse((1.0, 1.0, 0.0, 0.0, 0.0, 0.0), flat=True) == (1.0, 1.0, 0.0, 0.0, 0.0, 0.0)

"""Three by three symmetric matrices, as least squares makes them: no more of it than is needed, in plain numbers."""

from __future__ import annotations

Vector = tuple[float, float, float]
"""East, north, up; metres, or without a unit for directions."""
Symmetric = tuple[float, float, float, float, float, float]
"""A symmetric matrix: ee, nn, uu, en, eu, nu."""
SINGULAR = 1e-10
"""Least determinant of a normal matrix, over the cube of its mean diagonal. A PDOP of some thousands."""


def inverse(matrix: Symmetric, *, flat: bool) -> Symmetric | None:
    """None where the matrix has none that means anything. Flat: of east and north alone, the rest zeros."""
    ee, nn, uu, en, eu, nu = matrix
    if flat:
        det = ee * nn - en * en
        if det <= SINGULAR * ((ee + nn) / 2) ** 2:
            return None
        return (nn / det, ee / det, 0.0, -en / det, 0.0, 0.0)
    cee, cen, ceu = nn * uu - nu * nu, eu * nu - en * uu, en * nu - eu * nn
    det = ee * cee + en * cen + eu * ceu
    if det <= SINGULAR * ((ee + nn + uu) / 3) ** 3:
        return None
    cnn, cuu, cnu = ee * uu - eu * eu, ee * nn - en * en, en * eu - ee * nu
    return (cee / det, cnn / det, cuu / det, cen / det, ceu / det, cnu / det)


def times(q: Symmetric, v: Vector) -> Vector:
    """The product with a vector."""
    ee, nn, uu, en, eu, nu = q
    e, n, u = v
    return (ee * e + en * n + eu * u, en * e + nn * n + nu * u, eu * e + nu * n + uu * u)

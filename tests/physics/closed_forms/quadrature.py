"""The closed integrals of the literature, by a trapezoid in ln x: a second road to what is inverted."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import hankel1e, j0, j1, y0, y1

Floats = NDArray[np.float64]
STEP = 0.02


def finite_radius_integral(tau: float) -> float:
    """Return (4/π²) ∫ (1 − e^(−x²τ)) / (x³ [J₁² + Y₁²]) dx times 2, van Everdingen and Hurst (1949)."""
    x = np.exp(np.arange(-45.0, 18.0, STEP))
    integrand = -np.expm1(-(x**2) * tau) / (x**2 * np.abs(hankel1e(1, x)) ** 2)
    edge = x[-1] * np.exp(STEP / 2)
    return float(8 / np.pi**2 * (np.sum(integrand) * STEP + np.pi / 2 / edge))


def large_diameter_integral(one_over_u: float, alpha: float) -> float:
    """Return (32α²/π²) ∫ (1 − e^(−x²/4u)) / (x³ Δ) dx, Papadopulos and Cooper (1967)."""
    x = np.exp(np.arange(-45.0, 9.0, STEP))
    integrand = -np.expm1(-(x**2) * one_over_u / 4) / (x**2 * _delta(x, alpha))
    return float(32 * alpha**2 / np.pi**2 * np.sum(integrand) * STEP)


def slug_integral(beta: float, alpha: float) -> float:
    """Return (8α/π²) ∫ e^(−βx²/α) / (x Δ) dx, Cooper, Bredehoeft and Papadopulos (1967)."""
    x = np.exp(np.arange(-45.0, 9.0, STEP))
    return float(8 * alpha / np.pi**2 * np.sum(np.exp(-beta * x**2 / alpha) / _delta(x, alpha)) * STEP)


def _delta(x: Floats, alpha: float) -> Floats:
    first = x * j0(x) - 2 * alpha * j1(x)
    second = x * y0(x) - 2 * alpha * y1(x)
    return np.asarray(first**2 + second**2)

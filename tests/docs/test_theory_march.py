"""The equations of docs/theory/march.md and hole.md hold, by routes that share no step. No package code."""

from __future__ import annotations

import mpmath as mp
import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq


def phi_one(z: float) -> float:
    """Return (1 - exp(-z))/z."""
    return -np.expm1(-z) / z


def phi_two(z: float) -> float:
    """Return (exp(-z) - 1 + z)/z^2."""
    return (np.expm1(-z) + z) / z**2


def phi_two_series(z: float, terms: int) -> float:
    """Return the alternating series of phi_two (equation M5)."""
    return float(sum((-z) ** k / mp.factorial(k + 2) for k in range(terms)))


@pytest.mark.parametrize("z", [0.02, 0.9, 30.0])
def test_a_store_fed_linearly_over_a_step(z: float) -> None:
    """The step formula M4 equals the convolution integral by quadrature."""
    decay, weight, seconds, start, before, after = z / 7.0, 0.3, 7.0, 2.5, 0.8, -0.4
    fed, _ = quad(
        lambda s: np.exp(-decay * (seconds - s)) * (before + (after - before) * s / seconds),
        0,
        seconds,
        epsabs=1e-13,
    )
    expected = start * np.exp(-z) + weight * fed
    formula = start * np.exp(-z) + weight * seconds * (
        (phi_one(z) - phi_two(z)) * before + phi_two(z) * after
    )
    assert formula == pytest.approx(expected, rel=1e-10)


@pytest.mark.parametrize("z", [1e-8, 1e-4, 0.01, 0.1])
def test_phi_two_needs_its_series_near_zero(z: float) -> None:
    """Seven terms of M5 are exact to rounding below z = 0.1 (next term z^7/9!); mpmath, 40 digits."""
    with mp.workdps(40):
        exact = (mp.exp(-mp.mpf(z)) - 1 + mp.mpf(z)) / mp.mpf(z) ** 2
    assert phi_two_series(z, 7) == pytest.approx(float(exact), rel=3e-13)


def test_phi_two_cancels_without_its_series() -> None:
    """The closed form of phi_two loses eight digits or more below z = 1e-8: why the series is there."""
    assert max(abs(phi_two(z) - 0.5 + z / 6) for z in np.geomspace(1e-10, 1e-8, 9)) > 1e-8


def fracture_inflow(drive: float, resistance: float, loss: float) -> float:
    """Return the inflow that a drive (drawdown less what the past took) gives (equation M8)."""
    return 2 * drive / (resistance + np.sqrt(resistance**2 + 4 * loss * abs(drive)))


@pytest.mark.parametrize("drive", [-3.0, 0.0, 1e-12, 5.0, 200.0])
@pytest.mark.parametrize("loss", [0.0, 1e-6, 40.0])
def test_inflow_with_quadratic_loss(drive: float, loss: float) -> None:
    """M8 solves b Q + C Q|Q| = d, both signs, C = 0 and d = 0 included."""
    inflow = fracture_inflow(drive, 2.5, loss)
    assert 2.5 * inflow + loss * inflow * abs(inflow) == pytest.approx(drive, rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("factor", [0.7, 1.08])
def test_one_factor_on_rate_area_and_conductance_moves_no_level(factor: float) -> None:
    """Pump rate, hole area and 1/R times c, C over c²: the same levels (equation B4), by a stiff solver.

    One slow store, one skin resistance and a quadratic loss; Radau at rtol 1e-10, so 1e-7 m is ample.
    """

    def levels(rate: float, area: float, resistance: float, loss: float) -> np.ndarray:
        def change(_time: float, state: np.ndarray) -> list[float]:
            level, store = state
            inflow = fracture_inflow(level - store, 0.5 * resistance, loss)
            return [(rate - inflow) / area, -store / 900.0 + resistance / 600.0 * inflow]

        times = np.linspace(0, 3600, 7)
        return solve_ivp(change, (0, 3600), [0.0, 0.0], "Radau", times, rtol=1e-10, atol=1e-12).y[0]

    plain = levels(4e-4, 0.018, 6e4, 4e6)
    scaled = levels(4e-4 * factor, 0.018 * factor, 6e4 / factor, 4e6 / factor**2)
    assert plain[-1] > 5
    np.testing.assert_allclose(scaled, plain, atol=1e-7)


def march_linear_flow(
    seconds: float, steps: int, rate: float, area: float, resistance: float, time_scale: float
) -> float:
    """March a bucket on n = 1 rock by the manual's equations M4 to M9; return the final drawdown."""
    edge_step = 0.25
    u = np.exp(np.arange(np.log(1e-6), np.log(1e3), edge_step))
    decay = u**2 / time_scale
    weight = resistance / time_scale * edge_step * (4 / np.pi**2) * (np.pi * u / 2)
    instant = 2 / np.pi * resistance / (u[-1] * np.exp(edge_step / 2))
    step = seconds / steps
    z = decay * step
    one = -np.expm1(-z) / z
    two = np.where(
        z < 0.1, sum((-z) ** k / float(mp.factorial(k + 2)) for k in range(7)), (np.expm1(-z) + z) / z**2
    )
    stores, inflow, drawdown = np.zeros_like(u), 0.0, 0.0
    for _ in range(steps):
        past = stores * np.exp(-z) + weight * step * (one - two) * inflow
        direct = instant + (weight * step * two).sum()
        after = brentq(
            lambda s, past=past, direct=direct, drawdown=drawdown, inflow=inflow: (
                area * (s - drawdown) + step / 2 * (inflow + (s - past.sum()) / direct) - rate * step
            ),
            -1e3,
            1e3,
            xtol=1e-13,
        )
        inflow = (after - past.sum()) / direct
        stores, drawdown = past + weight * step * two * inflow, after
    return drawdown


def test_march_is_second_order_and_meets_the_transform() -> None:
    """Bucket on n = 1 rock: the march converges as the square of the step to the inverted transform M10."""
    rate, area, resistance, time_scale, seconds = 3e-4, 0.018, 2e4, 50.0, 3600.0

    def transform(p: complex) -> complex:
        return rate / p / (area * p + mp.sqrt(p * time_scale) / resistance)

    with mp.workdps(30):
        exact = float(mp.invertlaplace(transform, seconds, method="talbot", degree=24))
    coarse, fine = (
        march_linear_flow(seconds, steps, rate, area, resistance, time_scale) for steps in (100, 200)
    )
    floor = march_linear_flow(seconds, 3200, rate, area, resistance, time_scale)
    assert floor == pytest.approx(exact, rel=2e-6)
    assert (coarse - floor) / (fine - floor) == pytest.approx(4, rel=0.25)


def test_water_of_a_pipe_that_drains_back() -> None:
    """400 ft of 1 in schedule 40 pipe (1.049 in inside) hold 18 gal: 13 ft of a 6 in hole around the pipe.

    Recomputed from V = pi/4 d² L and 231 in³ to the gallon (computed independently); two figures printed.
    """
    gallons = np.pi / 4 * 1.049**2 * 400 * 12 / 231
    free_area_in2 = np.pi / 4 * (6**2 - 1.315**2)
    rise_ft = gallons * 231 / free_area_in2 / 12
    assert gallons == pytest.approx(18.0, abs=0.05)
    assert rise_ft == pytest.approx(12.9, abs=0.1)

"""The equations of docs/theory/rock.md hold: each is computed by two routes that share no step.

Nothing here imports the package: these tests keep the manual right, and the package is held to the manual
elsewhere. Values marked `from memory` are recalled from the named publication and were not read again.
"""

from __future__ import annotations

import mpmath as mp
import numpy as np
import pytest
from scipy.special import exp1, gamma, jv, yv

DIMENSIONS = [1.0, 1.3, 2.0, 2.6, 3.0]


def impulse_transform(p: complex, n: float) -> complex:
    """Return the face drawdown per unit impulse of inflow, R = tc = 1 (equation R4)."""
    mu = mp.sqrt(p)
    nu = 1 - mp.mpf(n) / 2
    return mp.besselk(nu, mu) / (mu * mp.besselk(nu - 1, mu))


def modulus_squared(order: float, u: float) -> float:
    """Return J² + Y² of one order."""
    return mp.besselj(order, u) ** 2 + mp.bessely(order, u) ** 2


def density(u: float, n: float) -> float:
    """Return the spectral density per unit of ln u, R = tc = 1 (equation R7)."""
    return 4 / mp.pi**2 / modulus_squared(mp.mpf(n) / 2, u)


def step_response(t: float, n: float) -> float:
    """Return the step response by inverting its transform (fixed Talbot, 30 digits)."""
    with mp.workdps(30):
        return mp.invertlaplace(lambda p: impulse_transform(p, n) / p, t, method="talbot", degree=24)


@pytest.mark.parametrize("n", DIMENSIONS)
@pytest.mark.parametrize("u", [0.01, 0.7, 12.0])
def test_jump_across_the_cut(n: float, u: float) -> None:
    """Above the cut the imaginary part is -2/(pi u^2 (J^2 + Y^2)): mpmath's K of complex argument."""
    above = impulse_transform(mp.mpc(-(u**2), mp.mpf(10) ** -40), n)
    expected = -2 / (mp.pi * u**2 * modulus_squared(1 - n / 2 - 1, u))
    assert mp.im(above) == pytest.approx(float(expected), rel=1e-9)


@pytest.mark.parametrize("n", DIMENSIONS)
def test_order_may_change_sign(n: float) -> None:
    """J² + Y² is the same for order nu - 1 = -n/2 and for n/2."""
    assert modulus_squared(-n / 2, 0.83) == pytest.approx(float(modulus_squared(n / 2, 0.83)), rel=1e-12)


@pytest.mark.parametrize("n", DIMENSIONS)
@pytest.mark.parametrize("t", [0.1, 3.0, 1e3])
def test_impulse_response_is_the_integral_of_its_density(n: float, t: float) -> None:
    """The cut integral equals the inverted transform."""
    with mp.workdps(25):
        inverted = mp.invertlaplace(lambda p: impulse_transform(p, n), t, method="talbot", degree=24)
    upper = mp.log(8 / mp.sqrt(t))
    integral = mp.quad(
        lambda x: density(mp.exp(x), n) * mp.exp(-mp.exp(2 * x) * t), np.linspace(-40, upper, 16)
    )
    assert float(integral) == pytest.approx(float(inverted), rel=1e-7)


@pytest.mark.parametrize(("t", "expected"), [(1.0, 0.802), (10.0, 1.651), (100.0, 2.723), (1000.0, 3.860)])
def test_radial_flow_reproduces_the_reservoir_table(t: float, expected: float) -> None:
    """Dimensionless pressure at constant rate, infinite radial flow, n = 2.

    Source: vaneverdingen1949, table I, three decimals (from memory); tolerance half of the last digit,
    and as much again for the table's own rounding.
    """
    assert float(step_response(t, 2.0)) == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize("t", [0.01, 1.0, 300.0])
def test_linear_flow_closed_form(t: float) -> None:
    """n = 1: S = 2 sqrt(t/pi) (equation R13)."""
    assert float(step_response(t, 1.0)) == pytest.approx(2 * np.sqrt(t / np.pi), rel=1e-9)


@pytest.mark.parametrize("t", [0.01, 1.0, 300.0])
def test_spherical_flow_closed_form(t: float) -> None:
    """n = 3: S = 1 - exp(t) erfc(sqrt t) (equation R15)."""
    with mp.workdps(30):
        closed = 1 - mp.exp(t) * mp.erfc(mp.sqrt(t))
    assert float(step_response(t, 3.0)) == pytest.approx(float(closed), rel=1e-9)


def test_radial_flow_tends_to_theis() -> None:
    """n = 2, late: S tends to W(u)/2 with u = 1/(4t); the remainder falls like ln(t)/t."""
    t = 1e6
    assert float(step_response(t, 2.0)) == pytest.approx(exp1(1 / (4 * t)) / 2, rel=2e-6)


@pytest.mark.parametrize("n", [1.2, 1.5, 1.8])
def test_late_power_law_below_two(n: float) -> None:
    """n < 2: S tends to 4^nu/(2 nu Gamma(1 - nu)) t^nu less a constant 1/(2 - n) (equation R16)."""
    nu, t = 1 - n / 2, 1e12
    law = 4**nu / (2 * nu * gamma(1 - nu)) * t**nu
    assert float(step_response(t, n)) == pytest.approx(law - 1 / (2 - n), rel=1e-4)


@pytest.mark.parametrize("n", [2.5, 2.8, 3.0])
def test_late_plateau_above_two(n: float) -> None:
    """n > 2: S tends to 1/(n - 2) from below, the rest dying as t^(1 - n/2) (equation R17)."""
    nu, t = 1 - n / 2, 1e12
    rest = 4**nu / (-2 * nu * gamma(1 - nu)) * t**nu
    assert float(step_response(t, n)) == pytest.approx(1 / (n - 2) - rest, rel=1e-4)


def trapezoid(t: np.ndarray, n: float, step: float, lowest: float, highest: float) -> np.ndarray:
    """Return the step response of the finite row of stores, with the instantaneous resistance (R9, R10)."""
    u = np.exp(np.arange(np.log(lowest), np.log(highest) + step / 2, step))
    weight = step * 4 / np.pi**2 / (jv(n / 2, u) ** 2 + yv(n / 2, u) ** 2)
    edge = u[-1] * np.exp(step / 2)
    return (weight / u**2) @ -np.expm1(-np.outer(u**2, t)) + 2 / np.pi / edge


def test_trapezoid_error_is_the_gamma_function_of_the_step() -> None:
    """n = 1, where S is known: the error wobbles with ln t at amplitude 2|G(-1/2 - i pi/D)|/|G(-1/2)| (R12).

    The amplitude is a sum over the poles of the Poisson formula, whose second term is exp(-pi²/D) smaller.
    """
    step = 0.5
    t = np.geomspace(1e4, 1e5, 400)
    error = trapezoid(t, 1.0, step, 1e-12, 1e3) / (2 * np.sqrt(t / np.pi)) - 1
    predicted = 2 * abs(gamma(-0.5 - 1j * np.pi / step)) / abs(gamma(-0.5))
    assert np.ptp(error) / 2 == pytest.approx(predicted, rel=0.02)
    assert predicted == pytest.approx(1.16e-5, rel=0.01)


def test_missing_slow_terms() -> None:
    """n = 1: leaving out all below u_low lowers S by u_low sqrt(t/pi), relatively (R11)."""
    step, lowest, t = 0.5, 1e-8, np.array([1e12])
    shortfall = 1 - trapezoid(t, 1.0, step, lowest, 1e3) / (2 * np.sqrt(t / np.pi))
    edge = lowest * np.exp(-step / 2)
    assert shortfall[0] == pytest.approx(edge * np.sqrt(t[0] / np.pi), rel=0.01)


@pytest.mark.parametrize("n", DIMENSIONS)
def test_mass_above_the_edge_is_a_resistance(n: float) -> None:
    """What lies above u_edge adds 2/(pi u_edge) to S once exp(-u_edge² t) is nothing (R10)."""
    edge = 200.0
    tail = mp.quad(
        lambda x: density(mp.exp(x), n) * mp.exp(-2 * x), [mp.log(edge), mp.log(edge) + 5, mp.log(edge) + 15]
    )
    assert float(tail) == pytest.approx(2 / np.pi / edge, rel=1e-4)


@pytest.mark.parametrize("n", DIMENSIONS)
def test_row_of_stores_within_three_in_a_hundred_thousand(n: float) -> None:
    """52 terms, step 0.5, u from 1e-8 to 1e3, against the inverted transform; t/tc from 0.1 to 1e6.

    Tolerance: twice the error of R12 with R11 and the edge's own error at t = 0.1, all under 3e-5.
    """
    for t in (0.1, 1.0, 1e3, 1e6):
        exact = float(step_response(t, n))
        assert trapezoid(np.array([t]), n, 0.5, 1e-8, 1e3)[0] == pytest.approx(exact, rel=3e-5)

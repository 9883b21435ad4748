"""The rock as a sum of stores, against exact responses: mpmath's, printed tables and limits written out by hand."""

from __future__ import annotations

from math import exp, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import erfcx, exp1, gamma, jv, yv
from tests.published.checks import check

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms import radial_flow
from ledgewell.physics.rock import (
    LATTICE_FIRST,
    LATTICE_LAST,
    LATTICE_STEP,
    log_density_weights,
    resistance_from_transmissivity,
    rock_terms,
    step_response,
    time_constant,
)

WITHIN = 1e-4
"""Error the design allows a response, as a share of it."""
DAY = 86400.0


def _unit_response(dimension: float, times: np.ndarray, first: float | None = None) -> np.ndarray:
    """Return S/R at times in units of tc, of the stores made for the whole range."""
    terms = rock_terms(dimension, 1.0, first or float(times[0]), float(times[-1]))
    return step_response(times, 1.0, terms, 1.0)


@pytest.mark.published("physics-2-step")
def test_step_response_for_every_dimension_and_thirteen_decades() -> None:
    table = check("physics-2-step")
    for dimension, exact in zip(table.inputs("dimension"), table.values("response"), strict=True):
        ours = _unit_response(dimension, table.inputs("time_over_tc"))
        np.testing.assert_allclose(ours, exact, rtol=WITHIN / 2)


@pytest.mark.published("physics-2-finite-radius")
def test_radial_flow_from_a_finite_radius_and_its_theis_limit() -> None:
    table = check("physics-2-finite-radius")
    inverse_u = table.inputs("one_over_u")
    ours = 2 * _unit_response(2.0, inverse_u / 4)
    np.testing.assert_allclose(ours, table.values("f"), rtol=WITHIN)
    late = inverse_u >= 4e4
    np.testing.assert_allclose(ours[late], exp1(1 / inverse_u[late]), rtol=WITHIN)


@pytest.mark.published("physics-2-limits")
def test_limits_written_out_by_hand() -> None:
    time = 10.0 ** np.arange(-2, 10)
    np.testing.assert_allclose(_unit_response(1.0, time), 2 * np.sqrt(time / pi), rtol=WITHIN)
    np.testing.assert_allclose(_unit_response(3.0, time), 1 - erfcx(np.sqrt(time)), rtol=WITHIN)
    table = check("physics-2-limits")
    for dimension, last in zip(table.inputs("dimension"), table.values("last"), strict=True):
        power, late = dimension / 2 - 1, 1e8
        missing = (4 * late) ** -power / (2 * power * gamma(1 + power))
        assert last - _unit_response(dimension, np.array([1.0, late]))[-1] == pytest.approx(missing, rel=1e-2)


@pytest.mark.published("hydraulics-9a")
def test_two_steps_and_a_stop() -> None:
    """Rates superposed, at a face of 10 m: what a finite radius adds to Theis at t/tc 1250 is 2e-4 of the deepest."""
    table = check("hydraulics-9a")
    given = table.given
    transmissivity = given["t_m2d"] / DAY
    tc = time_constant(transmissivity, given["s"], given["radius_m"])
    terms = rock_terms(2.0, tc, 0.1 * DAY, 5 * DAY)
    resistance = resistance_from_transmissivity(transmissivity)
    drawdown = np.zeros(len(table.inputs("time_d")))
    last = 0.0
    for start, flow in zip(table.inputs("start_d"), table.inputs("flow_m3d"), strict=True):
        since = (table.inputs("time_d") - start) * DAY
        after = since > 0
        drawdown[after] += (flow - last) / DAY * step_response(since[after], resistance, terms, tc)
        last = flow
    exact = table.values("drawdown_m")
    np.testing.assert_allclose(drawdown, exact, rtol=0, atol=4e-4 * exact.max())


@pytest.mark.published("hydraulics-4b")
def test_recovery_by_superposition() -> None:
    """The logarithm is what a very small face comes to; the residual itself holds at 10 m once t/tc is 5,000."""
    table = check("hydraulics-4b")
    given = table.given
    transmissivity, pumped = given["t_m2d"] / DAY, given["pumping_d"] * DAY
    resistance = resistance_from_transmissivity(transmissivity)
    rest = table.inputs("time_since_stop_d") * DAY

    def residual(radius_m: float) -> tuple[np.ndarray, float]:
        tc = time_constant(transmissivity, given["s"], radius_m)
        terms = rock_terms(2.0, tc, rest[0], pumped + rest[-1])
        of = given["flow_m3d"] / DAY * step_response(np.append(pumped + rest, rest), resistance, terms, tc)
        return of[: len(rest)] - of[len(rest) :], float(of.max())

    logarithm, deepest = residual(0.05)
    np.testing.assert_allclose(logarithm, table.values("semilog_m"), rtol=0, atol=WITHIN * deepest)
    whole, deepest = residual(given["radius_m"])
    late = rest >= DAY
    np.testing.assert_allclose(whole[late], table.values("residual_m")[late], rtol=0, atol=WITHIN * deepest)


@pytest.mark.parametrize("transmissivity", [1e-7, 1e-4])
@pytest.mark.parametrize("storativity", [1e-6, 1.0])
@pytest.mark.parametrize("dimension", [1.0, 1.3, 2.0, 2.7, 3.0])
def test_half_a_year_at_the_corners_of_the_range(
    transmissivity: float, storativity: float, dimension: float
) -> None:
    """From a second to 180 days, against Laplace inversion, itself held to mpmath at 1e-11."""
    tc = time_constant(transmissivity, storativity, 0.0762)
    resistance = resistance_from_transmissivity(transmissivity)
    times = np.geomspace(1.0, 180 * DAY, 60)
    rock = radial_flow.Rock(resistance_sm2=resistance, time_constant_s=tc, dimension=dimension)
    ours = step_response(times, resistance, rock_terms(dimension, tc, 1.0, 180 * DAY), tc)
    np.testing.assert_allclose(ours, radial_flow.step_response(times, rock), rtol=WITHIN)


@given(st.floats(1.0, 3.0))
def test_density_between_tabled_dimensions_is_that_of_the_bessel_functions(dimension: float) -> None:
    """Barker's transform cut along its branch: (4/π²)/(J² + Y²), orders n/2 and 1 − n/2 giving the same for n = 1, 2, 3."""
    u = np.exp(LATTICE_STEP * np.arange(LATTICE_FIRST, LATTICE_LAST + 1))
    order = dimension / 2
    exact = LATTICE_STEP * 4 / pi**2 / (jv(order, u) ** 2 + yv(order, u) ** 2)
    np.testing.assert_allclose(np.exp(log_density_weights(dimension)), exact, rtol=2e-6)


def test_density_of_a_channel_and_a_sphere_by_hand() -> None:
    """J² + Y² of order ½ is 2/(πu), of order 3/2 (2/(πu))(1 + 1/u²): densities 2u/π and 2u³/(π(1 + u²))."""
    u = np.exp(LATTICE_STEP * np.arange(LATTICE_FIRST, LATTICE_LAST + 1))
    np.testing.assert_allclose(np.exp(log_density_weights(1.0)) / LATTICE_STEP, 2 * u / pi, rtol=1e-12)
    sphere = 2 * u**3 / (pi * (1 + u**2))
    np.testing.assert_allclose(np.exp(log_density_weights(3.0)) / LATTICE_STEP, sphere, rtol=1e-12)


@settings(max_examples=60)
@given(st.floats(1.0, 3.0), st.floats(-4.0, 8.0))
def test_one_lump_stands_for_all_slow_stores(dimension: float, log_time: float) -> None:
    """Stores down to a hundred-thousandth of the end's u change the response there by under 3e-5 of it."""
    time = np.array([10.0**log_time])
    few = rock_terms(dimension, 1.0, float(time[0]) / 10, float(time[0]))
    many = rock_terms(dimension, 1.0, float(time[0]) / 10, 4e6 * float(time[0]))
    assert many.count >= few.count + 15
    np.testing.assert_allclose(
        step_response(time, 1.0, few, 1.0), step_response(time, 1.0, many, 1.0), rtol=3e-5
    )


@settings(max_examples=60)
@given(st.floats(1.0, 3.0), st.floats(-6.0, 6.0), st.floats(0.0, 8.0))
def test_stores_are_leaky_and_give_back_no_more_than_they_got(
    dimension: float, log_tc: float, decades: float
) -> None:
    terms = rock_terms(dimension, 10.0**log_tc, 1.0, 10.0**decades)
    assert np.all(terms.weights > 0)
    assert terms.rates_per_s[0] == 0
    assert np.all(np.diff(terms.rates_per_s) > 0)
    assert terms.instantaneous > 0


def test_out_of_range_is_refused() -> None:
    for wrong in (0.99, 3.01, float("nan")):
        with pytest.raises(RangeError, match="between 1 and 3"):
            log_density_weights(wrong)
    for tc, first, last in ((0.0, 1.0, 2.0), (1.0, 0.0, 2.0), (1.0, 3.0, 2.0)):
        with pytest.raises(RangeError, match="positive"):
            rock_terms(2.0, tc, first, last)
    with pytest.raises(RangeError, match="large enough for a run"):
        rock_terms(2.0, 1e-20, 1.0, 1e6)
    with pytest.raises(RangeError):
        resistance_from_transmissivity(0.0)
    with pytest.raises(RangeError):
        time_constant(1e-5, -1e-4, 0.0762)


def test_resistance_and_time_constant_by_hand() -> None:
    assert resistance_from_transmissivity(1 / (2 * pi)) == pytest.approx(1.0, rel=1e-15)
    assert time_constant(2.0, 8.0, 0.5) == 1.0
    assert exp(LATTICE_STEP * (LATTICE_FIRST + 8)) < 1e-11  # the lattice reaches below any run of the range

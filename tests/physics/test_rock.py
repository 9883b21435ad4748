"""The rock as a sum of leaky stores: against 40-digit inversion, limits by hand, quadrature and printed superpositions.

The engine states its response to be within 1e-4; wherever nothing else is said, that is what is asked here.
"""

from __future__ import annotations

from math import exp, gamma, log, pi, sqrt

import mpmath
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.special import erfcx, exp1, jv, yv
from tests.published.checks import check
from tests.published.factors import DAY, M2_PER_DAY, M3_PER_DAY

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms import radial_flow
from ledgewell.physics.closed_forms.finite_radius import finite_radius_function
from ledgewell.physics.rock import (
    LATTICE_FIRST,
    LATTICE_LAST,
    LATTICE_STEP,
    RockTerms,
    density_table,
    log_density_weights,
    resistance_from_transmissivity,
    rock_terms,
    step_response,
    store_tables,
    time_constant,
)

Floats = NDArray[np.float64]
STATED = 1e-4
HALF_YEAR_S = 180 * DAY
DIMENSIONS = st.floats(1.0, 3.0)


def unit_response(time_over_tc: Floats, dimension: float) -> Floats:
    """Return S/R from stores made for just these times."""
    terms = rock_terms(dimension, 1.0, float(np.min(time_over_tc)), float(np.max(time_over_tc)))
    return step_response(time_over_tc, 1.0, terms, 1.0)


def density(u: float, dimension: float) -> float:
    """Return the density ρ(u) of decay rates written out: 4/π² over J² + Y² of order n/2."""
    return 4 / pi**2 / float(jv(dimension / 2, u) ** 2 + yv(dimension / 2, u) ** 2)


@pytest.mark.published("physics-2-step")
def test_response_agrees_with_forty_digit_inversion() -> None:
    table = check("physics-2-step")
    for dimension, row in zip(table.inputs("dimension"), table.values("response"), strict=True):
        np.testing.assert_allclose(unit_response(table.inputs("time_over_tc"), dimension), row, rtol=STATED)


@pytest.mark.published("physics-2-finite-radius")
def test_radial_response_is_that_of_a_finite_radius_and_joins_theis() -> None:
    table = check("physics-2-finite-radius")
    one_over_u = table.inputs("one_over_u")
    assert (one_over_u.min(), one_over_u.max()) == (1.0, 1e7)
    np.testing.assert_allclose(2 * unit_response(one_over_u / 4, 2.0), table.values("f"), rtol=STATED)
    late = np.geomspace(4e4, 1e10, 40)
    np.testing.assert_allclose(2 * unit_response(late / 4, 2.0), exp1(1 / late), rtol=STATED)


@pytest.mark.published("physics-2-limits")
def test_limits_written_out_by_hand() -> None:
    """n = 1: 2√(t/π tc). n = 3: 1 − exp(τ) erfc(√τ). n > 2 ends at 1/(n − 2), and the power of time that is missing."""
    tau = np.geomspace(0.1, 1e9, 60)
    np.testing.assert_allclose(unit_response(tau, 1.0), 2 * np.sqrt(tau / pi), rtol=STATED)
    np.testing.assert_allclose(unit_response(tau, 3.0), 1 - erfcx(np.sqrt(tau)), rtol=STATED)
    table = check("physics-2-limits")
    for dimension, last in zip(table.inputs("dimension"), table.values("last"), strict=True):
        nu, late = 1 - dimension / 2, np.array([1e8, 1e10, 1e12, 1e14])
        missing = 4**nu / (2 * nu * gamma(1 - nu)) * late**nu
        np.testing.assert_allclose(unit_response(late, dimension), missing + last, rtol=STATED)
        assert last == pytest.approx(-1 / (2 * nu), rel=1e-12)


@pytest.mark.parametrize("transmissivity", [1e-7, 1e-4])
@pytest.mark.parametrize("storativity", [1e-6, 1.0])
@pytest.mark.parametrize("dimension", [1.0, 1.37, 2.0, 2.61, 3.0])
def test_half_a_year_at_the_corners_of_the_ranges(
    transmissivity: float, storativity: float, dimension: float
) -> None:
    """From the first ten seconds to 180 days, against numerical inversion."""
    resistance = resistance_from_transmissivity(transmissivity)
    tc = time_constant(transmissivity, storativity, 0.0762)
    time_s = np.geomspace(10.0, HALF_YEAR_S, 30)
    found = step_response(time_s, resistance, rock_terms(dimension, tc, 10.0, HALF_YEAR_S), tc)
    rock = radial_flow.Rock(resistance_sm2=resistance, time_constant_s=tc, dimension=dimension)
    np.testing.assert_allclose(found, radial_flow.step_response(time_s, rock), rtol=STATED)


@given(DIMENSIONS, st.floats(-8.0, 9.0), st.floats(0.0, 7.0), st.floats(0.0, 1.0))
@settings(max_examples=150, deadline=None)
def test_any_dimension_any_time_within_what_is_stated(
    dimension: float, shortest: float, decades: float, part: float
) -> None:
    first, last = 10.0**shortest, 10.0 ** (shortest + decades)
    time = np.array([min(first * (last / first) ** part, last)])
    found = step_response(time, 1.0, rock_terms(dimension, 1.0, first, last), 1.0)
    rock = radial_flow.Rock(resistance_sm2=1.0, time_constant_s=1.0, dimension=dimension)
    np.testing.assert_allclose(found, radial_flow.step_response(time, rock), rtol=STATED)


@given(DIMENSIONS, st.floats(-6.0, 6.0))
@settings(max_examples=50, deadline=None)
def test_the_rock_remembers_and_never_overshoots(dimension: float, shortest: float) -> None:
    """The response rises and its slope falls: its impulse is a positive mixture of decaying exponentials."""
    time = 10.0**shortest * np.linspace(1.0, 1e3, 200)
    rise = np.diff(step_response(time, 1.0, rock_terms(dimension, 1.0, time[0], time[-1]), 1.0))
    assert np.all(rise > 0)
    assert np.all(np.diff(rise) < 1e-12 * rise[0])


@given(DIMENSIONS, st.floats(-8.0, 9.0), st.floats(0.0, 8.0))
@settings(max_examples=80, deadline=None)
def test_every_store_has_weight_and_only_the_lump_keeps_all(
    dimension: float, shortest: float, decades: float
) -> None:
    terms = rock_terms(dimension, 1.0, 10.0**shortest, 10.0 ** (shortest + decades))
    assert np.all(terms.weights > 0)
    assert terms.instantaneous > 0
    assert terms.rates_per_s[0] == 0.0
    np.testing.assert_allclose(np.diff(np.log(terms.rates_per_s[1:])), 2 * LATTICE_STEP, rtol=1e-9)
    assert terms.count == len(terms.weights) == len(terms.rates_per_s)


def extended(terms: RockTerms, dimension: float, low: float) -> RockTerms:
    """Continue the lattice down to a lowest u without a lump, what is below left out."""
    below = np.arange(
        np.log(terms.rates_per_s[1]) / 2 - LATTICE_STEP, log(low) - LATTICE_STEP, -LATTICE_STEP
    )[::-1]
    u = np.exp(below)
    return RockTerms(
        np.concatenate(
            (LATTICE_STEP * np.array([density(each, dimension) for each in u]), terms.weights[1:])
        ),
        np.concatenate((u**2, terms.rates_per_s[1:])),
        terms.instantaneous,
    )


@pytest.mark.parametrize("dimension", [1.0, 1.5, 2.0, 2.5, 3.0])
def test_one_lump_does_what_sixteen_slow_stores_would(dimension: float) -> None:
    """Against a lattice that goes down to 1e-5 of √(tc/run), as docs/decisions/0005 says."""
    last = 1e6
    terms = rock_terms(dimension, 1.0, 1.0, last)
    longer = extended(terms, dimension, 1e-5 / sqrt(last))
    assert longer.count - terms.count >= 14
    time = np.geomspace(1.0, last, 25)
    leaky = [
        w / rate * -np.expm1(-rate * time) for w, rate in zip(longer.weights, longer.rates_per_s, strict=True)
    ]
    slowly = np.sum(leaky, axis=0) + longer.instantaneous
    exact = radial_flow.step_response(
        time, radial_flow.Rock(resistance_sm2=1.0, time_constant_s=1.0, dimension=dimension)
    )
    with_lump = np.max(np.abs(step_response(time, 1.0, terms, 1.0) / exact - 1))
    without = np.max(np.abs(slowly / exact - 1))
    assert with_lump < 4e-5
    assert with_lump < without + 1e-5


@pytest.mark.parametrize("dimension", [1.0, 1.3, 2.0, 3.0])
def test_lump_and_instant_part_are_integrals_of_the_density(dimension: float) -> None:
    """Quadrature (scipy) of ρ below and of ρ/u² above the stores kept; half a lattice step beyond the last one."""
    terms = rock_terms(dimension, 1.0, 100.0, 1e5)
    low, high = np.log(terms.rates_per_s[[1, -1]]) / 2 + np.array([-LATTICE_STEP / 2, LATTICE_STEP / 2])
    lump = quad(lambda x: density(exp(x), dimension), -40.0, low, limit=200)[0]
    at_once = quad(lambda x: density(exp(x), dimension) * exp(-2 * x), high, 12.0, limit=400)[0]
    # A sum of steps stands for an integral that ends between two of its points: a hundredth of a steep end.
    assert terms.weights[0] == pytest.approx(lump, rel=dimension**2 * LATTICE_STEP**2 / 20)
    assert terms.instantaneous == pytest.approx(at_once + 2 / pi * exp(-12.0), rel=0.02)


@pytest.mark.parametrize("u", [1e-3, 0.2, 3.0, 40.0])
def test_radial_density_is_that_of_van_everdingen_and_hurst(u: float) -> None:
    """4/π² over J₁² + Y₁², by mpmath at 30 digits (from memory of the solution, checked by its inversion)."""
    with mpmath.workdps(30):
        exact = 4 / mpmath.pi**2 / (mpmath.besselj(1, u) ** 2 + mpmath.bessely(1, u) ** 2)
    place = log(u) / LATTICE_STEP - LATTICE_FIRST
    near = [round(place), round(place) + 1]
    for index in near:
        lattice_u = exp(LATTICE_STEP * (LATTICE_FIRST + index))
        with mpmath.workdps(30):
            there = 4 / mpmath.pi**2 / (mpmath.besselj(1, lattice_u) ** 2 + mpmath.bessely(1, lattice_u) ** 2)
        found = exp(log_density_weights(2.0)[index]) / LATTICE_STEP
        assert found == pytest.approx(float(there), rel=1e-10)
    assert density(u, 2.0) == pytest.approx(float(exact), rel=1e-12)


@given(DIMENSIONS)
@settings(max_examples=60, deadline=None)
def test_dimensions_between_those_of_the_table(dimension: float) -> None:
    u = np.exp(LATTICE_STEP * np.arange(LATTICE_FIRST, LATTICE_LAST + 1))
    exact = LATTICE_STEP * 4 / pi**2 / (jv(dimension / 2, u) ** 2 + yv(dimension / 2, u) ** 2)
    np.testing.assert_allclose(np.exp(log_density_weights(dimension)), exact, rtol=2e-6)


def test_tables_cannot_be_written_to() -> None:
    for table in (density_table(), store_tables()):
        with pytest.raises(ValueError, match="read-only"):
            table[0] = 0.0


@pytest.mark.published("hydraulics-9a")
def test_two_rates_and_a_stop() -> None:
    """Superposed responses at the face against the line source, and nearer against a well of the same radius.

    At 1/u = 5000, the earliest here, a well of finite radius stands 4e-4 above the line source.
    """
    table = check("hydraulics-9a")
    well = table.given
    starts, flows = table.inputs("start_d") * DAY, table.inputs("flow_m3d") * M3_PER_DAY
    transmissivity = well["t_m2d"] * M2_PER_DAY
    resistance = resistance_from_transmissivity(transmissivity)
    tc = time_constant(transmissivity, well["s"], well["radius_m"])
    terms = rock_terms(2.0, tc, 0.25 * DAY, 5 * DAY)
    ours, finite = [], []
    for time in table.inputs("time_d") * DAY:
        began = starts < time
        changes, since = np.diff(flows, prepend=0.0)[began], time - starts[began]
        ours.append(float(changes @ step_response(since, resistance, terms, tc)))
        finite.append(float(changes @ finite_radius_function(4 * since / tc)) * resistance / 2)
    peak = max(finite)
    np.testing.assert_allclose(ours, table.values("drawdown_m"), rtol=0, atol=5e-4 * peak)
    np.testing.assert_allclose(ours, finite, rtol=0, atol=STATED * peak)


@pytest.mark.published("hydraulics-4b")
def test_recovery_after_a_day_of_pumping() -> None:
    """Residual and recovered drawdown once 1/u is 20,000, where face and line source differ by 1.2e-4."""
    table = check("hydraulics-4b")
    well = table.given
    since = table.inputs("time_since_stop_d") * DAY
    transmissivity, flow = well["t_m2d"] * M2_PER_DAY, well["flow_m3d"] * M3_PER_DAY
    stop = well["pumping_d"] * DAY
    tc = time_constant(transmissivity, well["s"], well["radius_m"])
    late = 4 * since / tc >= 2e4 * (1 - 1e-9)
    assert np.count_nonzero(late) == 2
    terms = rock_terms(2.0, tc, float(since[late].min()), float(stop + since.max()))

    def drawdown(time_s: Floats) -> Floats:
        return flow * step_response(time_s, resistance_from_transmissivity(transmissivity), terms, tc)

    at_stop = float(drawdown(np.array(stop)))
    residual = drawdown(stop + since[late]) - drawdown(since[late])
    recovered = at_stop - residual
    within = 2.5e-4 * at_stop
    np.testing.assert_allclose(residual, table.values("residual_m")[late], rtol=0, atol=within)
    np.testing.assert_allclose(residual, table.values("semilog_m")[late], rtol=0, atol=within)
    np.testing.assert_allclose(recovered, table.values("recovered_m")[late], rtol=0, atol=within)
    same = drawdown(table.values("equivalent_time_d")[late] * DAY)
    np.testing.assert_allclose(same, table.values("theis_at_equivalent_time_m")[late], rtol=0, atol=within)
    np.testing.assert_allclose(same, recovered, rtol=0, atol=within)


@pytest.mark.parametrize(
    ("dimension", "tc", "shortest", "longest", "said"),
    [
        (0.99, 1.0, 1.0, 10.0, "between 1 and 3"),
        (3.01, 1.0, 1.0, 10.0, "between 1 and 3"),
        (2.0, 0.0, 1.0, 10.0, "positive"),
        (2.0, 1.0, 0.0, 10.0, "positive"),
        (2.0, 1.0, 11.0, 10.0, "shortest_s <= longest_s"),
        (2.0, 1e-20, 1.0, 1e9, "large enough for a run"),
        (2.0, 1.0, 1e-10, 10.0, "shortest_s is 1e-10"),
    ],
)
def test_stores_that_cannot_be_made_are_refused(
    dimension: float, tc: float, shortest: float, longest: float, said: str
) -> None:
    with pytest.raises(RangeError, match=said):
        rock_terms(dimension, tc, shortest, longest)


def test_rock_that_cannot_be_is_refused() -> None:
    with pytest.raises(RangeError, match="positive transmissivity"):
        resistance_from_transmissivity(0.0)
    for wrong in ((0.0, 1e-4, 0.1), (1e-5, 0.0, 0.1), (1e-5, 1e-4, 0.0)):
        with pytest.raises(RangeError, match="positive"):
            time_constant(*wrong)

"""Bouwer and Rice against their worked example; Hvorslev's shape factors; what straight lines refuse."""

from __future__ import annotations

from math import asinh, exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.published.checks import check
from tests.published.factors import DAY

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.slug_line import (
    BOUWER_RICE_CAP,
    basic_time_lag_fit,
    bouwer_rice_coefficients,
    bouwer_rice_conductivity,
    bouwer_rice_log_radius,
    bouwer_rice_validity,
    hvorslev_conductivity,
    hvorslev_validity,
)

WELL = check("hydraulics-6c-chart")


def log_radius(coefficients: tuple[float, float, float] | None) -> float:
    """Return ln(Re/rw) of the worked example."""
    places = (WELL.given[name] for name in ("saturated_m", "well_depth_m", "length_m", "well_radius_m"))
    return bouwer_rice_log_radius(*places, coefficients)


def conductivity(reach: float) -> float:
    """Return K of the worked example [m/s]."""
    lag = WELL.given["time_s"] / log(WELL.given["first_m"] / WELL.given["last_m"])
    return bouwer_rice_conductivity(lag, WELL.given["casing_radius_m"], WELL.given["length_m"], reach)


@pytest.mark.published("hydraulics-6c-chart", "hydraulics-6c-recomputed")
def test_bouwer_rice_worked_example() -> None:
    exact, reach = check("hydraulics-6c-recomputed"), log_radius((WELL.given["a"], WELL.given["b"], 2.2))
    k = conductivity(reach)
    for table in (WELL, exact):
        assert reach == pytest.approx(table.expected["log_radius"], rel=table.relative)
        assert k == pytest.approx(table.expected["k_m_s"], rel=table.relative)
    assert k * DAY == pytest.approx(WELL.expected["k_m_d"], rel=WELL.relative)
    assert k * DAY == pytest.approx(exact.expected["k_m_d"], rel=2e-4)
    rate = log(WELL.given["first_m"] / WELL.given["last_m"]) / WELL.given["time_s"]
    assert rate == pytest.approx(WELL.expected["rate_per_s"], rel=WELL.relative)
    assert WELL.given["length_m"] / WELL.given["well_radius_m"] == pytest.approx(WELL.expected["slimness"])


@pytest.mark.published("hydraulics-6c-chart")
def test_bouwer_rice_cap() -> None:
    below = WELL.given["saturated_m"] - WELL.given["well_depth_m"]
    assert log(below / WELL.given["well_radius_m"]) == pytest.approx(WELL.expected["uncapped"], rel=1e-3)
    assert WELL.expected["cap"] == BOUWER_RICE_CAP
    arguments = (
        WELL.given["well_depth_m"],
        WELL.given["length_m"],
        WELL.given["well_radius_m"],
        (2.6, 0.42, 2.2),
    )
    at_cap = WELL.given["well_depth_m"] + WELL.given["well_radius_m"] * exp(BOUWER_RICE_CAP)
    capped = bouwer_rice_log_radius(at_cap, *arguments)
    assert bouwer_rice_log_radius(10 * at_cap, *arguments) == pytest.approx(capped, rel=1e-12)
    assert bouwer_rice_log_radius(at_cap / 2, *arguments) > capped


@pytest.mark.published("hydraulics-6c-polynomials")
def test_bouwer_rice_polynomials() -> None:
    table = check("hydraulics-6c-polynomials")
    found = bouwer_rice_coefficients(table.given["slimness"])
    for value, name in zip(found, "abc", strict=True):
        assert float(value) == pytest.approx(table.expected[name], rel=table.relative)
    assert log_radius(None) == pytest.approx(table.expected["log_radius"], rel=table.relative)
    assert conductivity(log_radius(None)) * DAY == pytest.approx(table.expected["k_m_d"], rel=table.relative)


def test_bouwer_rice_at_the_bottom_uses_the_third_curve() -> None:
    whole = bouwer_rice_log_radius(20.0, 20.0, 4.0, 0.1, (2.6, 0.42, 2.2))
    assert whole == pytest.approx(1 / (1.1 / log(200) + 2.2 / 40))


@pytest.mark.published("hydraulics-6d")
def test_hvorslev_shape_factors() -> None:
    table = check("hydraulics-6d")
    assert log(8) == pytest.approx(table.expected["ln_8"], rel=table.relative)
    assert asinh(4) == pytest.approx(table.expected["arcsinh_4"], rel=table.relative)
    for slimness, percent in zip(table.given["slimness"], table.expected["percent"], strict=True):
        long = hvorslev_conductivity(30.0, 0.05, slimness * 0.1, 0.1)
        exact = hvorslev_conductivity(30.0, 0.05, slimness * 0.1, 0.1, long=False)
        assert 100 * (1 - long / exact) == pytest.approx(percent, abs=table.absolute)
        assert long == pytest.approx(0.05**2 * log(slimness) / (2 * slimness * 0.1 * 30), rel=1e-12)


@given(lag=st.floats(1.0, 1e5), start=st.floats(0.5, 1.0))
def test_an_exponential_gives_back_its_lag(lag: float, start: float) -> None:
    time = lag * np.array([0.0, 0.3, 1.1, 2.0])
    fit = basic_time_lag_fit(time, start * np.exp(-time / lag))
    assert fit.basic_time_lag_s == pytest.approx(lag, rel=1e-9)
    assert fit.ratio_at_start == pytest.approx(start, rel=1e-9)


def test_the_window_is_reported() -> None:
    fit = basic_time_lag_fit([0.0, 1.0, 2.0, 3.0], [1.0, 0.5, 0.2, 0.1], (0.15, 0.6))
    assert fit.line.window == (0.2, 0.5)
    assert fit.line.count == 2


def test_hvorslev_validity() -> None:
    assert hvorslev_validity(10.0, 0.1, 1.02).valid
    assert "must be above 8" in hvorslev_validity(0.8, 0.1, 1.0).why
    assert "not near 1" in hvorslev_validity(10.0, 0.1, 0.8).why


def test_bouwer_rice_validity() -> None:
    assert bouwer_rice_validity(38.0, level_in_open_hole=False).valid
    assert "outside 4 to 1500" in bouwer_rice_validity(2000.0, level_in_open_hole=False).why
    assert "open hole" in bouwer_rice_validity(38.0, level_in_open_hole=True).why


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(RangeError, match="well_depth_m"):
        bouwer_rice_log_radius(5.0, 6.0, 4.0, 0.1)
    with pytest.raises(RangeError, match="slimness"):
        bouwer_rice_coefficients(2.0)
    with pytest.raises(RangeError, match="returns"):
        basic_time_lag_fit([0.0, 1.0], [0.5, 0.6])
    with pytest.raises(RangeError, match="at least two"):
        basic_time_lag_fit([0.0, 1.0], [0.5, 0.4], (0.45, 0.6))
    with pytest.raises(RangeError, match="basic_time_lag_s"):
        hvorslev_conductivity(0.0, 0.05, 1.0, 0.1)

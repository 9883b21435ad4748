"""The Theis curve and its logarithm against printed tables, mpmath, pint and the diffusion equation."""

from __future__ import annotations

from math import exp, log

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.published.checks import check

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.theis import (
    COOPER_JACOB_FACTOR,
    cooper_jacob_drawdown,
    cooper_jacob_limit,
    cooper_jacob_truncation,
    cooper_jacob_validity,
    theis_drawdown,
    theis_u,
    theis_validity,
    well_function,
)
from ledgewell.physics.closed_forms.theis_fit import cooper_jacob_fit, distance_drawdown_fit


@pytest.mark.published("hydraulics-1a-well-function")
def test_well_function_to_twelve_digits() -> None:
    table = check("hydraulics-1a-well-function")
    np.testing.assert_allclose(well_function(table.inputs("u")), table.values("w"), rtol=table.relative)


@pytest.mark.published("hydraulics-1b-wenzel", "hydraulics-1b-huisman")
def test_well_function_as_printed() -> None:
    for name in ("wenzel", "huisman"):
        table = check(f"hydraulics-1b-{name}")
        np.testing.assert_allclose(well_function(table.inputs("u")), table.values("w"), rtol=table.relative)


@pytest.mark.published("hydraulics-1b-huisman-slip")
def test_well_function_is_not_the_slipped_entry() -> None:
    table = check("hydraulics-1b-huisman-slip")
    ours = float(well_function(table.given["u"]))
    assert ours == pytest.approx(table.misprints["exact"], rel=table.relative)
    assert table.expected["printed"] / ours == pytest.approx(10, rel=1e-3)


@pytest.mark.published("hydraulics-1b-fair")
def test_well_function_as_printed_but_for_four_misprints() -> None:
    table = check("hydraulics-1b-fair")
    mantissa, exponent = table.inputs("mantissa"), table.inputs("exponent")
    ours = well_function(mantissa[:, None] * 10 ** exponent[None, :])
    wrong = np.abs(ours - table.values("w")) > table.absolute
    misprints = set(zip(table.misprints["mantissa"], table.misprints["exponent"], strict=True))
    assert {(mantissa[i], exponent[j]) for i, j in np.argwhere(wrong)} == misprints
    places = np.array(table.misprints["mantissa"]) * 10.0 ** np.array(table.misprints["exponent"])
    np.testing.assert_allclose(well_function(places), table.misprints["exact"], atol=5.1e-5)


@pytest.mark.published("hydraulics-1a-truncation")
def test_what_the_logarithm_leaves_out() -> None:
    table = check("hydraulics-1a-truncation")
    percent = 100 * cooper_jacob_truncation(table.inputs("u"))
    np.testing.assert_allclose(percent, table.values("percent"), rtol=table.relative)


@pytest.mark.published("hydraulics-1a-limit")
def test_where_the_logarithm_falls_short() -> None:
    table = check("hydraulics-1a-limit")
    limits = [cooper_jacob_limit(percent / 100) for percent in table.inputs("percent")]
    np.testing.assert_allclose(limits, table.values("u"), rtol=table.relative)


@pytest.mark.published("hydraulics-0-field-constants")
def test_formulas_in_gallons_and_feet_have_the_known_constants() -> None:
    table = check("hydraulics-0-field-constants").expected
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    gpm, foot, day = registry("gallon/minute"), registry("foot"), registry("day")
    transmissivity = 1000 * registry("gallon/day/foot")

    def si(quantity: pint.Quantity[float], unit: str) -> float:
        return float(quantity.to(unit).magnitude)

    flow, t, r, storativity = 10 * gpm, si(transmissivity, "m^2/s"), 50 * foot, 2e-4
    time = 0.3 * day
    u = float(theis_u(si(time, "s"), si(r, "m"), t, storativity))
    assert u * 1000 * 0.3 / (50**2 * storativity) == pytest.approx(table["u"], rel=1e-9)
    drawdown = theis_drawdown(si(time, "s"), si(r, "m"), si(flow, "m^3/s"), t, storativity)
    feet = float(drawdown) / si(foot, "m")
    assert feet * 1000 / (10 * float(well_function(u))) == pytest.approx(table["theis"], rel=1e-9)
    line = cooper_jacob_fit([si(day, "s"), si(10 * day, "s")], si(r, "m"), [1.0, 3.0], si(flow, "m^3/s"))
    gpd_per_foot = float((line.transmissivity_m2s * registry("m^2/s")).to("gallon/day/foot").magnitude)
    assert gpd_per_foot * (2.0 / si(foot, "m")) / 10 == pytest.approx(table["semilog"], rel=1e-9)
    t0_days = line.crossing / si(day, "s")
    assert line.storativity * 50**2 / (gpd_per_foot * t0_days) == pytest.approx(
        table["storativity"], rel=1e-9
    )
    far = distance_drawdown_fit([10.0, 100.0], [3.0, 1.0], si(day, "s"), si(flow, "m^3/s"))
    gpd_per_foot = float((far.transmissivity_m2s * registry("m^2/s")).to("gallon/day/foot").magnitude)
    assert gpd_per_foot * (2.0 / si(foot, "m")) / 10 == pytest.approx(table["distance"], rel=1e-9)
    assert pytest.approx(table["cooper_jacob"], rel=1e-9) == COOPER_JACOB_FACTOR
    exact = [table[name] for name in ("theis", "semilog", "distance", "u", "storativity", "cooper_jacob")]
    np.testing.assert_allclose(exact, check("hydraulics-0-field-constants").inputs("printed"), rtol=2e-3)


@given(ln_u=st.floats(-25.0, 2.0))
def test_slope_of_the_curve_is_the_exponential(ln_u: float) -> None:
    step = 1e-4
    slope = (well_function(exp(ln_u - step)) - well_function(exp(ln_u + step))) / (2 * step)
    assert float(slope) == pytest.approx(exp(-exp(ln_u)), rel=1e-5)


@given(ln_u=st.floats(-5.0, 1.0), r=st.floats(0.5, 200.0))
def test_drawdown_obeys_the_diffusion_equation(ln_u: float, r: float) -> None:
    transmissivity, storativity = 1e-3, 1e-4
    t = r**2 * storativity / (4 * transmissivity * exp(ln_u))

    def s(time: float, radius: float) -> float:
        return float(theis_drawdown(time, radius, 0.01, transmissivity, storativity))

    x, dx, dt = log(r), 3e-3, 1e-3
    curved = (s(t, exp(x + dx)) - 2 * s(t, r) + s(t, exp(x - dx))) / dx**2 / r**2
    speed = (s(t * (1 + dt), r) - s(t * (1 - dt), r)) / (2 * dt * t)
    assert transmissivity * curved == pytest.approx(storativity * speed, rel=1e-3)


def test_logarithm_joins_the_curve() -> None:
    arguments = (0.02, 1e-4, 1e-4)
    late = np.array([1e6, 1e7, 1e8])
    np.testing.assert_allclose(
        cooper_jacob_drawdown(late, 1.0, *arguments), theis_drawdown(late, 1.0, *arguments), rtol=2e-8
    )


def test_validity_of_the_logarithm_follows_its_tolerance() -> None:
    assert cooper_jacob_validity(0.0298).valid
    assert not cooper_jacob_validity(0.0299).valid
    assert cooper_jacob_validity(0.0954, tolerance=0.05).valid
    assert "flow dimension is 1.7" in cooper_jacob_validity(0.001, dimension=1.7).why


def test_validity_of_the_line_source() -> None:
    assert theis_validity(86400.0, 1e-3, 1e-4, 0.0762, 0.0762).valid
    assert "stored in the hole" in theis_validity(3600.0, 1e-5, 1e-4, 0.0762, 0.0762).why
    early = theis_validity(3600.0, 1e-3, 0.5, 0.0762, 0.0762)
    assert not early.valid
    assert "line" in early.why
    assert not theis_validity(86400.0, 1e-3, 1e-4, 0.0762, 0.0762, dimension=2.5).valid


@pytest.mark.parametrize("place", range(5))
def test_values_that_are_not_positive_are_refused(place: int) -> None:
    arguments = [100.0, 1.0, 1e-3, 1e-4, 1e-4]
    arguments[place] = float("nan")
    with pytest.raises(RangeError):
        theis_drawdown(*arguments)
    with pytest.raises(RangeError):
        cooper_jacob_drawdown(*arguments)


def test_arrays_broadcast() -> None:
    drawdown = theis_drawdown([[60.0], [600.0]], [10.0, 20.0, 40.0], 0.01, 1e-3, 1e-4)
    assert drawdown.shape == (2, 3)
    assert drawdown[1, 2] == theis_drawdown(600.0, 40.0, 0.01, 1e-3, 1e-4)

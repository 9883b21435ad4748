"""Wells that store water against the published tables, quadrature and whole low-yield tests."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from scipy.special import exp1, kve
from tests.physics.closed_forms.quadrature import large_diameter_integral
from tests.published.checks import check
from tests.published.factors import GPM_PER_FOOT, INCH, M2_PER_DAY, M3_PER_DAY, MINUTE

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.inversion import stehfest
from ledgewell.physics.closed_forms.large_diameter import (
    casing_storage_end_time,
    large_diameter_drawdown,
    large_diameter_function,
    large_diameter_log_derivative,
    large_diameter_validity,
    semilog_slope_ratio,
    semilog_validity,
)
from ledgewell.physics.closed_forms.superposition import pump_and_recover
from ledgewell.physics.closed_forms.validity import STORAGE_TIME_FACTOR, storage_over


@pytest.mark.published("hydraulics-3b")
def test_function_without_skin() -> None:
    table = check("hydraulics-3b")
    ours = large_diameter_function(table.inputs("one_over_u"), table.inputs("alpha")[:, None])
    np.testing.assert_allclose(ours, table.values("f"), rtol=table.relative)


@pytest.mark.published("hydraulics-3b")
@pytest.mark.parametrize("row", range(5))
def test_closed_integral_gives_the_same_table(row: int) -> None:
    table = check("hydraulics-3b")
    alpha = float(table.inputs("alpha")[row])
    quadrature = [large_diameter_integral(value, alpha) for value in table.inputs("one_over_u")]
    np.testing.assert_allclose(quadrature, table.values("f")[row], rtol=1e-10)


@pytest.mark.published("hydraulics-3b-stehfest")
def test_ordinary_stehfest_errs_as_much_as_stated() -> None:
    table, limits = check("hydraulics-3b"), check("hydraulics-3b-stehfest").expected
    alpha = table.inputs("alpha")[:, None] * np.ones(table.inputs("one_over_u").shape)
    tau = np.broadcast_to(table.inputs("one_over_u") / 4, alpha.shape)

    def transform(p: np.ndarray) -> np.ndarray:
        root = np.sqrt(p)
        return np.asarray(2 / p * kve(0, root) / (root * kve(1, root) + p / (2 * alpha) * kve(0, root)))

    for terms in (12, 8):
        error = np.max(np.abs(stehfest(transform, tau, terms) / table.values("f") - 1))
        stated = limits[f"largest_{terms}_terms"]
        assert stated / 10 < error <= stated


@pytest.mark.published("hydraulics-3c")
def test_function_as_printed_but_for_two_misprints() -> None:
    table = check("hydraulics-3c")
    one_over_u, alpha = table.inputs("one_over_u"), table.inputs("alpha")
    ours = large_diameter_function(one_over_u, alpha[:, None])
    off = np.abs(ours / table.values("f") - 1) > table.relative
    misprints = set(zip(table.misprints["alpha"], table.misprints["one_over_u"], strict=True))
    wrong = np.abs(ours / table.values("f") - 1) > 5e-3
    assert {(alpha[i], one_over_u[j]) for i, j in np.argwhere(wrong)} <= misprints
    assert not np.any(off & ~wrong)
    exact = large_diameter_function(table.misprints["one_over_u"], table.misprints["alpha"])
    np.testing.assert_allclose(exact, table.misprints["exact"], rtol=1e-9)
    assert np.all(exact - np.array(table.misprints["printed"]) > 0.04)


@pytest.mark.published("hydraulics-3d")
def test_function_with_skin() -> None:
    table = check("hydraulics-3d")
    ours = large_diameter_function(
        table.inputs("one_over_u"), table.inputs("alpha")[:, None], table.inputs("skin")[:, None]
    )
    np.testing.assert_allclose(ours, table.values("f"), rtol=table.relative)


@pytest.mark.published("hydraulics-3d")
def test_skin_adds_twice_itself_in_the_end() -> None:
    late = 1e11
    for skin in (1.0, 5.0, 10.0):
        assert float(large_diameter_function(late, 1e-5, skin)) == pytest.approx(
            float(exp1(1 / late)) + 2 * skin, rel=1e-5
        )


@pytest.mark.published("hydraulics-3e")
def test_slope_against_log_time() -> None:
    table = check("hydraulics-3e")
    ours = large_diameter_log_derivative(table.inputs("one_over_u"), table.inputs("alpha")[:, None])
    np.testing.assert_allclose(ours, table.values("slope"), rtol=table.relative)


@pytest.mark.published("hydraulics-3a-coefficient")
def test_first_the_hole_empties_at_the_rate_pumped() -> None:
    table = check("hydraulics-3a-coefficient").expected
    one_over_u, alpha = 1e-3, 1e-5
    ours = float(large_diameter_function(one_over_u, alpha))
    assert ours / (alpha * one_over_u) == pytest.approx(table["early_f_over_alpha_per_inverse_u"], rel=1e-3)
    tau, half_f = one_over_u / 4, ours / 2
    storage = tau / half_f
    assert storage * alpha == pytest.approx(table["storage_over_inverse_alpha"], rel=1e-3)
    drawdown = float(large_diameter_drawdown(1e-3, 1e-4, 1e-5, 1e-4, 0.0762, 0.1))
    assert drawdown == pytest.approx(1e-4 * 1e-3 / (pi * 0.1**2), rel=1e-3)


@pytest.mark.published("hydraulics-3g-rules", "hydraulics-3g-deficit")
def test_what_is_missing_at_the_two_rules() -> None:
    rules, table = check("hydraulics-3g-rules"), check("hydraulics-3g-deficit")
    strict, loose = rules.expected["rules"]
    assert strict == STORAGE_TIME_FACTOR
    for rule, name in ((strict, "percent_at_250"), (loose, "percent_at_25")):
        one_over_u = 4 * rule / table.inputs("alpha")
        well = exp1(1 / one_over_u)
        missing = 100 * (1 - large_diameter_function(one_over_u, table.inputs("alpha")) / well)
        np.testing.assert_allclose(missing, table.values(name), atol=table.absolute)


@pytest.mark.published("hydraulics-3g-schafer")
def test_trade_rule_for_the_end_of_casing_storage() -> None:
    table = check("hydraulics-3g-schafer")
    casing, pipe, factor = table.given["casing_in"], table.given["pipe_in"], table.expected["factor"]
    for specific in table.given["specific_capacity_gpm_ft"]:
        seconds = casing_storage_end_time(casing * INCH, pipe * INCH, specific * GPM_PER_FOOT)
        assert seconds / MINUTE == pytest.approx(
            factor * (casing**2 - pipe**2) / specific, rel=table.relative
        )


@pytest.mark.published("hydraulics-3h-pump", "hydraulics-3h-recovery")
def test_whole_low_yield_well() -> None:
    pumping, recovery = check("hydraulics-3h-pump"), check("hydraulics-3h-recovery")
    well = pumping.given

    def response(time: np.ndarray) -> np.ndarray:
        return large_diameter_drawdown(
            time,
            1.0,
            well["t_m2d"] * M2_PER_DAY,
            well["s"],
            well["well_radius_m"],
            well["casing_radius_m"],
            well["skin"],
        )

    flow, stop = well["flow_m3d"] * M3_PER_DAY, well["pumping_min"] * MINUTE
    down = pump_and_recover(response, pumping.inputs("time_min") * MINUTE, stop, flow)
    np.testing.assert_allclose(down, pumping.values("drawdown_m"), rtol=pumping.relative)
    rest = pump_and_recover(response, stop + recovery.inputs("time_since_stop_min") * MINUTE, stop, flow)
    np.testing.assert_allclose(rest, recovery.values("residual_m"), rtol=recovery.relative)


@pytest.mark.published("physics-5-slope")
def test_slope_at_the_loose_rule_is_far_too_steep() -> None:
    table = check("physics-5-slope")
    alphas, skins = table.inputs("alpha"), table.inputs("skin")
    for place, skin in enumerate(skins):
        steep, mild = (float(semilog_slope_ratio(25.0, 1.0, alpha, 1.0, 1.0, skin)) for alpha in alphas)
        assert mild == pytest.approx(table.values("lowest")[place], abs=table.absolute)
        assert steep == pytest.approx(table.values("highest")[place], abs=2 * table.absolute)
        assert not semilog_validity(mild).valid


def test_semilog_validity() -> None:
    assert semilog_validity(1.09).valid
    assert semilog_validity(0.91).valid
    assert "1.3 times" in semilog_validity(1.27).why
    assert "flow dimension" in semilog_validity(1.0, dimension=1.6).why


def test_storage_over_at_its_bound() -> None:
    end = 250 * 0.0762**2 / 1e-5
    assert storage_over(1.0001 * end, 1e-5, 0.0762).valid
    assert not storage_over(0.9999 * end, 1e-5, 0.0762).valid
    with pytest.raises(RangeError, match="transmissivity_m2s"):
        storage_over(3600.0, 0.0, 0.0762)


def test_validity_refuses_what_the_formula_does_not_know() -> None:
    assert large_diameter_validity(2.0, 3.0, 0.0762, 0.0762).valid
    assert "flow dimension" in large_diameter_validity(1.5, 3.0, 0.0762, 0.0762).why
    assert "skin" in large_diameter_validity(2.0, -3.0, 0.0762, 0.0762).why
    assert "radius" in large_diameter_validity(2.0, 3.0, 0.0794, 0.0762).why


def test_a_pipe_wider_than_the_casing_is_refused() -> None:
    with pytest.raises(RangeError, match="casing less pipe"):
        casing_storage_end_time(0.1, 0.2, 1e-4)


@pytest.mark.parametrize("arguments", [(0.0, 1e-3, 0.0), (1.0, 0.0, 0.0), (1.0, 1e-3, -1.0)])
def test_arguments_out_of_range_are_refused(arguments: tuple[float, float, float]) -> None:
    with pytest.raises(RangeError):
        large_diameter_function(*arguments)
    with pytest.raises(RangeError):
        large_diameter_log_derivative(*arguments)

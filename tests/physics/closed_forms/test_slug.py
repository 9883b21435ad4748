"""Slug tests against the published tables, quadrature and the crystalline-rock well at Dawsonville."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import curve_fit
from scipy.special import kve
from tests.physics.closed_forms.quadrature import slug_integral
from tests.published.checks import check
from tests.published.factors import FT2_PER_DAY, M2_PER_DAY

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.inversion import stehfest
from ledgewell.physics.closed_forms.slug import (
    SlugFit,
    displaced_head,
    slug_fit,
    slug_function,
    slug_head_ratio,
    slug_validity,
)
from ledgewell.physics.closed_forms.slug_line import (
    BOUWER_RICE_WINDOW,
    HVORSLEV_WINDOW,
    basic_time_lag_fit,
    hvorslev_conductivity,
    hvorslev_validity,
)

DAWSONVILLE = check("hydraulics-6b-readings")
CM = 0.01
CM2_PER_S = CM**2


def dawsonville() -> tuple[np.ndarray, np.ndarray]:
    """Return the times and H/H₀ at Dawsonville."""
    return DAWSONVILLE.values("time_s"), DAWSONVILLE.values("head_m") / DAWSONVILLE.given["first_head_m"]


def dawsonville_fit(alpha: float | None) -> SlugFit:
    """Return the fit at Dawsonville, with α held or sought."""
    radii = DAWSONVILLE.given["screen_radius_cm"] * CM, DAWSONVILLE.given["casing_radius_cm"] * CM
    return slug_fit(*dawsonville(), *radii, alpha)


@pytest.mark.published("hydraulics-6a")
def test_slug_function() -> None:
    table = check("hydraulics-6a")
    ours = slug_function(table.inputs("beta"), table.inputs("alpha")[:, None])
    np.testing.assert_allclose(ours, table.values("ratio"), rtol=table.relative)


@pytest.mark.published("hydraulics-6a")
@pytest.mark.parametrize("row", range(5))
def test_closed_integral_gives_the_same_table(row: int) -> None:
    table = check("hydraulics-6a")
    alpha = float(table.inputs("alpha")[row])
    quadrature = [slug_integral(beta, alpha) for beta in table.inputs("beta")]
    np.testing.assert_allclose(quadrature, table.values("ratio")[row], rtol=table.relative)


@pytest.mark.published("hydraulics-6a-printed")
def test_slug_function_as_printed_but_for_four_entries() -> None:
    table = check("hydraulics-6a-printed")
    beta, alpha = table.inputs("beta"), table.inputs("alpha")
    ours = slug_function(beta, alpha[:, None])
    off = np.abs(ours / table.values("ratio") - 1) > table.relative
    listed = set(zip(table.misprints["alpha"], np.round(table.misprints["beta"], 6), strict=True))
    assert {(alpha[i], round(float(beta[j]), 6)) for i, j in np.argwhere(off)} == listed
    exact = slug_function(table.misprints["beta"], table.misprints["alpha"])
    np.testing.assert_allclose(exact, table.misprints["exact"], rtol=5e-9)


@pytest.mark.published("hydraulics-6a-nodes")
def test_the_printed_nodes_are_powers_of_ten() -> None:
    table, printed = check("hydraulics-6a-nodes"), check("hydraulics-6a-printed")
    np.testing.assert_allclose(10 ** table.inputs("exponent"), table.inputs("printed_beta"), rtol=2.1e-3)
    column = printed.inputs("beta").tolist().index(10 ** (1 / 3))
    row = printed.inputs("alpha").tolist().index(1e-1)
    entry = printed.values("ratio")[row, column]
    literal = float(slug_function(table.inputs("printed_beta")[0], 1e-1))
    true = float(slug_function(10 ** table.inputs("exponent")[0], 1e-1))
    assert 100 * (literal / entry - 1) == pytest.approx(
        table.expected["percent_off_with_printed_node"], rel=table.relative
    )
    assert abs(true / entry - 1) < printed.relative


@pytest.mark.published("hydraulics-6a-stehfest")
def test_ordinary_stehfest_errs_as_much_as_stated() -> None:
    table, stated = check("hydraulics-6a"), check("hydraulics-6a-stehfest").expected["largest_absolute"]
    alpha = table.inputs("alpha")[:, None] * np.ones(table.inputs("beta").shape)

    def transform(p: np.ndarray) -> np.ndarray:
        root = np.sqrt(p)
        return np.asarray(kve(0, root) / (2 * alpha) / (root * kve(1, root) + p / (2 * alpha) * kve(0, root)))

    error = np.max(np.abs(stehfest(transform, table.inputs("beta") / alpha) - table.values("ratio")))
    assert stated / 10 < error <= stated


@pytest.mark.published("hydraulics-6b-volume")
def test_dawsonville_first_head() -> None:
    table = check("hydraulics-6b-volume")
    head = displaced_head(table.given["volume_l"] / 1000, DAWSONVILLE.given["casing_radius_cm"] * CM)
    assert head == pytest.approx(table.expected["head_m"], rel=table.relative)


@pytest.mark.published("hydraulics-6b-fixed", "hydraulics-6b-printed")
def test_dawsonville_with_alpha_held() -> None:
    table, printed = check("hydraulics-6b-fixed"), check("hydraulics-6b-printed")
    fit = dawsonville_fit(table.given["alpha"])
    t = fit.transmissivity_m2s
    assert t / CM2_PER_S == pytest.approx(table.expected["t_cm2s"], rel=table.relative)
    assert t / M2_PER_DAY == pytest.approx(table.expected["t_m2d"], rel=table.relative)
    assert fit.rms_misfit == pytest.approx(table.expected["rms_misfit"], rel=0.01)
    assert fit.storativity == pytest.approx(table.given["alpha"])
    assert t / CM2_PER_S == pytest.approx(printed.expected["t_cm2s"], rel=printed.relative)
    assert t / M2_PER_DAY == pytest.approx(printed.expected["t_m2d"], rel=printed.relative)
    assert t / FT2_PER_DAY == pytest.approx(printed.expected["t_ft2d"], rel=printed.relative)
    by_eye = (DAWSONVILLE.given["casing_radius_cm"] * CM) ** 2 / printed.given["time_at_beta_one_s"]
    assert by_eye / CM2_PER_S == pytest.approx(printed.expected["t_cm2s"], rel=0.01)


def errors_by_scipy() -> tuple[float, float]:
    """Return the standard errors of ln T and ln S at Dawsonville by another fitting routine."""
    area = (DAWSONVILLE.given["casing_radius_cm"] * CM) ** 2

    def curve(time: np.ndarray, ln_t: float, ln_s: float) -> np.ndarray:
        return slug_function(np.exp(ln_t) * time / area, np.exp(ln_s))

    _, covariance = curve_fit(curve, *dawsonville(), p0=[-7.5, -7.0])
    return float(covariance[0, 0] ** 0.5), float(covariance[1, 1] ** 0.5)


@pytest.mark.published("hydraulics-6b-free", "hydraulics-6b-printed")
def test_dawsonville_with_alpha_sought() -> None:
    table, fit = check("hydraulics-6b-free"), dawsonville_fit(None)
    assert fit.transmissivity_m2s / CM2_PER_S == pytest.approx(table.expected["t_cm2s"], rel=table.relative)
    assert fit.storativity == pytest.approx(table.expected["s"], rel=0.03)
    errors = (fit.transmissivity_relative_error, fit.storativity_relative_error)
    assert errors == pytest.approx(errors_by_scipy(), rel=1e-3)
    assert errors == pytest.approx(
        (table.misprints["t_relative_error"], table.misprints["ln_s_error"]), rel=0.01
    )
    assert errors[0] > 1.2 * table.expected["t_relative_error"]
    assert errors[1] > 1.2 * table.expected["ln_s_error"]
    assert fit.rms_misfit == pytest.approx(table.expected["rms_misfit"], rel=0.01)
    printed = check("hydraulics-6b-printed").expected["s"]
    assert printed / 3 < fit.storativity < 3 * printed
    assert fit.window_s == (3.0, 63.0)
    assert fit.count == 21
    assert slug_validity(fit, float(dawsonville()[1].min())).valid


@pytest.mark.published("hydraulics-6b-readings")
def test_dawsonville_readings_lie_on_one_curve() -> None:
    fit, (time, ratio) = dawsonville_fit(None), dawsonville()
    radius = DAWSONVILLE.given["casing_radius_cm"] * CM
    curve = slug_head_ratio(time, fit.transmissivity_m2s, fit.storativity, radius, radius)
    np.testing.assert_allclose(curve, ratio, rtol=0, atol=0.02)


@pytest.mark.published("hydraulics-6b-sensitivity")
def test_dawsonville_for_other_alphas() -> None:
    table = check("hydraulics-6b-sensitivity")
    found = [dawsonville_fit(alpha).transmissivity_m2s / CM2_PER_S for alpha in table.given["alpha"]]
    np.testing.assert_allclose(found, table.values("t_cm2s"), rtol=table.relative)


@pytest.mark.published("hydraulics-6b-line", "hydraulics-6b-windows")
def test_dawsonville_straight_line_depends_on_the_window() -> None:
    table, windows = check("hydraulics-6b-line"), check("hydraulics-6b-windows")
    length, radius = table.given["length_m"], table.given["radius_m"]
    fit = basic_time_lag_fit(*dawsonville())
    assert fit.line.slope == pytest.approx(table.expected["slope_per_s"], rel=table.relative)
    assert fit.ratio_at_start == pytest.approx(table.expected["ratio_at_start"], rel=table.relative)
    assert fit.basic_time_lag_s == pytest.approx(table.expected["lag_s"], rel=table.relative)
    k = hvorslev_conductivity(fit.basic_time_lag_s, radius, length, radius)
    assert k / CM == pytest.approx(table.expected["k_cm_s"], rel=table.relative)
    assert k * length / CM2_PER_S == pytest.approx(table.expected["k_times_length_cm2s"], rel=table.relative)
    found = [
        hvorslev_conductivity(
            basic_time_lag_fit(*dawsonville(), window).basic_time_lag_s, radius, length, radius
        )
        for window in map(tuple, windows.given["window"])
    ]
    in_cm2 = np.array(found) * length / CM2_PER_S
    np.testing.assert_allclose(in_cm2, windows.values("k_times_length_cm2s"), rtol=windows.relative)
    assert not hvorslev_validity(length, radius, fit.ratio_at_start).valid


@pytest.mark.published("hydraulics-6b-butler")
def test_windows_offered_are_those_recommended() -> None:
    table = check("hydraulics-6b-butler").expected
    assert list(HVORSLEV_WINDOW) == table["hvorslev"]
    assert list(BOUWER_RICE_WINDOW) == table["bouwer_rice"]


@settings(deadline=None, max_examples=25)
@given(ln_alpha=st.floats(-16.0, -2.0), ln_t=st.floats(-14.0, -5.0))
def test_a_fit_finds_the_curve_it_was_given(ln_alpha: float, ln_t: float) -> None:
    alpha, t, radius = np.exp(ln_alpha), np.exp(ln_t), 0.0762
    time = radius**2 / t * np.array([0.02, 0.1, 0.3, 0.7, 1.5, 3.0])
    fit = slug_fit(time, slug_head_ratio(time, t, alpha, radius, radius), radius, radius)
    assert fit.transmissivity_m2s == pytest.approx(t, rel=1e-3)
    assert np.log(fit.alpha) == pytest.approx(ln_alpha, abs=0.02)


def test_skin_slows_the_return() -> None:
    assert float(slug_function(1.0, 1e-4, 3.0)) > float(slug_function(1.0, 1e-4))


def test_validity() -> None:
    fit = dawsonville_fit(None)
    assert "flow dimension" in slug_validity(fit, 0.1, dimension=1.4).why
    assert "below one half" in slug_validity(fit, 0.6).why
    time = np.array([1.0, 10.0, 100.0])
    poor = slug_fit(time, [0.9, 0.4, 0.8], 0.076, 0.076, alpha=1e-3)
    assert "misses by" in slug_validity(poor, 0.4).why
    straight = slug_fit(np.array([1.0, 2, 4, 8, 16]), np.exp(-np.array([1.0, 2, 4, 8, 16]) / 8), 0.076, 0.076)
    assert "edge of its range" in slug_validity(straight, 0.1).why


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(RangeError, match="at least three"):
        slug_fit([1.0, 2.0], [0.9, 0.8], 0.076, 0.076)
    with pytest.raises(RangeError, match="alpha"):
        slug_fit([1.0, 2.0, 3.0], [0.9, 0.8, 0.7], 0.076, 0.076, alpha=2.0)
    with pytest.raises(RangeError, match="volume_m3"):
        displaced_head(0.0, 0.076)

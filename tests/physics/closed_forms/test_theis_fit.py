"""Fits of constant-rate tests against the worked examples of the handbooks."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.published.checks import Check, check
from tests.published.factors import DAY, FOOT, FT2_PER_DAY, FT3_PER_DAY, M2_PER_DAY, M3_PER_DAY, MINUTE

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.theis import theis_drawdown
from ledgewell.physics.closed_forms.theis_fit import (
    TheisFit,
    cooper_jacob_fit,
    distance_drawdown_fit,
    theis_fit,
)

KORENDIJK = check("hydraulics-2a-readings")
LOHMAN = check("hydraulics-2b-readings")
TODD = check("hydraulics-2c-readings")


def at_30_m() -> tuple[np.ndarray, np.ndarray, float]:
    """Return times, drawdowns and rate of Oude Korendijk at 30 m."""
    flow = KORENDIJK.given["flow_m3d"] * M3_PER_DAY
    return KORENDIJK.values("time_30m_min") * MINUTE, KORENDIJK.values("drawdown_30m_m"), flow


def lohman(well: int) -> tuple[np.ndarray, float, np.ndarray, float]:
    """Return times, distance, drawdowns and rate of one of Lohman's three wells."""
    feet = LOHMAN.given["radius_ft"][well]
    drawdown = LOHMAN.values(f"drawdown_{feet:.0f}ft_ft") * FOOT
    return LOHMAN.values("time_min") * MINUTE, feet * FOOT, drawdown, LOHMAN.given["flow_ft3d"] * FT3_PER_DAY


@pytest.mark.published("hydraulics-2a-readings")
def test_korendijk_readings_end_at_the_steady_drawdowns_of_thiem() -> None:
    steady = dict(
        zip(
            check("hydraulics-2a-thiem").given["radius_m"],
            check("hydraulics-2a-thiem").given["drawdown_m"],
            strict=True,
        )
    )
    for meters in (30, 90, 215):
        drawdown = KORENDIJK.values(f"drawdown_{meters}m_m")
        assert len(drawdown) == len(KORENDIJK.values(f"time_{meters}m_min"))
        assert drawdown[-1] == pytest.approx(steady[meters], abs=1e-9)


@pytest.mark.published("hydraulics-2a-readings", "hydraulics-2a-least-squares")
def test_korendijk_least_squares_depends_on_the_window() -> None:
    table = check("hydraulics-2a-least-squares")
    times, drawdown, flow = at_30_m()
    fits = [
        theis_fit(times, 30.0, drawdown, flow, (0.0, until * MINUTE)) for until in table.inputs("until_min")
    ]
    found = np.array([fit.transmissivity_m2s for fit in fits]) / M2_PER_DAY
    np.testing.assert_allclose(found, table.values("t_m2d"), rtol=table.relative)
    np.testing.assert_allclose([fit.storativity for fit in fits], table.values("s"), rtol=5e-3)
    assert fits[0].transmissivity_relative_error == pytest.approx(
        table.expected["first_relative_error"], rel=0.06
    )
    np.testing.assert_allclose(
        [fits[0].rms_misfit_m, fits[2].rms_misfit_m], table.values("rms_misfit_m"), rtol=0.06
    )
    assert [fit.window_s[1] / MINUTE for fit in fits] == pytest.approx([18.0, 48.0, 830.0])
    assert 390 < found[2] < 500


@pytest.mark.published("hydraulics-2a-cooper-jacob", "hydraulics-2a-cooper-jacob-late")
def test_korendijk_semilog_lines() -> None:
    table = check("hydraulics-2a-cooper-jacob")
    times, drawdown, flow = at_30_m()
    first, last = table.inputs("window_min") * MINUTE
    fit = cooper_jacob_fit(times, 30.0, drawdown, flow, (first, last))
    found = fit.transmissivity_m2s / M2_PER_DAY
    assert found == pytest.approx(table.expected["printed_t_m2d"], rel=0.03)
    assert fit.storativity == pytest.approx(table.expected["printed_s"], rel=0.05)
    assert fit.line.slope == pytest.approx(table.expected["recomputed_slope_m"], rel=5e-4)
    assert found == pytest.approx(table.expected["recomputed_t_m2d"], rel=5e-4)
    assert fit.storativity == pytest.approx(table.expected["recomputed_s"], rel=1e-3)
    late = check("hydraulics-2a-cooper-jacob-late")
    fit = cooper_jacob_fit(times, 30.0, drawdown, flow, (10.5 * MINUTE, 1000 * MINUTE))
    assert fit.transmissivity_m2s / M2_PER_DAY == pytest.approx(late.expected["t_m2d"], rel=late.relative)
    assert fit.storativity == pytest.approx(late.expected["s"], rel=5e-3)


def every_lohman_reading() -> TheisFit:
    """Return the fit of all three of Lohman's wells at once."""
    wells = [lohman(well) for well in range(3)]
    times = np.concatenate([well[0] for well in wells])
    radius = np.concatenate([np.full(well[0].shape, well[1]) for well in wells])
    return theis_fit(times, radius, np.concatenate([well[2] for well in wells]), wells[0][3])


@pytest.mark.published("hydraulics-2b-least-squares")
def test_lohman_least_squares() -> None:
    table = check("hydraulics-2b-least-squares")
    for well, (t, s) in enumerate(zip(table.values("t_ft2d"), table.values("s"), strict=True)):
        times, radius, drawdown, flow = lohman(well)
        fit = theis_fit(times, radius, drawdown, flow)
        assert fit.transmissivity_m2s / FT2_PER_DAY == pytest.approx(t, abs=table.absolute)
        assert fit.storativity == pytest.approx(s, abs=5e-7)
    whole = every_lohman_reading()
    assert whole.transmissivity_m2s / FT2_PER_DAY == pytest.approx(
        table.expected["all_t_ft2d"], abs=table.absolute
    )
    assert whole.storativity == pytest.approx(table.expected["all_s"], abs=5e-7)
    assert whole.transmissivity_relative_error == pytest.approx(
        table.expected["all_relative_error"], rel=0.05
    )
    assert whole.rms_misfit_m / FOOT == pytest.approx(table.expected["all_rms_misfit_ft"], rel=0.01)
    assert whole.count == table.expected["count"]
    printed = check("hydraulics-2b-match-point").expected["printed_t_ft2d"]
    assert whole.transmissivity_m2s / FT2_PER_DAY == pytest.approx(printed, rel=0.03)


@pytest.mark.published("hydraulics-2b-readings")
def test_lohman_readings_lie_on_one_curve() -> None:
    whole = every_lohman_reading()
    for well in range(3):
        times, radius, drawdown, flow = lohman(well)
        curve = theis_drawdown(times, radius, flow, whole.transmissivity_m2s, whole.storativity)
        disputed = np.full(times.shape, well == 1) & (times == 14 * MINUTE)
        misfit = np.abs(curve - drawdown) / FOOT
        assert np.max(misfit[~disputed]) < 0.03
        assert np.count_nonzero(disputed) == (1 if well == 1 else 0)


@pytest.mark.published("hydraulics-2b-cooper-jacob", "hydraulics-2b-distance-drawdown")
def test_lohman_straight_lines() -> None:
    table = check("hydraulics-2b-cooper-jacob")
    times, radius, drawdown, flow = lohman(0)
    fit = cooper_jacob_fit(times, radius, drawdown, flow, (table.given["from_min"] * MINUTE, np.inf))
    assert fit.line.slope / FOOT == pytest.approx(table.expected["slope_ft"], rel=table.relative)
    assert fit.transmissivity_m2s / FT2_PER_DAY == pytest.approx(table.expected["t_ft2d"], rel=table.relative)
    assert fit.storativity == pytest.approx(table.expected["s"], rel=5e-3)
    table = check("hydraulics-2b-distance-drawdown")
    time = table.given["time_min"] * MINUTE
    last = [float(lohman(well)[2][-1]) for well in range(3)]
    across = distance_drawdown_fit([lohman(well)[1] for well in range(3)], last, time, flow)
    assert -across.line.slope / FOOT == pytest.approx(table.expected["slope_ft"], rel=table.relative)
    assert across.transmissivity_m2s / FT2_PER_DAY == pytest.approx(
        table.expected["t_ft2d"], rel=table.relative
    )
    assert across.storativity == pytest.approx(table.expected["s"], rel=5e-3)


@pytest.mark.published("hydraulics-2c-readings")
def test_todd_readings_are_those_of_lohman_in_meters() -> None:
    in_meters = LOHMAN.values("drawdown_200ft_ft") * FOOT
    np.testing.assert_array_equal(TODD.values("time_min"), LOHMAN.values("time_min"))
    off = np.abs(in_meters - TODD.values("drawdown_m")) > 0.00501
    assert TODD.values("time_min")[off].tolist() == [60.0]
    fit = todd_fit()
    flow = TODD.given["flow_m3d"] * M3_PER_DAY
    times, radius = TODD.values("time_min") * MINUTE, TODD.given["radius_m"]
    curve = theis_drawdown(times, radius, flow, fit.transmissivity_m2s, fit.storativity)
    assert np.max(np.abs(curve - TODD.values("drawdown_m"))[~off]) < 0.011


def todd_fit() -> TheisFit:
    """Return the least-squares curve through Todd's readings."""
    flow = TODD.given["flow_m3d"] * M3_PER_DAY
    return theis_fit(
        TODD.values("time_min") * MINUTE, TODD.given["radius_m"], TODD.values("drawdown_m"), flow
    )


@pytest.mark.published("hydraulics-2c-least-squares", "hydraulics-2c-cooper-jacob-fit")
def test_todd_fits() -> None:
    table, fit = check("hydraulics-2c-least-squares"), todd_fit()
    assert fit.transmissivity_m2s / M2_PER_DAY == pytest.approx(table.expected["t_m2d"], rel=table.relative)
    assert fit.storativity == pytest.approx(table.expected["s"], rel=1e-3)
    assert fit.transmissivity_relative_error == pytest.approx(table.expected["relative_error"], rel=0.1)
    assert fit.rms_misfit_m == pytest.approx(table.expected["rms_misfit_m"], rel=0.01)
    table = check("hydraulics-2c-cooper-jacob-fit")
    window = (table.given["from_min"] * MINUTE, np.inf)
    line = cooper_jacob_fit(
        TODD.values("time_min") * MINUTE,
        TODD.given["radius_m"],
        TODD.values("drawdown_m"),
        TODD.given["flow_m3d"] * M3_PER_DAY,
        window,
    )
    assert line.line.slope == pytest.approx(table.expected["slope_m"], rel=table.relative)
    assert line.transmissivity_m2s / M2_PER_DAY == pytest.approx(table.expected["t_m2d"], rel=table.relative)
    assert line.storativity == pytest.approx(table.expected["s"], rel=5e-3)


def one_line(slope: float, crossing: float) -> tuple[list[float], list[float]]:
    """Return two readings on the line of a slope per tenfold of time that crosses zero at a time."""
    return [10 * crossing, 100 * crossing], [slope, 2 * slope]


def line_answers(table: Check, flow: float, radius: float, unit: float, length: float) -> tuple[float, float]:
    """Return T in a unit and S from a printed slope and crossing."""
    slope = table.given["slope_m" if length == 1 else "slope_ft"] * length
    fit = cooper_jacob_fit(*_swap(one_line(slope, table.given["crossing_min"] * MINUTE), radius), flow)
    return fit.transmissivity_m2s / unit, fit.storativity


def _swap(line: tuple[list[float], list[float]], radius: float) -> tuple[list[float], float, list[float]]:
    return line[0], radius, line[1]


@pytest.mark.published("hydraulics-2c-cooper-jacob")
def test_todd_semilog_answer_from_printed_slope_and_crossing() -> None:
    table = check("hydraulics-2c-cooper-jacob")
    flow = TODD.given["flow_m3d"] * M3_PER_DAY
    t, s = line_answers(table, flow, TODD.given["radius_m"], M2_PER_DAY, 1.0)
    for name in ("printed", "recomputed"):
        assert t == pytest.approx(table.expected[f"{name}_t_m2d"], rel=table.relative)
        assert s == pytest.approx(table.expected[f"{name}_s"], rel=table.relative)


@pytest.mark.published("hydraulics-2b-driscoll")
def test_driscoll_semilog_answer_from_printed_slope_and_crossing() -> None:
    from tests.published.factors import GPD_PER_FOOT, GPM

    table = check("hydraulics-2b-driscoll")
    flow, radius = table.given["flow_gpm"] * GPM, table.given["radius_ft"] * FOOT
    t, s = line_answers(table, flow, radius, GPD_PER_FOOT, FOOT)
    assert t == pytest.approx(table.expected["printed_t_gpdft"], rel=table.relative)
    assert s == pytest.approx(table.expected["printed_s"], rel=0.05)
    assert t == pytest.approx(table.expected["recomputed_t_gpdft"], rel=6e-4)
    assert t * GPD_PER_FOOT / FT2_PER_DAY == pytest.approx(table.expected["recomputed_t_ft2d"], rel=6e-4)


@settings(max_examples=30, deadline=None)
@given(
    ln_t=st.floats(-16.0, -4.0),
    ln_s=st.floats(-12.0, -3.0),
    radius=st.floats(1.0, 100.0),
    flow=st.floats(1e-5, 0.1),
)
def test_a_fit_finds_the_curve_it_was_given(ln_t: float, ln_s: float, radius: float, flow: float) -> None:
    t, s = np.exp(ln_t), np.exp(ln_s)
    times = radius**2 * s / (4 * t) / np.array([2.0, 0.7, 0.2, 0.05, 0.01])
    fit = theis_fit(times, radius, theis_drawdown(times, radius, flow, t, s), flow)
    assert fit.transmissivity_m2s == pytest.approx(t, rel=1e-5)
    assert fit.storativity == pytest.approx(s, rel=1e-5)


def test_too_few_readings_are_refused() -> None:
    with pytest.raises(RangeError, match="at least three"):
        theis_fit([60.0, 120.0, 180.0], 10.0, [0.1, 0.2, 0.3], 0.01, (0.0, 150.0))
    with pytest.raises(RangeError, match="at least two"):
        cooper_jacob_fit([60.0, 120.0], 10.0, [0.1, 0.2], 0.01, (100.0, 200.0))


def test_levels_that_move_the_wrong_way_are_refused() -> None:
    with pytest.raises(RangeError, match="grows with time"):
        cooper_jacob_fit([60.0, 120.0], 10.0, [0.2, 0.1], 0.01)
    with pytest.raises(RangeError, match="falls with distance"):
        distance_drawdown_fit([10.0, 20.0], [0.1, 0.2], DAY, 0.01)
    with pytest.raises(RangeError, match="must fall"):
        theis_fit([60.0, 120.0, 180.0], 10.0, [-0.1, -0.2, -0.3], 0.01)
    with pytest.raises(RangeError, match="as many values"):
        theis_fit([60.0, 120.0, 180.0], 10.0, [0.1, 0.2], 0.01)

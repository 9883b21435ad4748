"""What the closed forms refuse, and the judgments they share."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms import Validity
from ledgewell.physics.closed_forms.arguments import (
    finite,
    not_negative,
    paired,
    positive,
    rising,
    within,
)
from ledgewell.physics.closed_forms.curve_fit import curve_through
from ledgewell.physics.closed_forms.straight_line import line_through, semilog_line
from ledgewell.physics.closed_forms.validity import all_of, judged, radial


@pytest.mark.parametrize(
    ("check", "bad"),
    [
        (positive, 0.0),
        (positive, float("inf")),
        (not_negative, -1e-9),
        (not_negative, float("nan")),
        (finite, float("-inf")),
    ],
)
def test_the_first_bad_value_is_named(check: Callable[..., object], bad: float) -> None:
    with pytest.raises(RangeError) as caught:
        check("flow_m3s", [1.0, bad, -5.0, float("nan")])
    assert caught.value.name == "flow_m3s"
    assert caught.value.given == bad or np.isnan(bad)


def test_bounds_are_included() -> None:
    assert within("n", [1.0, 3.0], 1.0, 3.0).tolist() == [1.0, 3.0]
    with pytest.raises(RangeError, match="from 1 to 3"):
        within("n", [2.0, float("nan")], 1.0, 3.0)


def test_rows_must_rise_and_match() -> None:
    with pytest.raises(RangeError, match="one dimension"):
        rising("time_s", [[1.0, 2.0]])
    with pytest.raises(RangeError, match="larger"):
        rising("time_s", [1.0, 1.0])
    with pytest.raises(RangeError, match="as many values as the 2"):
        paired("level_m", [1.0], rising("time_s", [1.0, 2.0]))


def test_a_joint_judgment_gives_the_reasons_that_decide() -> None:
    good, bad = judged(True, "a holds", "-"), judged(False, "-", "b fails")
    assert all_of(good, bad, judged(False, "-", "c fails")) == Validity(False, "b fails; c fails")
    assert all_of(good, good) == Validity(True, "a holds; a holds")


def test_radial_within_its_tolerance() -> None:
    assert radial(2.019).valid
    assert not radial(2.021).valid


def test_a_line_against_numpy() -> None:
    x, y = np.array([1.0, 2.0, 4.0, 7.0]), np.array([1.1, 1.9, 4.2, 6.9])
    line = line_through(x, y)
    coefficients, covariance = np.polyfit(x, y, 1, cov="unscaled")
    residual = y - np.polyval(coefficients, x)
    assert (line.slope, line.intercept) == pytest.approx(tuple(coefficients))
    assert line.slope_error == pytest.approx(np.sqrt(covariance[0, 0] * np.sum(residual**2) / 2))
    assert line.rms_misfit == pytest.approx(np.sqrt(np.mean(residual**2)))
    assert line.at(3.0) == pytest.approx(np.polyval(coefficients, 3.0))
    assert line.window == (1.0, 7.0)


def test_a_line_through_two_readings_has_no_error_to_speak_of() -> None:
    assert line_through([1.0, 2.0], [1.0, 3.0]).slope_error == float("inf")


def test_a_semilog_line_refuses_times_that_are_not_positive() -> None:
    with pytest.raises(RangeError, match="x is 0"):
        semilog_line([0.0, 1.0], [0.0, 1.0])


def test_errors_of_a_straight_problem_are_the_textbook_ones() -> None:
    x, y = np.array([1.0, 2.0, 4.0, 7.0]), np.array([1.1, 1.9, 4.2, 6.9])
    fit = curve_through(lambda unknown: unknown[0] + unknown[1] * x - y, [[0.0, 0.0]])
    line = line_through(x, y)
    assert fit.values[1] == pytest.approx(line.slope, rel=1e-6)
    assert fit.errors[1] == pytest.approx(line.slope_error, rel=1e-5)
    assert fit.sum_of_squares == pytest.approx(4 * line.rms_misfit**2, rel=1e-9)


def test_the_best_of_several_starts_is_kept() -> None:
    fit = curve_through(
        lambda unknown: np.array([np.cos(unknown[0]) + 0.1 * unknown[0], 0.0]), [[6.0], [3.0]]
    )
    assert fit.values[0] != pytest.approx(6.0, abs=1.0)
    assert fit.sum_of_squares == pytest.approx(0.0, abs=1e-12)


def test_as_many_unknowns_as_readings_leave_no_error() -> None:
    fit = curve_through(lambda unknown: unknown - np.array([2.0]), [[0.0]])
    assert fit.errors[0] == float("inf")

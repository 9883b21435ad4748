"""Generalized radial flow against mpmath, the limits written out by hand, and the laws it must obey."""

from __future__ import annotations

from collections.abc import Callable
from math import gamma, pi

import mpmath
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import erfcx
from tests.published.checks import check

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.radial_flow import (
    Rock,
    face_resistance,
    held_level_inflow,
    log_derivative,
    radial_flow_validity,
    rock_inflow,
    step_response,
)

DIMENSIONS = st.floats(1.0, 3.0)


def unit_rock(dimension: float, skin: float = 0.0) -> Rock:
    """Return a rock with R = 1 and tc = 1."""
    return Rock(resistance_sm2=1.0, time_constant_s=1.0, dimension=dimension, skin=skin)


@pytest.mark.published("physics-2-step")
def test_step_response_agrees_with_mpmath() -> None:
    table = check("physics-2-step")
    for dimension, row in zip(table.inputs("dimension"), table.values("response"), strict=True):
        ours = step_response(table.inputs("time_over_tc"), unit_rock(dimension))
        np.testing.assert_allclose(ours, row, rtol=table.relative)


@pytest.mark.published("physics-2-stored")
def test_stored_water_and_skin_agree_with_mpmath() -> None:
    table = check("physics-2-stored")
    given_rows = (table.inputs(name) for name in ("dimension", "area_times_r_over_tc", "skin"))
    for dimension, area, skin, row in zip(*given_rows, table.values("response"), strict=True):
        ours = step_response(table.inputs("time_over_tc"), unit_rock(dimension, skin), area)
        np.testing.assert_allclose(ours, row, rtol=table.relative)


@pytest.mark.published("physics-2-held")
def test_inflow_at_a_held_level_agrees_with_mpmath() -> None:
    table = check("physics-2-held")
    for dimension, row in zip(table.inputs("dimension"), table.values("inflow"), strict=True):
        ours = held_level_inflow(table.inputs("time_over_tc"), unit_rock(dimension))
        np.testing.assert_allclose(ours, row, rtol=table.relative)


@pytest.mark.published("physics-2-jacob-lohman")
def test_inflow_at_a_held_level_as_printed() -> None:
    table = check("physics-2-jacob-lohman")
    ours = held_level_inflow(table.inputs("time_over_tc"), unit_rock(2.0))
    np.testing.assert_allclose(ours, table.values("inflow"), rtol=table.relative)


@pytest.mark.parametrize("dimension", ["1", "1.37", "2", "2.41", "3"])
def test_any_dimension_agrees_with_thirty_digits(dimension: str) -> None:
    """Invert afresh with mpmath at dimensions that stand in no table."""
    order = 1 - mpmath.mpf(dimension) / 2

    def exact_transform(skin: float, area: float) -> Callable[[mpmath.mpc], mpmath.mpc]:
        def transform(p: mpmath.mpc) -> mpmath.mpc:
            root = mpmath.sqrt(p)
            face = mpmath.besselk(order, root) / (root * mpmath.besselk(order - 1, root)) + skin
            return face / (p * (1 + area * p * face))

        return transform

    for skin, area, time in ((0.0, 0.0, 3.0), (1.5, 40.0, 300.0)):
        with mpmath.workdps(30):
            transform = exact_transform(skin, area)
            exact = float(mpmath.invertlaplace(transform, mpmath.mpf(time), method="talbot", degree=28))
        ours = float(step_response(time, unit_rock(float(dimension), skin), area))
        assert ours == pytest.approx(exact, rel=1e-11)


@pytest.mark.published("physics-2-limits")
def test_limits_written_out_by_hand() -> None:
    time = 10.0 ** np.arange(-2, 10)
    np.testing.assert_allclose(step_response(time, unit_rock(1.0)), 2 * np.sqrt(time / pi), rtol=1e-11)
    np.testing.assert_allclose(step_response(time, unit_rock(3.0)), 1 - erfcx(np.sqrt(time)), rtol=1e-11)
    table = check("physics-2-limits")
    for dimension, last in zip(table.inputs("dimension"), table.values("last"), strict=True):
        power, late = dimension / 2 - 1, 1e8
        missing = (4 * late) ** -power / (2 * power * gamma(1 + power))
        assert last - float(step_response(late, unit_rock(dimension))) == pytest.approx(missing, rel=1e-2)


@settings(deadline=None, max_examples=40)
@given(
    dimension=DIMENSIONS,
    skin=st.floats(0.0, 10.0),
    ln_area=st.floats(-3.0, 12.0),
    ln_time=st.floats(-4.0, 18.0),
)
def test_water_pumped_is_rock_inflow_plus_what_left_the_hole(
    dimension: float, skin: float, ln_area: float, ln_time: float
) -> None:
    rock, area, time = unit_rock(dimension, skin), np.exp(ln_area), np.exp(ln_time)
    from_hole = area * log_derivative(time, rock, area) / time
    assert float(rock_inflow(time, rock, area) + from_hole) == pytest.approx(1.0, abs=1e-10)


@settings(deadline=None, max_examples=40)
@given(dimension=DIMENSIONS, skin=st.floats(0.0, 10.0), ln_area=st.floats(-3.0, 12.0))
def test_drawdown_grows_and_never_passes_the_emptying_hole(
    dimension: float, skin: float, ln_area: float
) -> None:
    time, area = np.exp(np.linspace(-4.0, 18.0, 45)), np.exp(ln_area)
    drawdown = step_response(time, unit_rock(dimension, skin), area)
    assert np.all(np.diff(drawdown) > -1e-11 * drawdown[1:])
    assert np.all(drawdown <= time / area * (1 + 1e-10))
    assert np.all(drawdown <= step_response(time, unit_rock(dimension, skin)) * (1 + 1e-10))


@given(
    dimension=DIMENSIONS, resistance=st.floats(1.0, 1e7), tc=st.floats(1e-6, 1e6), scaled=st.floats(0.1, 1e6)
)
def test_resistance_and_time_constant_only_scale(
    dimension: float, resistance: float, tc: float, scaled: float
) -> None:
    rock = Rock(resistance_sm2=resistance, time_constant_s=tc, dimension=dimension)
    expected = resistance * float(step_response(scaled, unit_rock(dimension)))
    assert float(step_response(scaled * tc, rock)) == pytest.approx(expected, rel=1e-10)


def test_held_inflow_and_constant_rate_meet_late_where_flow_settles() -> None:
    rock = unit_rock(3.0, skin=2.0)
    assert float(held_level_inflow(1e12, rock) * step_response(1e12, rock)) == pytest.approx(1.0, rel=1e-5)


def test_resistance_of_channel_sheet_and_sphere() -> None:
    assert face_resistance(1e-5, 3.0, 0.1, 1.0) == pytest.approx(0.1 / (1e-5 * 9 * 2))
    assert face_resistance(1e-5, 3.0, 0.1, 2.0) == pytest.approx(1 / (2 * pi * 3e-5))
    assert face_resistance(1e-5, 3.0, 0.1, 3.0) == pytest.approx(1 / (1e-5 * 4 * pi * 0.1))


def test_rocks_and_times_broadcast() -> None:
    rock = Rock(resistance_sm2=[1.0, 2.0, 3.0], time_constant_s=1.0, dimension=[1.5, 2.0, 2.5])
    both = step_response([[1.0], [10.0]], rock, 5.0)
    assert both.shape == (2, 3)
    single = step_response(10.0, Rock(resistance_sm2=3.0, time_constant_s=1.0, dimension=2.5), 5.0)
    assert both[1, 2] == pytest.approx(float(single), rel=1e-12)


def test_validity() -> None:
    assert radial_flow_validity(1.2, 0.0, 0.0762, 0.0762).valid
    assert "must be from 1 to 3" in radial_flow_validity(3.2, 0.0, 0.0762, 0.0762).why
    assert "stimulation" in radial_flow_validity(2.0, -1.0, 0.0762, 0.0762).why
    assert "only one" in radial_flow_validity(2.0, 0.0, 0.0794, 0.0762).why


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("resistance_sm2", 0.0),
        ("time_constant_s", -1.0),
        ("dimension", 0.9),
        ("dimension", 3.1),
        ("skin", -0.1),
    ],
)
def test_a_rock_out_of_range_is_refused(name: str, value: float) -> None:
    fields = {"resistance_sm2": 1.0, "time_constant_s": 1.0, name: value}
    with pytest.raises(RangeError, match=name):
        Rock(**fields)


def test_a_negative_area_is_refused() -> None:
    with pytest.raises(RangeError, match="area_m2"):
        step_response(1.0, unit_rock(2.0), -1.0)

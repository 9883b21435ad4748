"""Stored water by depth: the rows, and that they add up for any hole."""

from __future__ import annotations

from math import exp, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledgewell.physics.hole import HoleShape
from ledgewell.steps.hole.stored import row_depths_m, stored_estimate, stored_rows

FT, GALLON = 0.3048, 231 * 0.0254**3
SIX_INCH_M2 = pi / 4 * 0.1524**2


def test_rows_of_a_six_inch_hole() -> None:
    """MIL-HDBK-1164, table 1: 1.469 gal/ft, so 100 ft of drawdown takes 146.9 gal."""
    rows = stored_rows(HoleShape((0.0, 400 * FT), (SIX_INCH_M2,)), 100 * FT, "us")
    assert [round(row.depth.si / FT, 6) for row in rows] == [100, 150, 200, 250, 300, 350, 400]
    assert [row.above.si / GALLON for row in rows[::2]] == pytest.approx([0, 146.9, 293.8, 440.7], abs=0.1)
    assert [row.below.si / GALLON for row in rows[::2]] == pytest.approx([440.7, 293.8, 146.9, 0], abs=0.1)


def test_rows_stand_where_the_width_changes() -> None:
    shape = HoleShape((0.0, 12.3, 60.0), (0.02, 0.018))
    depths = row_depths_m(shape, 11.7, "si")
    assert depths[:3] == (11.7, 12.3, 15.0)
    assert depths[-1] == 60.0


def test_a_level_at_the_bottom_or_below_has_no_rows() -> None:
    shape = HoleShape((0.0, 60.0), (0.02,))
    assert row_depths_m(shape, 60.0, "si") == row_depths_m(shape, 70.0, "si") == ()


@given(
    level_m=st.floats(-5.0, 400.0),
    lengths=st.lists(st.floats(0.1, 1e6), min_size=1, max_size=4),
    system=st.sampled_from(["us", "si"]),
)
def test_above_and_below_always_add_up(level_m: float, lengths: list[float], system: str) -> None:
    bounds = [0.0]
    for length in lengths:
        bounds.append(bounds[-1] + length)
    shape = HoleShape(tuple(bounds), tuple(0.01 + 0.001 * i for i in range(len(lengths))))
    rows = stored_rows(shape, level_m, "us" if system == "us" else "si")
    total = shape.volume_between(level_m, shape.bottom_m)
    for row in rows:
        assert row.above.si + row.below.si == pytest.approx(total, rel=1e-9)
    depths = [row.depth.si for row in rows]
    assert depths == sorted(depths)
    assert len(rows) <= 10 + len(bounds) + 1
    if rows:
        assert (depths[0], depths[-1]) == (level_m, shape.bottom_m)


def test_the_band_is_that_of_the_holes_true_area() -> None:
    """3 % as one standard deviation (common practice, no source); 1.6449 holds 90 % of a normal law."""
    band = stored_estimate(2.0)
    assert band.high / band.mid == pytest.approx(exp(1.6449 * 0.03), rel=1e-5)
    assert band.mid / band.low == pytest.approx(exp(1.6449 * 0.03), rel=1e-5)
    assert (band.mid, band.probability) == (2.0, 0.9)

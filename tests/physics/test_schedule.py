"""Steps laid over spans: they fill them, double in length, share classes, and are refused when they cannot be."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledgewell.errors import RangeError
from ledgewell.physics.schedule import Span, steps_for

LENGTHS = st.lists(st.floats(1.0, 1e7), min_size=1, max_size=8)


@given(LENGTHS, st.floats(0.01, 1e3), st.integers(1, 12), st.booleans())
def test_steps_fill_the_spans(lengths: list[float], first_s: float, per_doubling: int, shared: bool) -> None:
    steps = steps_for([Span(seconds=length) for length in lengths], first_s, per_doubling, shared=shared)
    seconds = steps.class_s[steps.step_class]
    for place, length in enumerate(lengths):
        of_span = seconds[steps.step_span == place]
        assert of_span.sum() == pytest.approx(length, rel=1e-12)
        assert of_span[0] <= max(first_s, length / per_doubling) * (1 + 1e-12)
        ratios = of_span[1:] / of_span[:-1]
        np.testing.assert_allclose(ratios[np.arange(1, len(of_span)) % per_doubling != 0], 1.0, rtol=1e-12)
        np.testing.assert_allclose(ratios[per_doubling - 1 :: per_doubling], 2.0, rtol=1e-12)
    assert steps.longest_s == pytest.approx(sum(lengths), rel=1e-9)
    assert steps.shortest_s == seconds.min()
    assert steps.count == len(seconds) == len(steps.time_s) - 1
    assert np.all(np.diff(steps.time_s) > 0)
    assert np.all(np.diff(steps.step_span) >= 0)


@given(LENGTHS, st.floats(0.01, 1e3), st.integers(2, 12))
def test_the_first_step_is_no_longer_than_wanted(lengths: list[float], first_s: float, per: int) -> None:
    steps = steps_for([Span(seconds=length) for length in lengths], first_s, per)
    for place, length in enumerate(lengths):
        if length > first_s * per:
            assert steps.class_s[steps.step_class[steps.step_span == place][0]] <= first_s * (1 + 1e-12)


def test_like_spans_share_their_classes_when_asked() -> None:
    """Thirty like days: the exponentials of one day, and the same steps either way."""
    days = [span for _ in range(30) for span in (Span(seconds=7200.0, rate_m3s=1e-4), Span(seconds=79200.0))]
    apart, together = steps_for(days, 60.0, 3), steps_for(days, 60.0, 3, shared=True)
    assert len(apart.class_s) == 30 * len(together.class_s)
    np.testing.assert_allclose(apart.time_s, together.time_s, rtol=1e-13)
    np.testing.assert_array_equal(apart.step_span, together.step_span)


def test_cutting_every_step_in_two_doubles_their_number() -> None:
    span = [Span(seconds=3600.0)]
    for per_doubling in (1, 2, 5):
        coarse, fine = steps_for(span, 8.0, per_doubling), steps_for(span, 4.0, 2 * per_doubling)
        assert fine.count == 2 * coarse.count
        np.testing.assert_allclose(fine.time_s[::2], coarse.time_s, rtol=1e-12)


@pytest.mark.parametrize("seconds", [0.0, -1.0, float("nan")])
def test_a_span_without_length_is_refused(seconds: float) -> None:
    with pytest.raises(RangeError, match="positive length of time"):
        steps_for([Span(seconds=60.0), Span(seconds=seconds)], 1.0)


@pytest.mark.parametrize(("first_s", "per_doubling"), [(0.0, 6), (-1.0, 6), (1.0, 0)])
def test_steps_without_length_or_number_are_refused(first_s: float, per_doubling: int) -> None:
    with pytest.raises(RangeError, match="first_s"):
        steps_for([Span(seconds=60.0)], first_s, per_doubling)


def test_a_schedule_of_nothing_is_refused() -> None:
    with pytest.raises(RangeError, match="at least one stretch of time"):
        steps_for([], 1.0)

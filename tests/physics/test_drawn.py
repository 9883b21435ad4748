"""The largest draw a well can bear, against a root found by SciPy over single marches."""

from __future__ import annotations

from math import log

import numpy as np
import pytest
from scipy.optimize import brentq
from tests.physics.model_wells import GPM, plain_well

from ledgewell.physics.drawn import largest_draws
from ledgewell.physics.hole import HoleShape
from ledgewell.physics.model_well import Fracture, ModelWell
from ledgewell.physics.rock import store_tables
from ledgewell.physics.schedule import Span, Steps, steps_for
from ledgewell.physics.simulate import simulate_steps

STEPPED = HoleShape((0.0, 40.0, 120.0), (0.03, 0.018))
TWO = (Fracture(depth_m=30.0, head_m=10.0, share=0.6), Fracture(depth_m=75.0, head_m=10.0, share=0.4))
WELLS = [
    plain_well(1e-6, 1e-3, fractures=TWO, shape=STEPPED, skin=1.0),
    plain_well(3e-7, 1e-1, fractures=TWO, shape=STEPPED, dimension=1.5),
    plain_well(2e-5, 1e-4, fractures=TWO, shape=STEPPED, dimension=2.5, loss_s2_m5=1e7),
]
HOUR = [Span(seconds=3600.0, rate_m3s=1.0)]
DAYS = [
    Span(seconds=s, rate_m3s=q) for _ in range(4) for s, q in ((7200.0, 1.0), (21600.0, 0.0), (57600.0, 0.3))
]
TOLERANCE = 1e-5


def drawn(
    wells: list[ModelWell],
    steps: Steps,
    level_m: float,
    lowest: bool,
    high_m3s: float = 10 * GPM,
    low_m3s: float = 0.0,
    area_factor: float = 1.0,
) -> np.ndarray:
    """Return the largest factor of the relative rates for many wells of one hole."""
    count = len(wells)
    found = np.empty(count)
    largest_draws(
        store_tables(),
        np.array([well.rock.dimension for well in wells]),
        np.array([log(well.rock.time_constant_s) for well in wells]),
        np.array([well.rock.resistance_s_m2 for well in wells]),
        np.array([well.rock.skin for well in wells]),
        np.array([well.rock.loss_s2_m5 for well in wells]),
        np.array([[fracture.share for fracture in well.fractures] for well in wells]),
        np.array([[fracture.depth_m for fracture in well.fractures] for well in wells]),
        np.array([[fracture.head_m for fracture in well.fractures] for well in wells]),
        np.array([well.start_level_m for well in wells]),
        np.full(count, area_factor),
        np.array(wells[0].shape.bounds_m),
        np.array(wells[0].shape.areas_m2),
        level_m,
        lowest,
        np.array([span.rate_m3s for span in steps.spans]),
        np.array([span.seconds for span in steps.spans]),
        steps.step_span,
        steps.step_class,
        steps.class_s,
        np.full(count, low_m3s),
        np.full(count, high_m3s),
        TOLERANCE,
        found,
    )
    return found


def sought(well: ModelWell, steps: Steps, level_m: float, lowest: bool) -> float:
    """Find the same draw by Brent's method, a simulation at a time, the pump set so deep that it never breaks suction."""
    tall = ModelWell(
        shape=HoleShape((0.0, 40.0, 1e6), (0.03, 0.018)), fractures=well.fractures, rock=well.rock
    )

    def past(draw: float) -> float:
        spans = tuple(Span(seconds=span.seconds, rate_m3s=span.rate_m3s * draw) for span in steps.spans)
        laid = Steps(spans, steps.step_span, steps.step_class, steps.class_s, steps.time_s)
        levels = simulate_steps(tall, laid).level_m
        return float(levels.max() if lowest else levels[-1]) - level_m

    return float(brentq(past, 1e-9, 1e-2, xtol=1e-15, rtol=1e-12))


@pytest.mark.parametrize("lowest", [False, True])
@pytest.mark.parametrize("level_m", [25.0, 60.0, 100.0])
@pytest.mark.parametrize("spans", [HOUR, DAYS], ids=["an hour", "days"])
def test_the_largest_draw_is_the_root(spans: list[Span], level_m: float, lowest: bool) -> None:
    steps = steps_for(spans, 60.0, 4)
    exact = [sought(well, steps, level_m, lowest) for well in WELLS]
    np.testing.assert_allclose(drawn(WELLS, steps, level_m, lowest), exact, rtol=20 * TOLERANCE)


def test_guesses_that_are_wrong_do_not_matter() -> None:
    """Too low a highest draw is widened, too high a lowest one let go."""
    steps = steps_for(HOUR, 60.0, 4)
    right = drawn(WELLS, steps, 60.0, False)
    np.testing.assert_allclose(
        drawn(WELLS, steps, 60.0, False, high_m3s=0.01 * GPM), right, rtol=20 * TOLERANCE
    )
    np.testing.assert_allclose(
        drawn(WELLS, steps, 60.0, False, low_m3s=50 * GPM, high_m3s=90 * GPM), right, rtol=20 * TOLERANCE
    )
    np.testing.assert_allclose(
        drawn(WELLS, steps, 60.0, False, low_m3s=0.01 * GPM, high_m3s=90 * GPM), right, rtol=20 * TOLERANCE
    )


def test_a_well_at_rest_below_the_level_can_bear_nothing() -> None:
    assert np.all(drawn(WELLS, steps_for(HOUR, 60.0, 4), 10.0, False) == 0.0)


def test_a_wider_hole_in_rock_that_gives_nothing_bears_as_much_more() -> None:
    """By hand: 30 m of 0.03 m² and 20 m of 0.018 m² in an hour, times the area factor."""
    dead = [plain_well(1e-13, 1e-6, fractures=TWO, shape=STEPPED)]
    steps = steps_for(HOUR, 60.0, 4)
    for factor in (0.9, 1.0, 1.2):
        expected = factor * (30.0 * 0.03 + 20.0 * 0.018) / 3600.0
        assert drawn(dead, steps, 60.0, False, area_factor=factor)[0] == pytest.approx(expected, rel=1e-4)

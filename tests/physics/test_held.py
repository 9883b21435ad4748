"""Inflow at a held level, for many wells at once: against inversion, the printed table and the march of one well."""

from __future__ import annotations

from math import log, pi

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.published.checks import check

from ledgewell.physics.closed_forms import radial_flow
from ledgewell.physics.held import held_inflows
from ledgewell.physics.hole import HoleShape
from ledgewell.physics.model_well import Fracture, ModelWell, RockAtFace
from ledgewell.physics.rock import store_tables
from ledgewell.physics.schedule import Span, steps_for
from ledgewell.physics.simulate import simulate

Floats = NDArray[np.float64]
DURATIONS_S = np.array([3600.0, 14400.0, 36000.0, 86400.0, 30 * 86400.0, 180 * 86400.0])
REST_S = 100 * 86400.0


def held(
    rocks: list[RockAtFace],
    levels_m: Floats,
    times_s: Floats,
    *,
    depths_m: tuple[float, ...] = (1e6,),
    shares: tuple[float, ...] = (1.0,),
    heads_m: tuple[float, ...] = (0.0,),
    first_s: float = 60.0,
    per_doubling: int = 5,
    rest_s: float = 0.0,
    rest_level_m: float = 0.0,
) -> Floats:
    """Hold every rock at every level, with the steps that prove lays when nothing else is said."""
    spans = [Span(seconds=float(times_s[-1]), level_m=(0.0, 0.0))]
    if rest_s:
        spans.insert(0, Span(seconds=rest_s))
    steps = steps_for(spans, first_s, per_doubling)
    wells = len(rocks)
    inflow = np.empty((wells, len(levels_m), len(times_s)))
    held_inflows(
        store_tables(),
        np.array([rock.dimension for rock in rocks]),
        np.array([log(rock.time_constant_s) for rock in rocks]),
        np.array([rock.resistance_s_m2 for rock in rocks]),
        np.array([rock.skin for rock in rocks]),
        np.array([rock.loss_s2_m5 for rock in rocks]),
        np.tile(shares, (wells, 1)),
        np.tile(depths_m, (wells, 1)),
        np.tile(heads_m, (wells, 1)),
        np.full(wells, rest_level_m),
        levels_m,
        np.array([0, 1] if rest_s else [1], dtype=np.int64),
        np.array([span.seconds for span in spans]),
        steps.step_span,
        steps.step_class,
        steps.class_s,
        steps.time_s,
        times_s,
        inflow,
    )
    return inflow


def rock_of(transmissivity: float, storativity: float, **more: float) -> RockAtFace:
    """Make a rock from T* and S* at the face of a 6 in bore."""
    return RockAtFace(
        resistance_s_m2=1 / (2 * pi * transmissivity),
        time_constant_s=storativity * 0.0762**2 / transmissivity,
        **more,
    )


@pytest.mark.published("physics-2-held", "physics-2-jacob-lohman")
def test_many_rocks_at_once_give_the_tables() -> None:
    table, printed = check("physics-2-held"), check("physics-2-jacob-lohman")
    rocks = [
        RockAtFace(resistance_s_m2=1.0, time_constant_s=1.0, dimension=float(dimension))
        for dimension in table.inputs("dimension")
    ]
    times = table.inputs("time_over_tc")
    ours = held(rocks, np.ones(1), times, first_s=times[0] / 1000, per_doubling=24)[:, 0]
    np.testing.assert_allclose(ours, table.values("inflow"), rtol=5e-4)
    radial = [RockAtFace(resistance_s_m2=1.0, time_constant_s=1.0)]
    times = printed.inputs("time_over_tc")
    ours = held(radial, np.ones(1), times, first_s=times[0] / 1000, per_doubling=24)[0, 0]
    np.testing.assert_allclose(ours, printed.values("inflow"), rtol=printed.relative)


def test_a_long_run_forgets_how_short_its_first_step_was() -> None:
    """Fifteen decades of doubling steps, n = 1, whose inflow is √(1/π t): a store must not lose its rate on the way."""
    linear = [RockAtFace(resistance_s_m2=1.0, time_constant_s=1.0, dimension=1.0)]
    times = np.geomspace(1e3, 1e9, 7)
    short, long = (held(linear, np.ones(1), times, first_s=first, per_doubling=12) for first in (1e-6, 1e-2))
    np.testing.assert_allclose(short, long, rtol=1e-6)
    np.testing.assert_allclose(short[0, 0], np.sqrt(1 / (pi * times)), rtol=1e-3)


@pytest.mark.parametrize("dimension", [1.0, 1.3, 2.0, 2.7, 3.0])
@pytest.mark.parametrize("skin", [0.0, 3.0])
def test_steps_of_prove_hold_three_thousandths_at_the_corners(dimension: float, skin: float) -> None:
    """T 1e-7 and 1e-4, S 1e-6 and 1, from an hour to half a year, with five steps a doubling from a minute on."""
    rocks = [rock_of(t, s, dimension=dimension, skin=skin) for t in (1e-7, 1e-4) for s in (1e-6, 1e-3, 1.0)]
    ours = held(rocks, np.array([10.0]), DURATIONS_S)[:, 0]
    for rock, inflow in zip(rocks, ours, strict=True):
        exact = radial_flow.Rock(
            resistance_sm2=rock.resistance_s_m2,
            time_constant_s=rock.time_constant_s,
            dimension=dimension,
            skin=skin,
        )
        np.testing.assert_allclose(
            inflow, 10.0 * radial_flow.held_level_inflow(DURATIONS_S, exact), rtol=3e-3
        )


def test_one_march_is_one_simulation() -> None:
    """Two fractures, one left dripping, skin and loss: the same as marching each well alone."""
    fractures = (
        Fracture(depth_m=14.0, head_m=4.0, share=0.4),
        Fracture(depth_m=60.0, head_m=4.0, share=0.6),
    )
    rock = rock_of(3e-6, 1e-3, dimension=1.7, skin=2.0, loss_s2_m5=4e6)
    levels = np.array([10.0, 30.0])
    ours = held([rock], levels, DURATIONS_S[:4], depths_m=(14.0, 60.0), shares=(0.4, 0.6), heads_m=(4.0, 4.0),
                rest_level_m=4.0)[0]  # fmt: skip
    for level, inflow in zip(levels, ours, strict=True):
        well = ModelWell(shape=HoleShape((0.0, 100.0), (0.03,)), fractures=fractures, rock=rock)
        span = Span(seconds=86400.0, level_m=(float(level), float(level)))
        run = simulate(well, [span], first_s=60.0, per_doubling=5)
        expected = np.interp(DURATIONS_S[:4], run.time_s[1:], run.total_inflow_m3s)
        np.testing.assert_allclose(inflow, expected, rtol=1e-6)


def test_pulling_below_the_last_fracture_buys_no_yield() -> None:
    rock = rock_of(1e-6, 1e-4)
    shallow, at_mouth, below = held([rock], np.array([20.0, 50.0, 90.0]), DURATIONS_S, depths_m=(50.0,))[0]
    np.testing.assert_allclose(below, at_mouth, rtol=1e-12)
    np.testing.assert_allclose(at_mouth / shallow, 2.5, rtol=1e-9)


def test_unequal_heads_rest_before_they_are_held() -> None:
    """Heads at 5 and 11 m, shares 0.75 and 0.25: in the end each flows as from its own head, their sum by the mean.

    Held at the mean head, 6.5 m, after the rest of a hundred days, what one gives the other takes.
    """
    rock = rock_of(1e-5, 1e-5, dimension=2.6)
    at = held([rock], np.array([6.5, 16.5]), DURATIONS_S[:4], depths_m=(80.0, 90.0), shares=(0.75, 0.25),
              heads_m=(5.0, 11.0), rest_s=REST_S, rest_level_m=6.5)[0]  # fmt: skip
    alone = held([rock], np.array([10.0]), DURATIONS_S[:4])[0, 0]
    np.testing.assert_allclose(at[0], 0.0, atol=1e-6 * alone[0])
    np.testing.assert_allclose(at[1], alone, rtol=2e-3)


def test_loss_takes_its_part_of_the_drawdown() -> None:
    """Late, for n = 3, the rock takes R·Q and the loss C·Q²: the root of the quadratic, worked here."""
    rock = rock_of(1e-5, 1e-6, dimension=3.0, loss_s2_m5=5e7)
    found = held([rock], np.array([20.0]), DURATIONS_S)[0, 0, -1]
    by_hand = (-rock.resistance_s_m2 + np.sqrt(rock.resistance_s_m2**2 + 4 * 5e7 * 20.0)) / (2 * 5e7)
    assert found == pytest.approx(by_hand, rel=1e-4)
    assert found < 0.8 * 20.0 / rock.resistance_s_m2

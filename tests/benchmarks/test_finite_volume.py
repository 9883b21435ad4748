"""Check the finite-volume well against Laplace inversion, its refinement and a general integrator."""

from __future__ import annotations

import math

import numpy as np
import pytest
from benchmarks.calibration.crew import YIELD_DURATIONS_S, Floats
from benchmarks.calibration.finite_volume import (
    Cells,
    Fracture,
    HoleShape,
    Mesh,
    cut_rock,
    held_inflow,
    march_test,
)
from benchmarks.calibration.fractured import draw_fractured_hole
from benchmarks.calibration.generator import make_well
from benchmarks.calibration.laplace_well import RockTruth, face_impedance, invert_laplace, pumped_drawdown
from benchmarks.calibration.laplace_well import held_inflow as held_inflow_by_inversion
from benchmarks.calibration.truths import Stratum, draw_hole, draw_rock
from scipy.integrate import solve_ivp

FINER = Mesh(growth=0.04, first_cell=0.05, first_step_s=0.25, step_growth=0.03, longest_step_s=10.0)
ROCK = RockTruth(
    transmissivity_m2s=3e-5, storativity=1e-3, flow_dimension=1.8, skin=1.0, well_radius_m=0.0762
)
BORE_M2 = math.pi * 0.0762**2
STRAIGHT = HoleShape(area_m2=BORE_M2, lower_area_m2=BORE_M2, change_m=math.inf)
STEPPED = HoleShape(area_m2=1.3 * BORE_M2, lower_area_m2=BORE_M2, change_m=5.0)
SUBMERGED = (Fracture(drawdown_m=math.inf, share=0.4), Fracture(drawdown_m=math.inf, share=0.6))
TWO = (Fracture(drawdown_m=7.0, share=0.55), Fracture(drawdown_m=100.0, share=0.45))
RATE_M3S, STOP_S = 5e-4, 3600.0
TIMES_S = np.arange(60.0, 7201.0, 60.0)


@pytest.mark.parametrize("number", range(12))
def test_submerged_fractures_agree_with_inversion_to_a_ten_thousandth(number: int) -> None:
    rng = np.random.default_rng(number)
    hole = draw_hole(rng)
    rock = draw_rock(rng, "uniform", hole.radius_m)
    shape = HoleShape(area_m2=hole.area_m2, lower_area_m2=hole.area_m2, change_m=math.inf)
    exact = pumped_drawdown(rock, hole.area_m2, RATE_M3S, STOP_S, TIMES_S)
    levels = march_test(rock, shape, SUBMERGED, RATE_M3S, STOP_S, TIMES_S)
    np.testing.assert_allclose(levels, exact, rtol=0, atol=1.2e-4 * exact.max())
    exact_inflow = held_inflow_by_inversion(rock, 10.0, np.array(YIELD_DURATIONS_S))
    np.testing.assert_allclose(
        held_inflow(rock, SUBMERGED, 10.0, YIELD_DURATIONS_S), exact_inflow, rtol=1.5e-4
    )


def test_error_falls_fourfold_when_cells_and_steps_are_halved() -> None:
    exact = pumped_drawdown(ROCK, BORE_M2, RATE_M3S, STOP_S, TIMES_S)
    coarse, fine = (
        np.max(np.abs(march_test(ROCK, STRAIGHT, SUBMERGED, RATE_M3S, STOP_S, TIMES_S, mesh) - exact))
        for mesh in (Mesh(), FINER)
    )
    assert 3.0 < coarse / fine < 5.5


def test_a_face_that_drips_free_from_the_first_second_gives_the_held_inflow() -> None:
    """In a hole of next to no area the level passes the fracture at once: volume = Q t - given.

    The volume given is the inverse transform of s / (p**2 G), G the impedance of the face (Barker 1988).
    """
    thin_m2 = 1e-6
    hole = HoleShape(area_m2=thin_m2, lower_area_m2=thin_m2, change_m=math.inf)
    fractures = (Fracture(drawdown_m=2.0, share=1.0),)
    times_s = np.array([60.0, 600.0, 3600.0])
    levels = march_test(ROCK, hole, fractures, 1e-3, 3600.0, times_s, Mesh(first_step_s=0.005))
    given = 2.0 * invert_laplace(lambda p: 1.0 / (p**2 * face_impedance(ROCK, p)), times_s)
    np.testing.assert_allclose(1e-3 * times_s - levels * thin_m2, given, rtol=1e-4)


def _integrate(cells: Cells, hole: HoleShape, fractures: tuple[Fracture, ...]) -> Floats:
    """Integrate the same cells by an adaptive stiff integrator, fractures and hole written out afresh."""
    count = cells.storage_m2.size
    depths = np.array([fracture.drawdown_m for fracture in fractures])
    shares = np.array([fracture.share for fracture in fractures])

    def slope(_: float, state: Floats, pump: float) -> Floats:
        level = hole.drawdown_m(state[-1:])[0]
        rock = state[:-1].reshape(len(fractures), count)
        inner = np.column_stack([np.minimum(level, depths), rock])
        flow = cells.conductance_m2s * (inner[:, :-1] - inner[:, 1:])  # toward the hole when positive
        change = (flow - np.column_stack([flow[:, 1:], np.zeros(len(fractures))])) / cells.storage_m2
        return np.concatenate([change.ravel(), [pump - shares @ flow[:, 0]]])

    state, answer = np.zeros(count * len(fractures) + 1), []
    for begin, end, pump in ((0.0, STOP_S, RATE_M3S), (STOP_S, TIMES_S[-1], 0.0)):
        at = TIMES_S[(begin < TIMES_S) & (end >= TIMES_S)]
        run = solve_ivp(
            slope, (begin, end), state, "LSODA", at, args=(pump,), rtol=1e-8, atol=1e-10, max_step=60.0
        )
        state = run.y[:, -1]
        answer.append(hole.drawdown_m(run.y[-1]))
    return np.concatenate(answer)


@pytest.mark.parametrize("hole", [STRAIGHT, STEPPED])
def test_exposed_fractures_and_casing_agree_with_an_adaptive_integrator(hole: HoleShape) -> None:
    coarse = Mesh(growth=0.25)  # few cells, so that the integrator's dense Jacobian stays small
    expected = _integrate(cut_rock(ROCK, coarse.first_step_s, TIMES_S[-1], coarse), hole, TWO)
    levels = march_test(ROCK, hole, TWO, RATE_M3S, STOP_S, TIMES_S, coarse)
    assert expected.max() > TWO[0].drawdown_m > expected[-1]  # exposed, and submerged again
    np.testing.assert_allclose(levels, expected, rtol=0, atol=1e-4 * expected.max())


@pytest.mark.parametrize("stratum", ["fractures", "hidden fracture"])
def test_fractured_wells_hold_a_ten_thousandth_under_refinement(stratum: Stratum) -> None:
    for number in range(6):
        drawn = draw_fractured_hole(np.random.default_rng(number), stratum)
        stop_s = drawn.hole.pumping_min * 60.0
        times_s = np.arange(60.0, stop_s + 3600.0, 60.0)
        coarse, fine = (
            march_test(drawn.rock, drawn.shape, drawn.fractures, RATE_M3S, stop_s, times_s, mesh)
            for mesh in (Mesh(), FINER)
        )
        np.testing.assert_allclose(coarse, fine, rtol=0, atol=2e-4 * fine.max())


def test_pulling_deeper_than_the_last_fracture_buys_no_yield() -> None:
    shallow = (Fracture(drawdown_m=7.0, share=0.55), Fracture(drawdown_m=20.0, share=0.45))
    at_last, below = (
        held_inflow(ROCK, shallow, drawdown_m, YIELD_DURATIONS_S) for drawdown_m in (20.0, 40.0)
    )
    np.testing.assert_array_equal(at_last, below)
    whole = held_inflow_by_inversion(ROCK, 0.55 * 7.0 + 0.45 * 20.0, np.array(YIELD_DURATIONS_S))
    np.testing.assert_allclose(below, whole, rtol=1.5e-4)


def test_cells_that_do_not_reach_far_enough_are_refused() -> None:
    with pytest.raises(ArithmeticError, match="outermost cell"):
        march_test(ROCK, STRAIGHT, SUBMERGED, RATE_M3S, STOP_S, TIMES_S, Mesh(reach=0.5))


def test_a_hidden_fracture_is_above_the_level_and_out_of_the_record() -> None:
    for number in range(10):
        well = make_well(number, "hidden fracture")
        hidden_ft, recorded_ft = well.truth.fracture_depths_ft
        final_ft = well.truth.hole.static_ft + well.truth.final_drawdown_m / 0.3048
        assert hidden_ft < final_ft < recorded_ft
        assert well.fracture_depths_ft == (recorded_ft,)


def test_recorded_fractures_are_where_the_decision_puts_them() -> None:
    exposed = 0
    for number in range(15):
        well = make_well(number, "fractures")
        depths_ft, hole = well.fracture_depths_ft, well.truth.hole
        assert well == make_well(number, "fractures")
        assert len(depths_ft) in (2, 3)
        assert math.isclose(sum(well.truth.fracture_shares), 1.0)
        assert min(np.diff(depths_ft)) >= 14.0  # 15 ft as drawn, written to the nearest foot
        assert min(depths_ft) >= max(hole.static_ft + 9.5, well.casing_bottom_ft - 0.5)
        assert max(depths_ft) <= hole.depth_ft - 4.5
        exposed += min(depths_ft) < well.asked_level_ft
    assert exposed >= 5

"""The march against exact solutions and printed tables, against finite volumes, and in what a well must do."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
from benchmarks.calibration import finite_volume
from benchmarks.calibration.laplace_well import RockTruth
from tests.physics.model_wells import GPM, SIX_INCH_M2, plain_well
from tests.published.checks import check

from ledgewell.physics.closed_forms import radial_flow
from ledgewell.physics.closed_forms.superposition import superpose
from ledgewell.physics.hole import HoleShape
from ledgewell.physics.model_well import Fracture, ModelWell, RockAtFace
from ledgewell.physics.schedule import Span
from ledgewell.physics.simulate import Simulation, simulate

WITHIN = 1e-4
FINE = 24
"""Steps per doubling that put the step error below that of the stores."""
DAY, MINUTE = 86400.0, 60.0


def unit_well(dimension: float, area: float, skin: float = 0.0) -> ModelWell:
    """Make a well with R = tc = 1 and a bottomless hole."""
    return ModelWell(
        shape=HoleShape((0.0, 1e9), (area,)),
        fractures=(Fracture(depth_m=9e8, head_m=0.0),),
        rock=RockAtFace(resistance_s_m2=1.0, time_constant_s=1.0, dimension=dimension, skin=skin),
    )


def run_to(well: ModelWell, times: np.ndarray, first: Span, per_doubling: int = FINE) -> Simulation:
    """Begin as a span says and go on to the end of the times."""
    span = Span(
        seconds=float(times[-1]), rate_m3s=first.rate_m3s, level_m=first.level_m, taken_m3=first.taken_m3
    )
    return simulate(well, [span], first_s=float(times[0]) / 1000, per_doubling=per_doubling)


def inflow_at(run: Simulation, times: np.ndarray) -> np.ndarray:
    """Return the inflow of all fractures at times, linear within a step."""
    place = np.clip(np.searchsorted(run.time_s[1:], times * (1 - 1e-12)), 0, run.steps.count - 1)
    part = (times - run.time_s[place]) / np.diff(run.time_s)[place]
    ends = run.inflow_m3s.sum(axis=2)
    answer: np.ndarray = ends[place, 0] + part * (ends[place, 1] - ends[place, 0])
    return answer


@pytest.mark.published("hydraulics-3a-coefficient")
def test_first_the_hole_empties_at_the_rate_pumped() -> None:
    table, alpha, inverse_u = check("hydraulics-3a-coefficient"), 1e-5, 1e-3
    area = table.expected["storage_over_inverse_alpha"] / alpha
    run = run_to(unit_well(2.0, area), np.array([inverse_u / 4]), Span(seconds=1.0, rate_m3s=1.0))
    found = 2 * run.level_m[-1] / (alpha * inverse_u)
    assert found == pytest.approx(table.expected["early_f_over_alpha_per_inverse_u"], rel=table.relative)


@pytest.mark.published("hydraulics-3b")
def test_papadopulos_and_cooper() -> None:
    table = check("hydraulics-3b")
    times = table.inputs("one_over_u") / 4
    for alpha, exact in zip(table.inputs("alpha"), table.values("f"), strict=True):
        run = run_to(unit_well(2.0, 1 / (2 * alpha)), times, Span(seconds=1.0, rate_m3s=1.0))
        np.testing.assert_allclose(2 * run.level_at(times), exact, rtol=WITHIN)


@pytest.mark.published("hydraulics-3d")
def test_papadopulos_and_cooper_with_skin() -> None:
    table = check("hydraulics-3d")
    times = table.inputs("one_over_u") / 4
    rows = zip(table.inputs("alpha"), table.inputs("skin"), table.values("f"), strict=True)
    for alpha, skin, exact in rows:
        run = run_to(unit_well(2.0, 1 / (2 * alpha), skin), times, Span(seconds=1.0, rate_m3s=1.0))
        np.testing.assert_allclose(2 * run.level_at(times), exact, rtol=WITHIN)


@pytest.mark.published("hydraulics-3e")
def test_slope_against_log_time() -> None:
    """From the balance of the hole, dF/d ln t = 2t(Q − inflow)/A: a small difference late, so held to a thousandth."""
    table = check("hydraulics-3e")
    times = table.inputs("one_over_u") / 4
    spans = [Span(seconds=float(s), rate_m3s=1.0) for s in np.diff(np.concatenate(([0.0], times)))]
    for alpha, exact in zip(table.inputs("alpha"), table.values("slope"), strict=True):
        run = simulate(unit_well(2.0, 1 / (2 * alpha)), spans, first_s=0.01, per_doubling=2 * FINE)
        ends = np.flatnonzero(np.append(np.diff(run.steps.step_span), 1))
        slope = 4 * alpha * times * (1 - run.total_inflow_m3s[ends])
        np.testing.assert_allclose(slope, exact, rtol=1e-3)


@pytest.mark.published("physics-2-stored")
def test_any_dimension_with_stored_water_and_skin() -> None:
    table = check("physics-2-stored")
    times = table.inputs("time_over_tc")
    rows = zip(
        table.inputs("dimension"),
        table.inputs("area_times_r_over_tc"),
        table.inputs("skin"),
        table.values("response"),
        strict=True,
    )
    for dimension, area, skin, exact in rows:
        run = run_to(unit_well(dimension, area, skin), times, Span(seconds=1.0, rate_m3s=1.0))
        np.testing.assert_allclose(run.level_at(times), exact, rtol=WITHIN)


@pytest.mark.published("hydraulics-3h-pump", "hydraulics-3h-recovery")
def test_whole_low_yield_well() -> None:
    """Scenario A: 2 gpm for an hour from a tight 6 in hole, then two days of recovery; errors over the deepest level."""
    pumping, recovery = check("hydraulics-3h-pump"), check("hydraulics-3h-recovery")
    given = pumping.given
    well = plain_well(given["t_m2d"] / DAY, given["s"])
    assert well.shape.areas_m2[0] == pytest.approx(pi * given["casing_radius_m"] ** 2, rel=1e-12)
    stop = given["pumping_min"] * MINUTE
    rest = stop + recovery.inputs("time_since_stop_min") * MINUTE
    spans = [
        Span(seconds=stop, rate_m3s=given["flow_m3d"] / DAY),
        Span(seconds=float(rest[-1] - stop)),
    ]
    allowed = WITHIN * pumping.values("drawdown_m").max()
    for per_doubling, factor in ((FINE, 1.0), (6, 3.0)):
        run = simulate(well, spans, per_doubling=per_doubling)
        down, up = run.level_at(pumping.inputs("time_min") * MINUTE), run.level_at(rest)
        np.testing.assert_allclose(down, pumping.values("drawdown_m"), rtol=0, atol=factor * allowed)
        np.testing.assert_allclose(up, recovery.values("residual_m"), rtol=0, atol=factor * allowed)


@pytest.mark.published("physics-2-held")
def test_inflow_at_a_held_level() -> None:
    """The inflow has no value when the level is set, so the first steps are off; a thousand first steps on it holds to 5e-4."""
    table = check("physics-2-held")
    times = table.inputs("time_over_tc")
    for dimension, exact in zip(table.inputs("dimension"), table.values("inflow"), strict=True):
        run = run_to(unit_well(dimension, 1.0), times, Span(seconds=1.0, level_m=(1.0, 1.0)))
        np.testing.assert_allclose(inflow_at(run, times), exact, rtol=5 * WITHIN)


@pytest.mark.published("physics-2-jacob-lohman")
def test_inflow_at_a_held_level_as_printed() -> None:
    table = check("physics-2-jacob-lohman")
    times = table.inputs("time_over_tc")
    run = run_to(unit_well(2.0, 1.0), times, Span(seconds=1.0, level_m=(1.0, 1.0)))
    np.testing.assert_allclose(inflow_at(run, times), table.values("inflow"), rtol=table.relative)


@pytest.mark.published("hydraulics-6a")
def test_slug_is_a_bail_and_a_wait() -> None:
    """Cooper, Bredehoeft and Papadopulos: a volume A·1 m taken out at once; β = Tt/rc² with T = 1/2π, α = 1/(2A)."""
    table = check("hydraulics-6a")
    for alpha, exact in zip(table.inputs("alpha"), table.values("ratio"), strict=True):
        times, area = table.inputs("beta") / alpha, 1 / (2 * alpha)
        run = run_to(unit_well(2.0, area), times, Span(seconds=1.0, taken_m3=area))
        np.testing.assert_allclose(run.level_at(times), exact, rtol=0, atol=WITHIN)
        poured = run_to(unit_well(2.0, area), times, Span(seconds=1.0, taken_m3=-area))
        np.testing.assert_allclose(poured.level_m, -run.level_m, rtol=1e-12, atol=1e-15)


@pytest.mark.parametrize(("dimension", "skin"), [(1.4, 0.0), (2.0, 3.0), (2.6, 1.0)])
def test_any_rates_are_superposed(dimension: float, skin: float) -> None:
    """Five rates, one of them injection, against the exact response shifted and added."""
    well = plain_well(1e-6, 1e-3, dimension=dimension, skin=skin, start_level_m=0.0)
    rates = np.array([3.0, 1.0, 0.0, -1.0, 0.5]) * GPM
    seconds = np.array([1800.0, 3600.0, 600.0, 900.0, 7200.0])
    spans = [Span(seconds=s, rate_m3s=q) for s, q in zip(seconds.tolist(), rates.tolist(), strict=True)]
    times = np.linspace(120.0, seconds.sum(), 57)
    rock = radial_flow.Rock(
        resistance_sm2=well.rock.resistance_s_m2,
        time_constant_s=well.rock.time_constant_s,
        dimension=dimension,
        skin=skin,
    )
    exact = superpose(
        lambda time: radial_flow.step_response(time, rock, SIX_INCH_M2),
        times,
        np.concatenate(([0.0], np.cumsum(seconds)[:-1])),
        rates,
    )
    run = simulate(well, spans, per_doubling=FINE)
    np.testing.assert_allclose(run.level_at(times), exact, rtol=0, atol=WITHIN * np.abs(exact).max())


def test_error_falls_four_times_when_every_step_is_cut_in_two() -> None:
    well = plain_well(0.5 / DAY, 1e-4)
    times = np.linspace(60.0, 3600.0, 60)
    rock = radial_flow.Rock(
        resistance_sm2=well.rock.resistance_s_m2, time_constant_s=well.rock.time_constant_s
    )
    exact = 2 * GPM * radial_flow.step_response(times, rock, SIX_INCH_M2)
    errors = [
        np.abs(
            simulate(
                well, [Span(seconds=3600.0, rate_m3s=2 * GPM)], first_s=8.0 / per, per_doubling=per
            ).level_at(times)
            - exact
        ).max()
        for per in (2, 4, 8)
    ]
    assert 3.0 < errors[0] / errors[1] < 5.0
    assert 3.0 < errors[1] / errors[2] < 5.0


TWO = (Fracture(depth_m=30.0, head_m=10.0, share=0.55), Fracture(depth_m=60.0, head_m=10.0, share=0.45))
STEPPED = HoleShape((0.0, 35.0, 100.0), (0.0186, 0.0161))


@pytest.mark.parametrize("dimension", [1.5, 2.0, 2.4])
def test_two_fractures_agree_with_finite_volumes(dimension: float) -> None:
    """Drawn past the upper fracture and the foot of the casing, then left: cells of rock, implicit, nothing shared."""
    transmissivity, storativity, skin = 1e-6, 1e-2, 1.5
    well = plain_well(
        transmissivity, storativity, dimension=dimension, skin=skin, fractures=TWO, shape=STEPPED
    )
    rock = RockTruth(
        transmissivity_m2s=transmissivity,
        storativity=storativity,
        flow_dimension=dimension,
        skin=skin,
        well_radius_m=0.0762,
    )
    times = np.arange(60.0, 18001.0, 60.0)
    expected = finite_volume.march_test(
        rock,
        finite_volume.HoleShape(area_m2=0.0186, lower_area_m2=0.0161, change_m=25.0),
        [finite_volume.Fracture(drawdown_m=f.depth_m - 10.0, share=f.share) for f in TWO],
        3 * GPM,
        3600.0,
        times,
    )
    run = simulate(well, [Span(seconds=3600.0, rate_m3s=3 * GPM), Span(seconds=14400.0)], first_s=5.0)
    assert run.level_m.max() > 30.0 > run.level_m[-1]  # exposed, and submerged again
    np.testing.assert_allclose(run.level_at(times) - 10.0, expected, rtol=0, atol=1e-3 * expected.max())


def test_an_exposed_fracture_drips_free_and_never_takes() -> None:
    """Below its mouth the level no longer moves its inflow: it gives as if the level were held at its mouth."""
    well = plain_well(1e-6, 1e-3, fractures=TWO)
    at_mouth, below, far_below = (
        simulate(well, [Span(seconds=DAY, level_m=(depth, depth))], first_s=10.0)
        for depth in (30.0, 45.0, 90.0)
    )
    np.testing.assert_array_equal(at_mouth.inflow_m3s[:, :, 0], below.inflow_m3s[:, :, 0])
    np.testing.assert_array_equal(at_mouth.inflow_m3s[:, :, 0], far_below.inflow_m3s[:, :, 0])
    assert np.all(at_mouth.inflow_m3s >= 0)
    # A fracture whose head lies below its mouth takes when it is submerged and nothing when it is not.
    dry = (Fracture(depth_m=30.0, head_m=40.0, share=0.5), Fracture(depth_m=60.0, head_m=10.0, share=0.5))
    lower, upper = (
        simulate(
            plain_well(1e-6, fractures=dry, start_level_m=level), [Span(seconds=60.0, level_m=(level, level))]
        )
        for level in (35.0, 20.0)
    )
    assert np.all(lower.inflow_m3s[:, :, 0] == 0)
    assert np.all(upper.inflow_m3s[:, :, 0] < 0)


def test_inflow_stops_growing_below_the_last_fracture() -> None:
    """Pulling deeper buys storage and no yield; the yield is that of each fracture held at its own mouth, exactly."""
    well = plain_well(1e-6, 1e-3, fractures=TWO)
    hour = [
        simulate(
            well, [Span(seconds=3600.0, level_m=(d, d))], first_s=1.0, per_doubling=FINE
        ).total_inflow_m3s[-1]
        for d in (59.0, 60.0, 61.0, 80.0, 100.0)
    ]
    assert hour[0] < hour[1] == hour[2] == hour[3] == hour[4]
    rock = radial_flow.Rock(
        resistance_sm2=well.rock.resistance_s_m2, time_constant_s=well.rock.time_constant_s
    )
    drawn = 0.55 * (30.0 - 10.0) + 0.45 * (60.0 - 10.0)
    assert hour[1] == pytest.approx(
        drawn * float(radial_flow.held_level_inflow(3600.0, rock)), rel=3 * WITHIN
    )


@pytest.mark.parametrize("dimension", [1.5, 2.0, 2.7])
def test_unequal_heads_come_to_the_level_where_giving_and_taking_cancel(dimension: float) -> None:
    """Alike but for share and head, all submerged: the level is the mean of the heads, weighted by share."""
    fractures = (
        Fracture(depth_m=30.0, head_m=8.0, share=0.2),
        Fracture(depth_m=50.0, head_m=14.0, share=0.5),
        Fracture(depth_m=70.0, head_m=11.0, share=0.3),
    )
    well = plain_well(1e-6, 1e-3, dimension=dimension, skin=2.0, fractures=fractures, start_level_m=12.0)
    run = simulate(well, [Span(seconds=400 * DAY)], first_s=10.0)
    assert run.level_m[-1] == pytest.approx(0.2 * 8 + 0.5 * 14 + 0.3 * 11, abs=2e-3)
    assert run.inflow_m3s[-1, 1, 0] > 0 > run.inflow_m3s[-1, 1, 1]
    assert abs(run.total_inflow_m3s[-1]) < 1e-3 * run.inflow_m3s[-1, 1].max()


def test_a_drained_fracture_feeds_a_deeper_one_at_rest() -> None:
    """The upper fracture drips at its own drawdown: 0.3 (20 − 5) = 0.7 (h* − h) gives h = 30 − 45/7 + …, by hand."""
    fractures = (
        Fracture(depth_m=20.0, head_m=5.0, share=0.3),
        Fracture(depth_m=70.0, head_m=40.0, share=0.7),
    )
    well = plain_well(1e-6, 1e-3, dimension=3.0, fractures=fractures, start_level_m=40.0)
    run = simulate(well, [Span(seconds=100 * DAY)], first_s=10.0)
    assert run.level_m[-1] == pytest.approx(40.0 - 0.3 * (20.0 - 5.0) / 0.7, abs=2e-3)


def test_a_level_that_stands_at_a_mouth() -> None:
    """A dry fracture swallows all that a lower one gives: the level stays at its mouth, and it takes just that."""
    fractures = (
        Fracture(depth_m=30.0, head_m=50.0, share=0.6),
        Fracture(depth_m=60.0, head_m=24.0, share=0.4),
    )
    well = plain_well(1e-6, 1e-3, dimension=3.0, fractures=fractures, start_level_m=40.0)
    run = simulate(well, [Span(seconds=100 * DAY)], first_s=10.0)
    assert run.level_m[-1] == 30.0
    given = 0.4 * (30.0 - 24.0) / well.rock.resistance_s_m2  # a sphere's last resistance is R
    np.testing.assert_allclose(run.inflow_m3s[-1, 1], [-given, given], rtol=1e-3)


def test_quadratic_loss_takes_c_times_q_squared() -> None:
    """At a sphere's steady state the drawdown is (1 + σ)RQ + CQ², whatever the shares."""
    loss, rate = 4e8, 2 * GPM
    for fractures in (
        (Fracture(depth_m=95.0, head_m=0.0),),
        (Fracture(depth_m=90.0, head_m=0.0, share=0.3), Fracture(depth_m=95.0, head_m=0.0, share=0.7)),
    ):
        well = plain_well(2e-6, 1e-4, dimension=3.0, skin=0.5, loss_s2_m5=loss, fractures=fractures)
        run = simulate(well, [Span(seconds=40 * DAY, rate_m3s=rate)])
        expected = 1.5 * well.rock.resistance_s_m2 * rate + loss * rate**2
        assert run.level_m[-1] == pytest.approx(expected, rel=WITHIN)


def test_a_drop_pipe_drains_back_at_once() -> None:
    """Its inside area times the depth to water comes back: a rise of 40 m × 5.57e-4 m² / 0.01824 m² = 1.22 m."""
    tight = plain_well(1e-9, 1e-4, fractures=(Fracture(depth_m=95.0, head_m=10.0),), start_level_m=40.0)
    run = simulate(tight, [Span(seconds=10.0, drain_m2=5.57e-4)], first_s=0.1)
    assert run.taken_m3[0] == pytest.approx(-40.0 * 5.57e-4, rel=1e-12)
    assert run.level_m[1] == pytest.approx(40.0 - 40.0 * 5.57e-4 / SIX_INCH_M2, abs=1e-3)


def test_a_pump_that_breaks_suction_gives_the_inflow_and_no_more() -> None:
    well = plain_well(3e-7, 1e-3, intake_m=40.0)
    run = simulate(well, [Span(seconds=DAY, rate_m3s=5 * GPM), Span(seconds=3600.0)])
    held = (run.level_m[1:] == 40.0) & (run.steps.step_span == 0)
    assert held.sum() > 20
    assert run.level_m.max() == 40.0
    np.testing.assert_allclose(run.pumped_m3[held][1:], run.inflow_volume_m3[held, 0][1:], rtol=1e-9)
    # Held at 40 m for nearly all of the day, it gives what a level held there from the start gives.
    rock = radial_flow.Rock(
        resistance_sm2=well.rock.resistance_s_m2, time_constant_s=well.rock.time_constant_s
    )
    last = run.total_inflow_m3s[run.steps.step_span == 0][-1]
    assert last == pytest.approx(40.0 * float(radial_flow.held_level_inflow(DAY, rock)), rel=0.02)


def test_a_pump_takes_nothing_while_the_level_is_below_its_intake() -> None:
    """Bailed below the intake, the well recovers as if the pump were off, and is then held at the intake."""
    well = plain_well(1e-6, 1e-3, intake_m=20.0)
    bail = 50.0 * SIX_INCH_M2
    on, off = (
        simulate(well, [Span(seconds=2 * DAY, rate_m3s=rate, taken_m3=bail)], first_s=5.0)
        for rate in (4 * GPM, 0.0)
    )
    below = off.level_m[1:] > 20.0
    assert below.sum() > 20
    np.testing.assert_array_equal(on.pumped_m3[below], 0.0)
    np.testing.assert_allclose(on.level_m[1:][below], off.level_m[1:][below], rtol=1e-12)
    assert on.level_m[-1] == 20.0
    assert np.all(on.pumped_m3 >= 0)


def test_a_flowing_well_spills_what_a_level_held_at_its_edge_gives() -> None:
    artesian = (Fracture(depth_m=60.0, head_m=-5.0),)
    well = plain_well(1e-6, 1e-3, fractures=artesian, start_level_m=0.0, spill_m=0.0)
    run = simulate(well, [Span(seconds=DAY)], per_doubling=FINE)
    assert np.all(run.level_m == 0.0)
    rock = radial_flow.Rock(
        resistance_sm2=well.rock.resistance_s_m2, time_constant_s=well.rock.time_constant_s
    )
    times = np.array([600.0, 3600.0, DAY])
    exact = 5.0 * radial_flow.held_level_inflow(times, rock)
    np.testing.assert_allclose(inflow_at(run, times), exact, rtol=3 * WITHIN)
    np.testing.assert_allclose(run.pumped_m3, run.inflow_volume_m3[:, 0], rtol=1e-12)


def test_a_casing_wider_than_the_bore_slows_the_level_as_much() -> None:
    """In rock that gives nothing the level falls by volume over area: 30 m of the upper area, then the lower."""
    shape = HoleShape((0.0, 30.0, 100.0), (0.03, 0.015))
    run = simulate(plain_well(1e-12, 1e-6, shape=shape), [Span(seconds=3000.0, rate_m3s=5e-4)], first_s=10.0)
    times = np.array([900.0, 1800.0, 3000.0])
    np.testing.assert_allclose(run.level_at(times), [15.0, 30.0, 70.0], rtol=1e-4)


def test_late_recovery_of_a_channel_follows_the_square_root() -> None:
    """n = 1: residual drawdown is 2QR/√(π tc) (√(t + tp) − √t), by hand; hardly any storage, the hardest for the steps."""
    well = plain_well(1e-6, 1e-2, dimension=1.0, skin=0.0, fractures=(Fracture(depth_m=1e5, head_m=0.0),),
                      shape=HoleShape((0.0, 2e5), (1e-6,)))  # fmt: skip
    pumped, rate = 3600.0, 1e-5
    run = simulate(well, [Span(seconds=pumped, rate_m3s=rate), Span(seconds=DAY)], per_doubling=FINE)
    nodes = run.time_s > pumped + 600.0
    times = run.time_s[nodes] - pumped
    slope = 2 * rate * well.rock.resistance_s_m2 / sqrt(pi * well.rock.time_constant_s)
    exact = slope * (np.sqrt(times + pumped) - np.sqrt(times))
    np.testing.assert_allclose(run.level_m[nodes], exact, rtol=0, atol=5 * WITHIN * slope * sqrt(pumped))

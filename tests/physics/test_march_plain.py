"""The plain march against a general integrator of the same hole and stores, and against the printed low-yield well."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from tests.physics.model_wells import GPM, plain_well
from tests.published.checks import check

from ledgewell.errors import RangeError
from ledgewell.physics.hole import HoleShape
from ledgewell.physics.march_plain import march_plain
from ledgewell.physics.model_well import Fracture, ModelWell
from ledgewell.physics.rock import rock_terms
from ledgewell.physics.schedule import Span, Steps, steps_for

DAY, MINUTE = 86400.0, 60.0
THREE = (
    Fracture(depth_m=25.0, head_m=6.0, share=0.5),
    Fracture(depth_m=45.0, head_m=10.0, share=0.2),
    Fracture(depth_m=80.0, head_m=9.0, share=0.3),
)
STEPPED = HoleShape((0.0, 20.0, 50.0, 100.0), (0.03, 0.018, 0.012))


def integrate(well: ModelWell, steps: Steps, spans: list[Span]) -> np.ndarray:
    """Integrate d(volume)/dt = pumped − ΣQ and each store's x' = −λx + (aR/tc) q by Radau; give the level after spans."""
    rock = well.rock
    terms = rock_terms(rock.dimension, rock.time_constant_s, steps.shortest_s, steps.longest_s)
    gain = terms.weights * rock.resistance_s_m2 / rock.time_constant_s
    at_once = rock.resistance_s_m2 * (terms.instantaneous + rock.skin)
    shares = np.array([fracture.share for fracture in well.fractures])
    mouths = np.array([fracture.depth_m for fracture in well.fractures])
    heads = np.array([fracture.head_m for fracture in well.fractures])

    def slopes(_: float, state: np.ndarray, rate: float) -> np.ndarray:
        level = well.shape.depth_after(0.0, state[0])
        stored = state[1:].reshape(len(shares), -1)
        drive = np.minimum(level, mouths) - heads - stored.sum(axis=1)
        size = np.abs(drive)
        loss = rock.loss_s2_m5
        flux = (np.sqrt(at_once**2 + 4 * loss * size) - at_once) / (2 * loss) if loss else size / at_once
        flux = np.copysign(flux, drive)
        flux[(level >= mouths) & (flux < 0)] = 0.0
        return np.concatenate(
            ([rate - shares @ flux], (-terms.rates_per_s * stored + gain * flux[:, None]).ravel())
        )

    state = np.zeros(1 + len(shares) * terms.count)
    state[0] = well.shape.volume_to(well.start_level_m)
    levels = []
    for span in spans:
        level = well.shape.depth_after(0.0, state[0])
        state[0] += span.taken_m3 - span.drain_m2 * max(level, 0.0)
        run = solve_ivp(
            slopes, (0.0, span.seconds), state, "Radau", args=(span.rate_m3s,), rtol=1e-7, atol=1e-10
        )
        state = run.y[:, -1]
        levels.append(well.shape.depth_after(0.0, state[0]))
    return np.array(levels)


@pytest.mark.parametrize("loss_s2_m5", [0.0, 3e7])
def test_agrees_with_a_general_integrator(loss_s2_m5: float) -> None:
    """Three fractures with heads of their own, skin, casing, a drained pipe, a bail, injection; mouths pass both ways."""
    spans = [
        Span(seconds=2400.0, rate_m3s=6 * GPM),
        Span(seconds=1200.0, drain_m2=5e-4),
        Span(seconds=1800.0, taken_m3=0.15),
        Span(seconds=1800.0, rate_m3s=-3 * GPM),
        Span(seconds=7200.0),
    ]
    well = plain_well(
        1e-6,
        1e-2,
        dimension=1.8,
        skin=3.0,
        loss_s2_m5=loss_s2_m5,
        fractures=THREE,
        shape=STEPPED,
        start_level_m=8.0,
    )
    steps = steps_for(spans, 2.0, 32)
    marched = march_plain(well, steps)
    ends = np.flatnonzero(np.append(np.diff(steps.step_span), 1))
    exact = integrate(well, steps, spans)
    assert marched.level_m.max() > 45.0
    np.testing.assert_allclose(marched.level_m[ends + 1], exact, rtol=0, atol=3e-4)


@pytest.mark.published("hydraulics-3h-pump", "hydraulics-3h-recovery")
def test_whole_low_yield_well() -> None:
    pumping, recovery = check("hydraulics-3h-pump"), check("hydraulics-3h-recovery")
    given = pumping.given
    minutes = np.concatenate(
        (pumping.inputs("time_min"), given["pumping_min"] + recovery.inputs("time_since_stop_min"))
    )
    exact = np.concatenate((pumping.values("drawdown_m"), recovery.values("residual_m")))
    rate = given["flow_m3d"] / DAY
    spans = [
        Span(seconds=float(length) * MINUTE, rate_m3s=rate if end <= given["pumping_min"] else 0.0)
        for length, end in zip(np.diff(minutes, prepend=0.0), minutes, strict=True)
    ]
    steps = steps_for(spans, 2.0, 24)
    marched = march_plain(plain_well(given["t_m2d"] / DAY, given["s"]), steps)
    ends = np.flatnonzero(np.append(np.diff(steps.step_span), 1))
    np.testing.assert_allclose(marched.level_m[ends + 1], exact, rtol=0, atol=1e-4 * exact.max())


def test_a_fracture_at_rest_stays_at_rest() -> None:
    marched = march_plain(plain_well(start_level_m=0.0), steps_for([Span(seconds=DAY)], 10.0))
    assert np.all(marched.level_m == 0.0)
    assert np.all(marched.inflow_m3s == 0.0)


def test_equal_fractures_are_one() -> None:
    """The same rock cut in three at nearly one depth does what it did whole."""
    whole = plain_well(1e-6, 1e-3, skin=1.0, loss_s2_m5=1e7)
    parts = tuple(
        Fracture(depth_m=94.0 + place / 2, head_m=0.0, share=share)
        for place, share in enumerate((0.5, 0.3, 0.2))
    )
    steps = steps_for([Span(seconds=7200.0, rate_m3s=2 * GPM), Span(seconds=7200.0)], 10.0)
    one, three = march_plain(whole, steps), march_plain(replace(whole, fractures=parts), steps)
    np.testing.assert_allclose(three.level_m, one.level_m, rtol=1e-10, atol=1e-10)
    np.testing.assert_allclose(
        three.inflow_m3s, one.inflow_m3s * np.array([0.5, 0.3, 0.2]), rtol=1e-8, atol=1e-15
    )


def test_a_rock_beyond_the_lattice_is_refused() -> None:
    well = plain_well(1.0, 1e-16)
    with pytest.raises(RangeError, match="large enough for a run"):
        march_plain(well, steps_for([Span(seconds=100 * DAY)], 1.0))

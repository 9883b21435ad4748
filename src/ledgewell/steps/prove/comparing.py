"""Two tests of one well side by side: did the yield rise, by what factor, and how sure is that?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledgewell.record import Well
from ledgewell.steps.findings import Amount, Estimate, Warned, phrase
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.posterior import AREA
from ledgewell.steps.prove.rock_yield import rock_yields
from ledgewell.steps.prove.spread import Spread, spread, weighted_quantiles
from ledgewell.units import Kind

Floats = NDArray[np.float64]
DAY_S = 86400.0
PAIRS = 8000


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """What changed between two tests of one well.

    Parameters
    ----------
    before, after
        Names of the tests.
    level_m, duration_s
        Level and time at which both yields are taken [m, s].
    before_rate, after_rate
        The two yields.
    factor
        After over before; None when there may have been no water before.
    gained_m3
        Water gained a day [m³].
    probability_rose
        Probability that the yield rose.
    warned
        What stands against the comparison.
    """

    before: str
    after: str
    level_m: float
    duration_s: float
    before_rate: Estimate
    after_rate: Estimate
    factor: Spread | None
    gained_m3: Estimate
    probability_rose: float
    warned: tuple[Warned, ...]


def weighted_band(values: Floats, weights: Floats, kind: Kind) -> Estimate:
    """Return the middle and band of a weighted sample.

    Examples
    --------
    >>> weighted_band(np.arange(101.0), np.ones(101), "flow").mid
    50.0
    """
    low, mid, high = weighted_quantiles(values, weights)
    return Estimate(low=low, mid=mid, high=high, kind=kind)


def shared_level(first: Fit, second: Fit) -> float:
    """Return the level at which two tests are compared: the shallower of the two deepest tested [m]."""
    return min(first.layout.deepest_m, second.layout.deepest_m)


def compare(first: Fit, second: Fit, well: Well, seed: int, duration_s: float = DAY_S) -> Comparison:
    """Compare two tests of one well at one level and time, the hole's area being one and the same.

    Parameters
    ----------
    first, second
        Fits of the earlier and the later test.
    well
        The record, for water injected in between.
    seed
        Seed of the pairing.
    duration_s
        Time the level is held [s].

    Notes
    -----
    Each fit sees d = ln a − ln q with its own rate error q and the hole's area a. Pairs of wells drawn apart are
    weighted by N(d₁, d₂)/(N(d₁) N(d₂)), where the two share a: variance σq² + σa², covariance σa². Given both,
    the area is drawn from its normal law, the rate errors follow, and the yields are scaled by them.
    """
    rng = np.random.default_rng([seed, 47])
    level = shared_level(first, second)
    i = rng.integers(first.wells.count, size=PAIRS)
    j = rng.integers(second.wells.count, size=PAIRS)
    seen = [fit.wells.rows[index, AREA] for fit, index in ((first, i), (second, j))]
    q, a = first.target.priors.rate_error**2, first.target.priors.area_error**2
    weights = _pair_weights(seen[0], seen[1], q, a)
    log_q = _rate_errors(seen[0], seen[1], q, a, rng)
    flows = []
    for fit, index, error in ((first, i, log_q[0]), (second, j, log_q[1])):
        at = (
            rock_yields(fit.wells, np.array([level]), np.array([duration_s]))[:, 0, 0] / fit.wells.rate_factor
        )
        flows.append(at[index] * np.exp(error))
    before, after = flows
    rose = float(np.sum(weights[after > before]) / np.sum(weights))
    return Comparison(
        before=first.layout.name,
        after=second.layout.name,
        level_m=level,
        duration_s=duration_s,
        before_rate=weighted_band(before, weights, "flow"),
        after_rate=weighted_band(after, weights, "flow"),
        factor=spread(after / before, "", weights) if np.all(before > 0) else None,
        gained_m3=weighted_band((after - before) * DAY_S, weights, "volume"),
        probability_rose=rose,
        warned=not_pumped_back(well, second),
    )


def _pair_weights(d1: Floats, d2: Floats, q: float, a: float) -> Floats:
    total = q + a
    correlation = a / total
    z1, z2 = d1 / np.sqrt(total), d2 / np.sqrt(total)
    shape = (z1**2 - 2 * correlation * z1 * z2 + z2**2) / (1 - correlation**2) - z1**2 - z2**2
    weights: Floats = np.exp(-0.5 * shape)
    return weights


def _rate_errors(d1: Floats, d2: Floats, q: float, a: float, rng: np.random.Generator) -> Floats:
    """Draw the two rate errors given both d = ln a − ln q: the one area first, then each rate follows."""
    precision = 1 / a + 2 / q
    log_area = rng.normal((d1 + d2) / q / precision, precision**-0.5)
    errors: Floats = np.stack((log_area - d1, log_area - d2))
    return errors


def not_pumped_back(well: Well, fit: Fit) -> tuple[Warned, ...]:
    """Warn while water put in by stimulation is not yet out again; nothing is subtracted.

    Notes
    -----
    Out is what the stimulation table says was recovered, and what this test pumped up to its last stop.
    """
    put_in = sum(s.injected.si for s in well.stimulations if s.injected is not None)
    if put_in <= 0 or fit.layout.name == "" or _before_stimulation(well, fit):
        return ()
    out = sum(s.recovered.si for s in well.stimulations if s.recovered is not None) + pumped_volume(fit)
    if out >= put_in:
        return ()
    say = phrase(
        "{put_in} were put in by stimulation and only {out} are known to be out again: the test reads high until the "
        "rest is back",
        put_in=Amount(put_in, "volume"),
        out=Amount(out, "volume"),
    )
    return (Warned(where="stimulation", say=say),)


def _before_stimulation(well: Well, fit: Fit) -> bool:
    index = int(fit.layout.where.removeprefix("test[").removesuffix("]"))
    return well.tests[index].when == "before stimulation"


def pumped_volume(fit: Fit) -> float:
    """Return the water a test took out, as recorded [m³]; a held level counts its measured outflow."""
    total = 0.0
    for stretch in fit.layout.timeline.stretches:
        if stretch.rate_m3s is not None and stretch.rate_m3s > 0:
            total += stretch.rate_m3s * (stretch.end_min - stretch.start_min) * 60.0
        total += max(stretch.taken_m3, 0.0)
    return total

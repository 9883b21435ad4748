"""Judge bands on one well of known truth: through the well file, the record and the fit, as a user's test goes."""

from __future__ import annotations

import time
from dataclasses import asdict, dataclass
from math import inf, log

import numpy as np

from benchmarks.calibration.crew import SyntheticWell
from benchmarks.calibration.truths import (
    FLOW_DIMENSION_CUT,
    FLOW_DIMENSION_MEAN,
    FLOW_DIMENSION_SD,
    SKIN,
    STORATIVITY,
    TRANSMISSIVITY_M2S,
)
from benchmarks.calibration.well_file import as_well_file
from ledgewell.record import read_well
from ledgewell.steps.prove.fitting import DAY_S, fit_test
from ledgewell.steps.prove.laws import Blend, Normal, Uniform
from ledgewell.steps.prove.layout import layout_of
from ledgewell.steps.prove.priors import Priors
from ledgewell.steps.prove.rock_yield import rock_yields

DAY_PLACE = 3
"""Place of the 24 h yield among the truth's yields."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One well judged: where the truth fell in the sample of 24 h yields, and the band.

    Parameters
    ----------
    rank
        Share of the sample below the truth.
    low, low_half, mid, high_half, high
        5, 25, 50, 75 and 95 % of the sample [m³/s].
    truth
        The true 24 h yield [m³/s].
    """

    seed: int
    stratum: str
    truth: float
    rank: float
    low: float
    low_half: float
    mid: float
    high_half: float
    high: float
    settled: bool
    rhat: float
    effective_size: float
    noise: bool
    drift: float
    scatter: float
    recovered_share: float
    reading_error_ft: float
    readings: int
    seconds: float

    def row(self) -> dict[str, object]:
        """Return it as a plain row."""
        return asdict(self)


def generator_priors() -> Priors:
    """Return the generator's own laws as priors: what knowing them would be worth."""
    cut = Normal(FLOW_DIMENSION_MEAN, FLOW_DIMENSION_SD, *FLOW_DIMENSION_CUT)
    return Priors(
        log_transmissivity=Uniform(log(TRANSMISSIVITY_M2S[0]), log(TRANSMISSIVITY_M2S[1])),
        log_storativity=Uniform(log(STORATIVITY[0]), log(STORATIVITY[1])),
        dimension=Blend(((0.5, cut), (0.5, Uniform(*FLOW_DIMENSION_CUT)))),
        skin=Uniform(*SKIN),
    )


def judge(well: SyntheticWell, priors: Priors, seed: int = 1) -> Judged:
    """Fit one synthetic well and place the truth in the sample of its 24 h yields at the deepest level tested.

    Parameters
    ----------
    well
        From `benchmarks.calibration.generator.make_well`.
    priors
        What the sampler believes.
    seed
        Seed of the sample.
    """
    began = time.perf_counter()
    layout = layout_of(read_well(as_well_file(well)), 0, priors)
    fit = fit_test(layout, priors, seed)
    flows = rock_yields(fit.wells, np.array([layout.deepest_m]), np.array([DAY_S]))[:, 0, 0]
    seconds = time.perf_counter() - began
    truth = well.truth.yields_m3s[DAY_PLACE]
    quantiles = [float(value) for value in np.quantile(flows, [0.05, 0.25, 0.5, 0.75, 0.95])]
    return Judged(
        seed=well.seed,
        stratum=well.stratum,
        truth=truth,
        rank=float(np.mean(flows < truth)),
        low=quantiles[0],
        low_half=quantiles[1],
        mid=quantiles[2],
        high_half=quantiles[3],
        high=quantiles[4],
        settled=fit.settled,
        rhat=fit.settling.rhat,
        effective_size=fit.settling.effective_size,
        noise=fit.misfit.noise,
        drift=fit.misfit.drift,
        scatter=fit.misfit.scatter,
        recovered_share=well.truth.recovered_share,
        reading_error_ft=well.truth.hole.reading_error_ft,
        readings=len(well.minutes),
        seconds=seconds,
    )


def log_width(low: float, high: float) -> float:
    """Return ln(high/low), infinite when the low figure is nothing."""
    return log(high / low) if low > 0 else inf

"""One more reading: the live answer stays near the settled one. Wells of known truth, independent of the engine."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from benchmarks.calibration.crew import SyntheticWell
from benchmarks.calibration.generator import make_well
from benchmarks.calibration.well_file import as_well_file

from ledgewell.record import read_well
from ledgewell.steps.prove.fitting import DAY_S, fit_test
from ledgewell.steps.prove.layout import Layout, layout_of
from ledgewell.steps.prove.live import update_live
from ledgewell.steps.prove.posterior import Wells
from ledgewell.steps.prove.priors import Priors
from ledgewell.steps.prove.rock_yield import rock_yields

PRIORS = Priors()


def laid_out(well: SyntheticWell) -> Layout:
    """A synthetic well as the fit takes it."""
    return layout_of(read_well(as_well_file(well)), 0, PRIORS)


def without_last(well: SyntheticWell, count: int) -> SyntheticWell:
    """The same test before its last readings."""
    return replace(well, minutes=well.minutes[:-count], levels_ft=well.levels_ft[:-count])


def day(wells: Wells, level_m: float) -> np.ndarray:
    """24 h yields at a level."""
    return rock_yields(wells, np.array([level_m]), np.array([DAY_S]))[:, 0, 0]


def test_live_and_settled_differ_by_a_tenth_of_the_band_at_most() -> None:
    shares = []
    for seed in (5000, 5003, 5005, 5008, 5014):
        well = make_well(seed, "centered")
        whole = laid_out(well)
        before = fit_test(laid_out(without_last(well, 2)), PRIORS, 1)
        live = update_live(before, laid_out(without_last(well, 1)))
        assert live is not None
        live = update_live(live, whole)
        assert live is not None
        settled = day(fit_test(whole, PRIORS, 1).wells, whole.deepest_m)
        low, middle, high = np.log(np.quantile(settled, [0.05, 0.5, 0.95]))
        shares.append(abs(np.log(np.median(day(live.wells, whole.deepest_m))) - middle) / (high - low))
    assert np.median(shares) <= 0.10


def test_a_test_of_other_unknowns_is_not_carried_over() -> None:
    well = make_well(5003, "centered")
    fit = fit_test(laid_out(well), PRIORS, 1)
    text = as_well_file(well).replace(f"rates = [[0, {well.rate_gpm:g}]", 'rates = [[0, "unknown"]')
    other = layout_of(read_well(text), 0, PRIORS)
    assert other.problem.width != fit.layout.problem.width
    assert update_live(fit, other) is None

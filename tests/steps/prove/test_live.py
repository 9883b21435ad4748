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


def off(found: np.ndarray, settled: np.ndarray) -> np.ndarray:
    """Low, middle and high of a sample off the settled ones, in widths of the settled band."""
    one, other = (np.log(np.quantile(yields, [0.05, 0.5, 0.95])) for yields in (found, settled))
    return np.abs(one - other) / (other[2] - other[0])


def test_live_and_settled_differ_by_a_tenth_of_the_band_at_most() -> None:
    live_off, unchanged_off = [], []
    for seed in (5000, 5003, 5005, 5008, 5014):
        well = make_well(seed, "centered")
        whole = laid_out(well)
        before = fit_test(laid_out(without_last(well, 4)), PRIORS, 1)
        live = update_live(before, laid_out(without_last(well, 2)))
        assert live is not None
        live = update_live(live, whole)
        assert live is not None
        settled = day(fit_test(whole, PRIORS, 1).wells, whole.deepest_m)
        live_off.append(off(day(live.wells, whole.deepest_m), settled))
        unchanged_off.append(off(day(before.wells, whole.deepest_m), settled))
    assert np.all(np.median(live_off, axis=0) <= 0.10)
    # a sample left as it was would be further off: the readings are taken in
    assert np.median(np.max(live_off, axis=1)) < 0.6 * np.median(np.max(unchanged_off, axis=1))


def test_a_second_rate_first_shows_the_loss_and_is_not_carried_over() -> None:
    head = 'format = 1\nunits = "us"\n[[bore]]\ntop = 0\nbottom = 400\ndiameter = 6\n[[test]]\nstatic_level = 40\n'
    levels = "[5, 49.2], [10, 57.1], [20, 70.1], [30, 80.2], [45, 91.5], [60, 99.6]"
    one, more, two = (
        layout_of(read_well(f"{head}rates = [{rates}]\nlevels = [{levels}{later}]"), 0, PRIORS)
        for rates, later in (
            ("[0, 3]", ""),
            ("[0, 3], [60, 3]", ", [65, 101.9]"),
            ("[0, 3], [60, 5]", ", [65, 106.1]"),
        )
    )
    fit = fit_test(one, PRIORS, 1)
    assert not fit.target.sees_loss
    assert fit_test(two, PRIORS, 1).target.sees_loss
    assert update_live(fit, more) is not None  # the same rate again shows nothing new
    assert update_live(fit, two) is None


def test_a_test_of_other_unknowns_is_not_carried_over() -> None:
    well = make_well(5003, "centered")
    fit = fit_test(laid_out(well), PRIORS, 1)
    text = as_well_file(well).replace(f"rates = [[0, {well.rate_gpm:g}]", 'rates = [[0, "unknown"]')
    other = layout_of(read_well(text), 0, PRIORS)
    assert other.problem.width != fit.layout.problem.width
    assert update_live(fit, other) is None

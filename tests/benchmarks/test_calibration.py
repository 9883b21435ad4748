"""Sixty wells of known truth, always the same: the 90 % band must hold the truth in 48 to 59 of them."""

from __future__ import annotations

import pytest
from benchmarks.calibration.generator import make_well
from benchmarks.calibration.judging import judge
from benchmarks.calibration.run import wells_of
from benchmarks.calibration.summary import judged, rank_histogram

from ledgewell.steps.prove.priors import Priors

FIRST_SEED = 6_000_000
"""Of these sixty; the release run has its own, used for nothing else."""


@pytest.mark.slow
def test_bands_hold_the_truth_about_nine_times_in_ten() -> None:
    rows = [
        judge(make_well(seed, stratum), Priors()).row() for seed, stratum in wells_of("main", 60, FIRST_SEED)
    ]
    found = judged(rows)
    assert 48 <= round(found["held_90"] * 60) <= 59
    assert found["unanswered"] <= 1 / 60
    assert abs(found["mean_bias"]) < 0.15
    assert sum(rank_histogram(rows)) == 60


def test_summary_counts_by_hand() -> None:
    row = {"truth": 2.0, "mid": 2.0, "low": 1.0, "high": 4.0, "settled": True, "rank": 0.5, "seconds": 1.0}
    found = judged([row, row | {"rank": 0.97}, row | {"rank": 0.1}, row | {"settled": False}])
    assert found["unanswered"] == 0.25
    assert found["held_90"] == pytest.approx(2 / 3)
    assert found["held_50"] == pytest.approx(1 / 3)
    assert found["median_width"] == pytest.approx(1.3862943611198906)
    assert rank_histogram([row, row | {"rank": 1.0}])[-1] == 1

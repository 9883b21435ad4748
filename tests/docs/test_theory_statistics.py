"""The equations of docs/theory/statistics.md hold, by routes that share no step. Imports no package code."""

from __future__ import annotations

import mpmath as mp
import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm


@pytest.mark.parametrize(("seen", "rate_scale", "area_scale"), [(0.05, 0.04, 0.03), (-0.02, 0.05, 0.01)])
def test_factor_given_what_the_levels_saw(seen: float, rate_scale: float, area_scale: float) -> None:
    """B6: given d = ln(area factor) - ln(rate factor), the rate factor is normal; by quadrature."""

    def moment(power: int) -> float:
        def weight(e: float) -> float:
            return e**power * norm.pdf(e, 0, rate_scale) * norm.pdf(seen + e, 0, area_scale)

        return quad(weight, -1, 1, points=[0.0, -seen], epsabs=1e-14, limit=200)[0]

    mean = moment(1) / moment(0)
    variance = moment(2) / moment(0) - mean**2
    together = rate_scale**2 + area_scale**2
    assert mean == pytest.approx(-seen * rate_scale**2 / together, rel=1e-8)
    assert variance == pytest.approx(rate_scale**2 * area_scale**2 / together, rel=1e-6)


def test_mixture_has_unit_mass_and_a_bounded_pull() -> None:
    """B3: the density integrates to 1, and one wild reading costs ln of a square, not a square."""
    share, scale, width = 0.05, 0.02, 5.0

    def density(residual: float) -> float:
        cauchy = 1 / (np.pi * width * scale * (1 + (residual / width / scale) ** 2))
        return float((1 - share) * norm.pdf(residual, 0, scale) + share * cauchy)

    inside, _ = quad(density, -50, 50, points=[-0.1, 0.0, 0.1], limit=400)
    tail = share * 2 * np.arctan2(width * scale, 50) / np.pi
    assert inside + tail == pytest.approx(1, abs=1e-8)
    assert np.log(density(1.0) / density(10.0)) == pytest.approx(2 * np.log(10), rel=0.01)


def split_rhat(chains: np.ndarray) -> float:
    """Return R-hat of already split chains by the between and within variances (equation B9)."""
    draws = chains.shape[1]
    within = chains.var(axis=1, ddof=1).mean()
    between = draws * chains.mean(axis=1).var(ddof=1)
    return float(np.sqrt(((draws - 1) / draws * within + between / draws) / within))


def test_rhat_of_chains_a_known_distance_apart() -> None:
    """B9: with unit spread inside and means +-m, R-hat tends to sqrt(1 + m²·M/(M-1)), M chains."""
    random = np.random.default_rng(7)
    offset, draws = 0.5, 200_000
    chains = random.standard_normal((4, draws)) + offset * np.array([[-1], [-1], [1], [1]])
    assert split_rhat(chains) == pytest.approx(np.sqrt(1 + offset**2 * 4 / 3), rel=2e-3)


def test_effective_size_of_an_autoregressive_chain() -> None:
    """B11: for x' = a x + noise the sum of autocorrelations gives N (1 - a)/(1 + a); so do Geyer's pairs."""
    random = np.random.default_rng(11)
    carry, draws = 0.8, 400_000
    noise = random.standard_normal(draws) * np.sqrt(1 - carry**2)
    chain = np.empty(draws)
    chain[0] = random.standard_normal()
    for index in range(1, draws):
        chain[index] = carry * chain[index - 1] + noise[index]
    centered = chain - chain.mean()
    spectrum = np.abs(np.fft.rfft(centered, 2 * draws)) ** 2
    correlation = np.fft.irfft(spectrum)[:200]
    correlation /= correlation[0]
    pairs = correlation[0::2] + correlation[1::2]
    pairs = pairs[: np.argmax(pairs < 0)] if (pairs < 0).any() else pairs
    time = -1 + 2 * np.minimum.accumulate(pairs).sum()
    assert draws / time == pytest.approx(draws * (1 - carry) / (1 + carry), rel=0.05)


def test_tempering_step_halves_the_effective_size() -> None:
    """B7: weights exp(d·l), l normal of spread s, keep the share exp(-d² s²); solved for one half."""
    random = np.random.default_rng(3)
    spread = 4.0
    loglikelihood = spread * random.standard_normal(1_000_000)
    step = np.sqrt(np.log(2)) / spread
    weight = np.exp(step * loglikelihood)
    assert weight.mean() ** 2 / (weight**2).mean() == pytest.approx(0.5, rel=0.02)


def test_determinant_of_the_change_of_unknowns() -> None:
    """B2: d(ln R, skin)/d(rho, b) = (g + skin)/b, by differences of the response, n = 2, t/tc = 500."""

    def g(t: float) -> float:
        def transform(p: complex) -> complex:
            mu = mp.sqrt(p)
            return mp.besselk(0, mu) / (mu * mp.besselk(1, mu)) / p

        with mp.workdps(30):
            return float(mp.invertlaplace(transform, t, method="talbot", degree=24))

    t, skin = 500.0, 3.0
    value, slope = g(t), (g(t * 1.001) - g(t / 1.001)) / (2 * np.log(1.001))

    def seen(log_resistance: float, skin: float) -> np.ndarray:
        return np.array([log_resistance + np.log(value + skin), slope / (value + skin)])

    by_resistance = (seen(10.001, skin) - seen(9.999, skin)) / 0.002
    by_skin = (seen(10.0, skin + 1e-3) - seen(10.0, skin - 1e-3)) / 2e-3
    forward = np.linalg.det(np.column_stack([by_resistance, by_skin]))
    assert 1 / abs(forward) == pytest.approx((value + skin) ** 2 / slope, rel=1e-6)


@pytest.mark.parametrize("carry", [0.45, 0.7, 0.9])
def test_drifting_errors_count_for_fewer(carry: float) -> None:
    """B12: N errors of correlation r^|i-j| tell of their mean what N (1 - r)/(1 + r) independent ones do."""
    count = 20_000
    lag = np.arange(1, count)
    variance_of_sum = count + 2 * float(np.sum((count - lag) * carry**lag))
    assert count**2 / variance_of_sum == pytest.approx(count * (1 - carry) / (1 + carry), rel=2e-3)


@pytest.mark.parametrize(("rate_scale", "area_scale"), [(0.04, 0.03), (0.02, 0.06)])
def test_area_shared_by_two_tests(rate_scale: float, area_scale: float) -> None:
    """B13, B14: the joint normal law of one area and two rates, conditioned by matrices."""
    scales = np.diag([area_scale**2, rate_scale**2, rate_scale**2])
    seen_from = np.array([[1.0, -1.0, 0.0], [1.0, 0.0, -1.0]])
    covariance = seen_from @ scales @ seen_from.T
    assert covariance[0, 0] == pytest.approx(rate_scale**2 + area_scale**2, rel=1e-9)
    assert covariance[0, 1] == pytest.approx(area_scale**2, rel=1e-9)
    seen = np.array([0.05, -0.01])
    cross = (scales @ seen_from.T)[0]
    mean = cross @ np.linalg.solve(covariance, seen)
    variance = area_scale**2 - cross @ np.linalg.solve(covariance, cross)
    left = 1 / (1 / area_scale**2 + 2 / rate_scale**2)
    assert left == pytest.approx(variance, rel=1e-9)
    assert left * seen.sum() / rate_scale**2 == pytest.approx(mean, rel=1e-9)

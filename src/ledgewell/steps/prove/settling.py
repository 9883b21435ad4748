"""Has the sample settled? Rank-normalized split R-hat and effective size, for chains of draws.

Source: vehtari2021.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

RHAT_LIMIT = 1.01
SIZE_LIMIT = 1000.0


@dataclass(frozen=True, slots=True)
class Settling:
    """How far a sample has settled.

    Parameters
    ----------
    rhat
        Largest rank-normalized split R-hat (bulk and folded).
    effective_size
        Smallest effective size (bulk, and the 5 % and 95 % tails).
    """

    rhat: float
    effective_size: float

    @property
    def settled(self) -> bool:
        """True when a band may be printed."""
        return self.rhat < RHAT_LIMIT and self.effective_size >= SIZE_LIMIT


def _split(draws: Floats) -> Floats:
    half = draws.shape[1] // 2
    return np.concatenate((draws[:, :half], draws[:, -half:]))


def _rank_normal(draws: Floats) -> Floats:
    from scipy.special import ndtri
    from scipy.stats import rankdata

    rank = rankdata(draws, method="average").reshape(draws.shape)
    scores: Floats = ndtri((rank - 0.375) / (draws.size + 0.25))
    return scores


def _rhat(chains: Floats) -> float:
    count = chains.shape[1]
    within = float(np.mean(np.var(chains, axis=1, ddof=1)))
    between = count * float(np.var(np.mean(chains, axis=1), ddof=1))
    if within == 0.0:
        return 1.0 if between == 0.0 else float("inf")
    return float(np.sqrt(((count - 1) / count * within + between / count) / within))


def _size(chains: Floats) -> float:
    number, count = chains.shape
    centered = chains - chains.mean(axis=1, keepdims=True)
    padded = 1 << (2 * count - 1).bit_length()
    spectrum = np.fft.rfft(centered, padded, axis=1)
    covariance = np.fft.irfft(np.abs(spectrum) ** 2, padded, axis=1)[:, :count].mean(axis=0) / count
    within = covariance[0] * count / (count - 1)
    if within == 0.0:
        return float(number * count)
    total = within * (count - 1) / count + float(np.var(chains.mean(axis=1), ddof=1))
    correlation = 1 - (within - covariance * count / (count - 1)) / total
    correlation[0] = 1.0
    pairs = correlation[: count - count % 2].reshape(-1, 2).sum(axis=1)
    negative = np.flatnonzero(pairs < 0)
    pairs = np.minimum.accumulate(pairs[: negative[0]] if len(negative) else pairs)
    span = max(-1 + 2 * float(pairs.sum()), 1 / np.log10(number * count))
    return float(number * count / span)


def settling_from_draws(draws: Floats) -> Settling:
    """Return R-hat and effective size of a quantity over chains.

    Parameters
    ----------
    draws
        Shape (chains, draws), at least two chains of at least eight draws; any strictly rising function of the
        quantity gives the same answer.

    Returns
    -------
    Settling

    Notes
    -----
    Chains are split in half; bulk R-hat on rank-normalized draws, and the same of |draw − median|; effective size of
    the rank-normalized draws and of the indicators of the 5 % and 95 % tails, by Geyer's monotone sequence.

    Examples
    --------
    >>> rng = np.random.default_rng(1)
    >>> found = settling_from_draws(rng.normal(size=(8, 500)))
    >>> found.settled, round(found.rhat, 2)
    (True, 1.0)
    """
    chains = _split(draws)
    bulk = _rank_normal(chains)
    folded = _rank_normal(np.abs(chains - np.median(chains)))
    low, high = np.quantile(chains, [0.05, 0.95])
    tails = [(chains <= low).astype(float), (chains <= high).astype(float)]
    return Settling(
        rhat=max(_rhat(bulk), _rhat(folded)),
        effective_size=min(_size(bulk), *(_size(tail) for tail in tails)),
    )

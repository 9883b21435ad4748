"""Draw from a posterior: tempered particles find it, then chains on a fitted mixture walk it until settled.

Nothing here knows of wells: a target gives ln prior and ln likelihood of rows of numbers, and rows drawn from its
prior. Source: delmoral2006 (tempered particles), terbraak2008 (differences of the population as steps).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, sqrt
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

PARTICLES = 800
SWEEPS = 4
CHAINS = 16
COMPONENTS = 8
POPULATION = 2500
KEPT_OF_BATCH = 500
_KEEP_HALF = 0.5
_GOAL_ACCEPTED = 0.25
_TAIL_FREEDOM = 5.0
_GOOD_INDEPENDENT = 0.1


class Target(Protocol):
    """What is to be sampled: rows of numbers, all of which move."""

    def start(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw rows from the prior."""

    def density(self, rows: Floats) -> tuple[Floats, Floats]:
        """Return ln prior and ln likelihood of rows; -inf where a row cannot be."""


@dataclass(slots=True)
class Cloud:
    """A population of rows with their ln prior and ln likelihood."""

    rows: Floats
    prior: Floats
    fit: Floats

    def move(self, where: NDArray[np.intp], rows: Floats, prior: Floats, fit: Floats) -> None:
        """Put accepted proposals in place."""
        self.rows[where], self.prior[where], self.fit[where] = rows, prior, fit

    def take(self, index: NDArray[np.intp]) -> Cloud:
        """Return the chosen members, repeated where asked."""
        return Cloud(self.rows[index].copy(), self.prior[index].copy(), self.fit[index].copy())


def _differences(rng: np.random.Generator, rows: Floats, others: Floats, scale: float) -> Floats:
    count, width = rows.shape
    first, second = rng.integers(len(others), size=(2, count))
    size = scale * 2.38 / sqrt(2 * width) * np.exp(rng.normal(0, 0.5, count))
    size[rng.random(count) < 0.1] = 1.0
    moved: Floats = rows + size[:, None] * (others[first] - others[second]) + rng.normal(0, 1e-6, rows.shape)
    return moved


def _next_temperature(fit: Floats, now: float) -> float:
    best = fit.max()

    def kept(after: float) -> float:
        weight = np.exp((after - now) * (fit - best))
        return float(weight.sum() ** 2 / (weight**2).sum() / len(fit))

    if kept(1.0) >= _KEEP_HALF:
        return 1.0
    low, high = now, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if kept(middle) >= _KEEP_HALF else (low, middle)
    return low


def sweep(target: Target, cloud: Cloud, rng: np.random.Generator, temperature: float, scale: float) -> float:
    """Move each half of the cloud by differences of the other; return the share accepted."""
    order = rng.permutation(len(cloud.rows))
    accepted = 0
    for half, rest in ((order[::2], order[1::2]), (order[1::2], order[::2])):
        proposed = _differences(rng, cloud.rows[half], cloud.rows[rest], scale)
        prior, fit = target.density(proposed)
        gain = prior - cloud.prior[half] + temperature * (fit - cloud.fit[half])
        yes = np.log(rng.random(len(half))) < gain
        cloud.move(half[yes], proposed[yes], prior[yes], fit[yes])
        accepted += int(yes.sum())
    return accepted / len(order)


def tempered(target: Target, rng: np.random.Generator, count: int = PARTICLES, sweeps: int = SWEEPS) -> Cloud:
    """Return a population brought from the prior to the posterior by rising temperature.

    Parameters
    ----------
    target
        What is to be sampled.
    rng
        Source of randomness; the same state gives the same population.
    count, sweeps
        Members, and moves of each at every temperature.

    Notes
    -----
    The temperature rises so that the weights keep half the effective size; members are resampled systematically and
    moved by differences of the other half of the population, the step scaled toward a quarter accepted.
    """
    rows = target.start(rng, count)
    cloud = Cloud(rows, *target.density(rows))
    temperature, scale = 0.0, 1.0
    while temperature < 1.0:
        after = _next_temperature(cloud.fit, temperature)
        weight = np.exp((after - temperature) * (cloud.fit - cloud.fit.max()))
        ladder = (rng.random() + np.arange(count)) / count * weight.sum()
        cloud = cloud.take(np.minimum(np.searchsorted(np.cumsum(weight), ladder), count - 1))
        temperature = after
        accepted = np.mean([sweep(target, cloud, rng, temperature, scale) for _ in range(sweeps)])
        scale = float(np.clip(scale * exp(float(accepted) - _GOAL_ACCEPTED), 0.2, 2.0))
    return cloud


def weighed(
    target: Target,
    rng: np.random.Generator,
    enough: float,
    batches: int = 8,
    batch: int = 25000,
    most: int = 1200000,
) -> tuple[Floats, float]:
    """Draw from the prior and keep rows by their likelihood: for targets so loose that the prior still tells.

    Parameters
    ----------
    target
        What is to be sampled.
    rng
        Source of randomness.
    enough
        Effective size wanted.
    batches, batch
        Number of batches, each drawn and kept apart so that they can be compared, and rows drawn into each at a time.
    most
        Rows drawn at the most.

    Returns
    -------
    tuple
        Rows kept, shape (batches, kept, width), and the effective size (Σw)²/Σw².
    """
    rows: list[list[Floats]] = [[] for _ in range(batches)]
    fits: list[list[Floats]] = [[] for _ in range(batches)]
    drawn, size = 0, 0.0
    while size < enough and drawn < most:
        for place in range(batches):
            fresh = target.start(rng, batch)
            _, fit = target.density(fresh)
            likely = fit > fit.max() - 30.0
            rows[place].append(fresh[likely])
            fits[place].append(fit[likely])
            drawn += batch
        every = np.concatenate([part for parts in fits for part in parts])
        weight = np.exp(every - every.max())
        size = float(weight.sum() ** 2 / (weight**2).sum())
    kept = []
    for parts, values in zip(rows, fits, strict=True):
        fit = np.concatenate(values)
        weight = np.exp(fit - fit.max())
        ladder = (rng.random() + np.arange(KEPT_OF_BATCH)) / KEPT_OF_BATCH * weight.sum()
        index = np.minimum(np.searchsorted(np.cumsum(weight), ladder), len(fit) - 1)
        kept.append(np.concatenate(parts)[rng.permutation(index)])
    return np.stack(kept), size


@dataclass(frozen=True, slots=True)
class Mixture:
    """A mixture of multivariate t laws fitted to a population, as a source of independent proposals."""

    center: Floats
    whitener: Floats
    share: Floats
    means: Floats
    roots: Floats

    @classmethod
    def fitted(cls, rows: Floats, rng: np.random.Generator, components: int = COMPONENTS) -> Mixture:
        """Fit by expectation-maximization on whitened rows, each covariance held from collapse."""
        count, width = rows.shape
        center = rows.mean(axis=0)
        spread = np.atleast_2d(np.cov(rows.T))
        whitener: Floats = np.asarray(
            np.linalg.cholesky(spread + np.diag(1e-9 * np.diag(spread) + 1e-18)), dtype=np.float64
        )
        z = np.linalg.solve(whitener, (rows - center).T).T
        means = z[rng.choice(count, components, replace=False)].copy()
        covariance = np.stack([0.5 * np.eye(width)] * components)
        share = np.full(components, 1 / components)
        for _ in range(12):
            roots: Floats = np.asarray(np.linalg.cholesky(covariance), dtype=np.float64)
            log_part = _log_normal(z, means, roots) + np.log(share)
            part = np.exp(log_part - log_part.max(axis=1, keepdims=True))
            part /= part.sum(axis=1, keepdims=True)
            held = part.sum(axis=0) + 1e-9
            share = held / held.sum()
            means = part.T @ z / held[:, None]
            for k in range(components):
                away = z - means[k]
                scatter = (part[:, k, None] * away).T @ away + width * np.eye(width) * 0.1
                covariance[k] = scatter / (held[k] + 0.1 * width)
        roots = np.asarray(np.linalg.cholesky(1.1 * covariance), dtype=np.float64)
        return cls(center, whitener, share, means, roots)

    def draw(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw rows."""
        width = len(self.center)
        which = rng.choice(len(self.share), count, p=self.share)
        stretch = np.sqrt(_TAIL_FREEDOM / rng.chisquare(_TAIL_FREEDOM, count))
        z = np.einsum("nij,nj->ni", self.roots[which], rng.normal(size=(count, width))) * stretch[:, None]
        drawn: Floats = self.center + (self.means[which] + z) @ self.whitener.T
        return drawn

    def log_density(self, rows: Floats) -> Floats:
        """Return ln density of rows, up to a constant."""
        z = np.linalg.solve(self.whitener, (rows - self.center).T).T
        width = z.shape[1]
        parts = np.empty((len(z), len(self.share)))
        for k, (mean, root) in enumerate(zip(self.means, self.roots, strict=True)):
            far = np.sum(np.linalg.solve(root, (z - mean).T) ** 2, axis=0)
            parts[:, k] = -0.5 * (_TAIL_FREEDOM + width) * np.log1p(far / _TAIL_FREEDOM)
            parts[:, k] += np.log(self.share[k]) - np.log(np.diag(root)).sum()
        best = parts.max(axis=1)
        total: Floats = best + np.log(np.exp(parts - best[:, None]).sum(axis=1))
        return total


def _log_normal(z: Floats, means: Floats, roots: Floats) -> Floats:
    log_part = np.empty((len(z), len(means)))
    for k, (mean, root) in enumerate(zip(means, roots, strict=True)):
        far = np.sum(np.linalg.solve(root, (z - mean).T) ** 2, axis=0)
        log_part[:, k] = -0.5 * far - np.log(np.diag(root)).sum()
    return log_part


@dataclass(frozen=True, slots=True)
class Walk:
    """What chains left behind: rows (chains, draws, width) and their ln likelihood (chains, draws)."""

    rows: Floats
    fit: Floats

    @property
    def flat(self) -> Floats:
        """All rows, chain after chain."""
        return self.rows.reshape(-1, self.rows.shape[2])


class Chains:
    """Chains that step by independent proposals from a mixture and by differences of a fixed population."""

    def __init__(self, target: Target, cloud: Cloud, rng: np.random.Generator, count: int = CHAINS) -> None:
        self.target, self.rng = target, rng
        self.independent_next, self.scale_next = 2, 0.7
        self.now = cloud.take(rng.choice(len(cloud.rows), count, replace=False))
        self.learn(cloud.rows)

    def learn(self, rows: Floats) -> None:
        """Fit the mixture anew and keep the rows as the population for differences; past draws no longer count."""
        if len(rows) > POPULATION:
            rows = rows[self.rng.choice(len(rows), POPULATION, replace=False)]
        self.population = rows.copy()
        self.mixture = Mixture.fitted(self.population, self.rng)
        self.law = self.mixture.log_density(self.now.rows)
        self.independent, self.scale = self.independent_next, self.scale_next

    def run(self, steps: int) -> Walk:
        """Take steps: of three, two independent and one by differences, or the other way where few are accepted."""
        count, width = self.now.rows.shape
        rows, fit = np.empty((count, steps, width)), np.empty((count, steps))
        independent = [step % 3 < self.independent for step in range(steps)]
        fresh = self.mixture.draw(self.rng, count * sum(independent))
        fresh_law = self.mixture.log_density(fresh).reshape(-1, count)
        fresh_prior, fresh_fit = (part.reshape(-1, count) for part in self.target.density(fresh))
        fresh = fresh.reshape(-1, count, width)
        place = accepted = moved = 0
        for step in range(steps):
            if independent[step]:
                law = fresh_law[place]
                accepted += self._step_to(
                    fresh[place], fresh_prior[place], fresh_fit[place], law, self.law - law
                )
                place += 1
            else:
                proposed = _differences(self.rng, self.now.rows, self.population, self.scale)
                prior, value = self.target.density(proposed)
                law = self.mixture.log_density(proposed)
                moved += self._step_to(proposed, prior, value, law, np.zeros(count))
            rows[:, step], fit[:, step] = self.now.rows, self.now.fit
        self.independent_next = 2 if accepted >= _GOOD_INDEPENDENT * place * count else 1
        share = moved / max(1, (steps - place) * count)
        self.scale_next = float(np.clip(self.scale * exp(2 * (share - _GOAL_ACCEPTED)), 0.2, 1.5))
        return Walk(rows, fit)

    def _step_to(self, rows: Floats, prior: Floats, fit: Floats, law: Floats, turn: Floats) -> int:
        gain = prior + fit - self.now.prior - self.now.fit + turn
        yes = np.flatnonzero(np.log(self.rng.random(len(rows))) < gain)
        self.now.move(yes, rows[yes], prior[yes], fit[yes])
        self.law[yes] = law[yes]
        return len(yes)

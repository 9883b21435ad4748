"""The few probability laws that priors are written in: each draws, and gives its ln density."""

from __future__ import annotations

from dataclasses import dataclass
from math import log, pi, sqrt
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Law(Protocol):
    """A law of one number."""

    def draw(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw numbers."""

    def log_density(self, x: Floats) -> Floats:
        """Return ln density, -inf outside."""


@dataclass(frozen=True, slots=True)
class Normal:
    """Normal, with mean and standard deviation; cut to a range when one is given.

    Examples
    --------
    >>> round(float(Normal(0.0, 1.0).log_density(np.array(0.0))), 4)
    -0.9189
    """

    mean: float
    sd: float
    low: float = -np.inf
    high: float = np.inf

    def draw(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw numbers, again and again where they fall outside the range."""
        drawn = rng.normal(self.mean, self.sd, count)
        while (outside := (drawn < self.low) | (drawn > self.high)).any():
            drawn[outside] = rng.normal(self.mean, self.sd, int(outside.sum()))
        return drawn

    def log_density(self, x: Floats) -> Floats:
        """Return ln density; a cut law is normalized over its range."""
        from scipy.special import ndtr

        z = (x - self.mean) / self.sd
        kept = ndtr((self.high - self.mean) / self.sd) - ndtr((self.low - self.mean) / self.sd)
        inside = (x >= self.low) & (x <= self.high)
        return np.where(inside, -0.5 * z * z - log(self.sd * sqrt(2 * pi) * kept), -np.inf)


@dataclass(frozen=True, slots=True)
class Uniform:
    """Uniform between two ends."""

    low: float
    high: float

    def draw(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw numbers."""
        return rng.uniform(self.low, self.high, count)

    def log_density(self, x: Floats) -> Floats:
        """Return ln density."""
        return np.where((x >= self.low) & (x <= self.high), -log(self.high - self.low), -np.inf)


@dataclass(frozen=True, slots=True)
class HalfNormal:
    """The size of a normal number about zero; negative values cannot be."""

    sd: float

    def draw(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw numbers."""
        return np.abs(rng.normal(0.0, self.sd, count))

    def log_density(self, x: Floats) -> Floats:
        """Return ln density."""
        return np.where(x >= 0, -0.5 * (x / self.sd) ** 2 + log(sqrt(2 / pi) / self.sd), -np.inf)


@dataclass(frozen=True, slots=True)
class Blend:
    """One of several laws, each with its share; shares sum to one."""

    parts: tuple[tuple[float, Law], ...]

    def draw(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw numbers."""
        which = rng.choice(len(self.parts), count, p=[share for share, _ in self.parts])
        columns = np.stack([law.draw(rng, count) for _, law in self.parts])
        drawn: Floats = columns[which, np.arange(count)]
        return drawn

    def log_density(self, x: Floats) -> Floats:
        """Return ln density."""
        densities = [log(share) + law.log_density(x) for share, law in self.parts]
        total: Floats = np.logaddexp.reduce(densities)
        return total

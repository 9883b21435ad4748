"""The wells that explain the readings: target of the sampler, and the settled sample it leaves."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import log, pi

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.problem import FIRST_FREE, Explained, FitProblem
from ledgewell.steps.prove.laws import Law, Normal
from ledgewell.steps.prove.priors import Priors

Floats = NDArray[np.float64]
RESPONSE, SLOPE, DIMENSION, TIME_CONSTANT, AREA, STATIC, SCATTER, LOSS = range(FIRST_FREE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Beliefs:
    """Laws of what is unknown in one test, beside the priors every well shares.

    Parameters
    ----------
    static
        True static level less the recorded one [m].
    shares
        ln share over the last fracture's, for each fracture above it.
    depth
        Depth of the last fracture [m], when unknown.
    drain
        Share of the drop pipe that drains back, when unknown.
    ramp
        Level to which an unwritten pumping lowered the water [m].
    rates
        ln of each unknown pump rate [ln m³/s].
    stretch
        ln of the true over the assumed length of a span of unknown length.
    """

    static: Law
    shares: tuple[Law, ...] = ()
    depth: Law | None = None
    drain: Law | None = None
    ramp: Law | None = None
    rates: tuple[Law, ...] = ()
    stretch: Law | None = None

    @property
    def free(self) -> tuple[Law, ...]:
        """Laws of the columns after the eight that every well has, in order."""
        depth = () if self.depth is None else (self.depth,)
        drain = () if self.drain is None else (self.drain,)
        stretch = () if self.stretch is None else (self.stretch,)
        ramp = () if self.ramp is None else (self.ramp,)
        return self.shares + depth + drain + ramp + self.rates + stretch


@dataclass(frozen=True)
class TestTarget:
    """Posterior of one test: ln prior and ln likelihood of candidates.

    Parameters
    ----------
    problem, beliefs, priors
        The test, what is unknown in it, and what is believed of any well.
    power
        Power of the likelihood; below 1 when the readings carry less than their number, as when residuals drift.
    sees_loss
        True when the test ran at several rates, so that the quadratic loss can be seen. Otherwise the loss is at the
        middle of its prior while sampling and is drawn from its prior afterwards.
    """

    __test__ = False

    problem: FitProblem
    beliefs: Beliefs
    priors: Priors = field(default_factory=Priors)
    power: float = 1.0
    sees_loss: bool = False

    @property
    def _seen_area(self) -> Normal:
        return Normal(0.0, float(np.hypot(self.priors.rate_error, self.priors.area_error)))

    def start(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw candidates from the prior."""
        priors = self.priors
        log_t = priors.log_transmissivity.draw(rng, count)
        log_tc = priors.log_storativity.draw(rng, count) - log_t + 2 * log(self.problem.radius_m)
        dimension, skin = priors.dimension.draw(rng, count), priors.skin.draw(rng, count)
        value, slope = self.problem.unit_response(dimension, log_tc)
        free = [law.draw(rng, count) for law in self.beliefs.free]
        shares = shares_from_ratios(np.stack([*free[: self.problem.share_columns], np.zeros(count)], axis=1))
        staying = np.log(shares @ self.problem.reach)
        static = self.beliefs.static.draw(rng, count)
        columns = [
            np.log(value + skin) - log_t - log(2 * pi) - staying - np.log(self.problem.drawn_m(static)),
            slope / (value + skin),
            dimension,
            log_tc,
            self._seen_area.draw(rng, count),
            static,
            priors.log_scatter.draw(rng, count),
        ]
        columns += [priors.log_loss.draw(rng, count)] if self.sees_loss else []
        return np.stack(columns + free, axis=1)

    def candidates(self, rows: Floats, loss: Floats | None = None) -> Floats:
        """Return candidates of the problem from sampled rows, the loss put in where it is not sampled."""
        if self.sees_loss:
            return rows
        column = np.full(len(rows), self.priors.log_loss_middle) if loss is None else loss
        return np.insert(rows, LOSS, column, axis=1)

    def density(self, rows: Floats) -> tuple[Floats, Floats]:
        """Return ln prior and ln likelihood of candidates."""
        rows = self.candidates(rows)
        explained = self.problem.explain(rows)
        return self.log_prior(rows, explained), self.power * explained.fit

    def log_prior(self, rows: Floats, explained: Explained) -> Floats:
        """Return ln prior of candidates in the columns they are sampled in.

        Notes
        -----
        (ln R, σ, n, ln tc) → (ln response, slope, n, ln tc) has the Jacobian (S(t)/R + σ)/slope, for shares and
        drawdown move ln response by a constant; (ln T, ln S) → (ln R, ln tc) has 1.
        """
        prior = np.full(len(rows), -np.inf)
        able = np.isfinite(explained.fit)
        y = rows[able]
        log_r = np.log(explained.resistance_s_m2[able])
        log_t = -log_r - log(2 * pi)
        log_s = log_t + y[:, TIME_CONSTANT] - 2 * log(self.problem.radius_m)
        priors, beliefs = self.priors, self.beliefs
        total = (
            priors.log_transmissivity.log_density(log_t)
            + priors.log_storativity.log_density(log_s)
            + priors.dimension.log_density(y[:, DIMENSION])
            + priors.skin.log_density(explained.skin[able])
            + np.log(explained.unit_response[able])
            - np.log(y[:, SLOPE])
            + self._seen_area.log_density(y[:, AREA])
            + beliefs.static.log_density(y[:, STATIC])
            + priors.log_scatter.log_density(y[:, SCATTER])
        )
        if self.sees_loss:
            total += priors.log_loss.log_density(y[:, LOSS])
        for place, law in enumerate(beliefs.free):
            total += law.log_density(y[:, FIRST_FREE + place])
        prior[able] = total
        return prior


@dataclass(frozen=True, slots=True, kw_only=True)
class Wells:
    """A sample of the wells that explain a test, all equally likely; every array has one row a well.

    Parameters
    ----------
    dimension, log_time_constant, resistance_s_m2, skin, loss_s2_m5
        n, ln tc, true R, σ and true C.
    shares, depths_m, heads_m
        Share, depth and static level of each fracture, shape (N, fractures).
    rest_m
        Static level of the well [m].
    rate_factor, area_factor
        True over recorded pump rate and hole area.
    rows, predicted
        The candidates themselves and their own readings.
    """

    dimension: Floats
    log_time_constant: Floats
    resistance_s_m2: Floats
    skin: Floats
    loss_s2_m5: Floats
    shares: Floats
    depths_m: Floats
    heads_m: Floats
    rest_m: Floats
    rate_factor: Floats
    area_factor: Floats
    rows: Floats
    predicted: Floats

    @property
    def count(self) -> int:
        """Number of wells."""
        return len(self.dimension)

    def take(self, index: NDArray[np.intp]) -> Wells:
        """Return the chosen wells, repeated where asked."""
        return replace(self, **{name: getattr(self, name)[index] for name in self.__dataclass_fields__})


def shares_from_ratios(log_ratios: Floats) -> Floats:
    """Return shares that sum to one from ln of their ratios, one row a well.

    Examples
    --------
    >>> shares_from_ratios(np.log([[1.0, 3.0]])).round(12).tolist()
    [[0.25, 0.75]]
    """
    parts = np.exp(log_ratios)
    shares: Floats = parts / parts.sum(axis=1, keepdims=True)
    return shares


def wells_from_rows(target: TestTarget, rows: Floats, rng: np.random.Generator) -> Wells:
    """Return the wells that candidates stand for, drawing the common factor of rate, area and 1/R.

    Parameters
    ----------
    target
        The test.
    rows
        Sampled rows, shape (N, columns).
    rng
        Source of randomness for the factor.

    Notes
    -----
    Only d = ln a − ln q is seen; given d, ln q is normal with mean −d σq²/(σq² + σa²) and variance
    σq² σa²/(σq² + σa²). Then a = q eᵈ, R = R_seen/q and C = C_seen/q².
    """
    rows = target.candidates(rows, None if target.sees_loss else target.priors.log_loss.draw(rng, len(rows)))
    explained = target.problem.explain(rows)
    rate, area = target.priors.rate_error**2, target.priors.area_error**2
    seen = rows[:, AREA]
    log_q = rng.normal(-seen * rate / (rate + area), np.sqrt(rate * area / (rate + area)))
    factor = np.exp(log_q)
    problem = target.problem
    ratios = rows[:, FIRST_FREE : FIRST_FREE + problem.share_columns]
    shares = shares_from_ratios(np.concatenate((ratios, np.zeros((len(rows), 1))), axis=1))
    depths = np.tile(np.array(problem.fracture_depths_m, dtype=float), (len(rows), 1))
    if problem.unknown_depth:
        depths[:, -1] = rows[:, problem.depth_column]
    rest = problem.static_m + rows[:, STATIC]
    return Wells(
        dimension=rows[:, DIMENSION],
        log_time_constant=rows[:, TIME_CONSTANT],
        resistance_s_m2=explained.resistance_s_m2 / factor,
        skin=explained.skin,
        loss_s2_m5=np.exp(rows[:, LOSS]) / factor**2,
        shares=shares,
        depths_m=depths,
        heads_m=rest[:, None] + np.array(problem.spare_heads_m, dtype=float),
        rest_m=rest,
        rate_factor=factor,
        area_factor=np.exp(seen) * factor,
        rows=rows,
        predicted=explained.predicted,
    )

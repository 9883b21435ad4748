"""March one well through what is done to it: levels, inflow by fracture, volumes, and how far the steps err."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledgewell.errors import LedgewellError, RangeError
from ledgewell.physics.march_plain import Marched, march_plain
from ledgewell.physics.model_well import ModelWell
from ledgewell.physics.rock import rock_terms
from ledgewell.physics.schedule import Span, Steps, steps_for

Floats = NDArray[np.float64]
FIRST_STEP_S = 1.0
"""Usual length of the first step after anything is done [s]."""
_BELOW_BOTTOM_M = 1e-6
_MOST_PER_DOUBLING = 512


class NotBalancedError(LedgewellError):
    """The water balance of a step could not be closed; the numbers given are beyond what floats can hold."""

    def __init__(self) -> None:
        super().__init__(
            "the water balance of a step would not close; a rate, an area or a resistance is out of reason"
        )


@dataclass(frozen=True, kw_only=True)
class Simulation:
    """What a well does under a schedule.

    Parameters
    ----------
    well, steps
        What was marched.
    level_m
        Depth to water at the start and after each step [m], shape (K + 1,); the times are `time_s`.
    inflow_m3s
        Inflow of each fracture at the start and the end of each step [m³/s], shape (K, 2, F); linear between.
    pumped_m3
        What left by the pump or over the top in each step [m³], shape (K,); negative is injected.
    taken_m3
        What was taken out at once as the step began [m³], shape (K,); negative is poured in.
    compiled
        Whether the compiled march was used.
    """

    well: ModelWell
    steps: Steps
    level_m: Floats
    inflow_m3s: Floats
    pumped_m3: Floats
    taken_m3: Floats
    compiled: bool

    @property
    def time_s(self) -> Floats:
        """Times of the levels [s], shape (K + 1,)."""
        return self.steps.time_s

    @property
    def total_inflow_m3s(self) -> Floats:
        """Inflow of all fractures at the end of each step [m³/s], shape (K,)."""
        total: Floats = self.inflow_m3s[:, 1].sum(axis=1)
        return total

    @cached_property
    def inflow_volume_m3(self) -> Floats:
        """Volume each fracture gave in each step [m³], shape (K, F)."""
        volume: Floats = self.inflow_m3s.mean(axis=1) * np.diff(self.time_s)[:, None]
        return volume

    @cached_property
    def emptied_m3(self) -> Floats:
        """Volume by which the hole was emptied in each step [m³], from the levels alone, shape (K,)."""
        volume = [self.well.shape.volume_to(level) for level in self.level_m.tolist()]
        return np.diff(np.array(volume))

    @property
    def balance_residual_m3(self) -> Floats:
        """What the water balance of each step is off by [m³], shape (K,): rounding, when all is well."""
        residual: Floats = (
            self.emptied_m3 + self.inflow_volume_m3.sum(axis=1) - self.pumped_m3 - self.taken_m3
        )
        return residual

    @property
    def balance_scale_m3(self) -> Floats:
        """Volume moved in each step [m³], shape (K,), that the residual is to be compared with."""
        moved = np.abs(self.inflow_m3s).sum(axis=(1, 2)) / 2 * np.diff(self.time_s)
        scale: Floats = np.abs(self.emptied_m3) + np.abs(self.pumped_m3) + np.abs(self.taken_m3) + moved
        return scale

    def level_at(self, time_s: ArrayLike) -> Floats:
        """Return the depth to water [m] at times within the schedule [s]; between steps from the water balance.

        Raises
        ------
        RangeError
            When a time lies outside the schedule.
        """
        times = np.asarray(time_s, dtype=float)
        if times.size and not (times.min() >= 0 and times.max() <= self.steps.longest_s * (1 + 1e-12)):
            raise RangeError("time_s", float(times.max()), f"between 0 and {self.steps.longest_s:g} s")
        place = np.clip(
            np.searchsorted(self.time_s[1:], times.ravel() * (1 - 1e-12)), 0, self.steps.count - 1
        )
        into = times.ravel() - self.time_s[place]
        level = [self._level_within(int(k), float(s)) for k, s in zip(place, into, strict=True)]
        return np.array(level).reshape(times.shape)

    def _level_within(self, k: int, into_s: float) -> float:
        if into_s <= 0:
            return float(self.level_m[k])
        shape, span = self.well.shape, self.steps.spans[self.steps.step_span[k]]
        seconds = float(self.time_s[k + 1] - self.time_s[k])
        part = into_s / seconds
        if span.level_m is not None:
            fresh = k == 0 or self.steps.step_span[k] != self.steps.step_span[k - 1]
            start = span.level_m[0] if fresh else float(self.level_m[k])
            return start + part * (float(self.level_m[k + 1]) - start)
        early, late = self.inflow_m3s[k].sum(axis=1)
        given = into_s * (early + 0.5 * part * (late - early))
        return shape.depth_after(float(self.level_m[k]), self.taken_m3[k] + part * self.pumped_m3[k] - given)


def simulate(
    well: ModelWell,
    spans: Sequence[Span],
    *,
    first_s: float = FIRST_STEP_S,
    per_doubling: int = 6,
    plain: bool = False,
) -> Simulation:
    """March a well through a schedule.

    Parameters
    ----------
    well
        Hole, fractures and rock.
    spans
        What is done, in order.
    first_s
        Length of the first step of each span [s].
    per_doubling
        Steps before their length doubles.
    plain
        Use the plain march and not the compiled one; it is used in any case where there is no compiler.

    Returns
    -------
    Simulation

    Raises
    ------
    RangeError
        When a level would lie below the bottom of the hole, or the rock and the schedule are out of range.
    NotBalancedError
        When a balance would not close.

    Examples
    --------
    >>> from ledgewell.physics.hole import HoleShape
    >>> from ledgewell.physics.model_well import Fracture, RockAtFace
    >>> rock = RockAtFace(resistance_s_m2=27502.0, time_constant_s=0.1003)
    >>> shape = HoleShape((0.0, 100.0), (0.018241,))
    >>> well = ModelWell(shape=shape, fractures=(Fracture(depth_m=90.0, head_m=0.0),), rock=rock)
    >>> hour = simulate(well, [Span(seconds=3600.0, rate_m3s=1.2618e-4)])
    >>> round(float(hour.level_m[-1]), 2)  # scenario A of the checks: 13.34 m
    13.34
    """
    return simulate_steps(well, steps_for(spans, first_s, per_doubling, shared=True), plain=plain)


def simulate_steps(well: ModelWell, steps: Steps, *, plain: bool = False) -> Simulation:
    """March a well through steps already laid; otherwise as `simulate`."""
    for span in steps.spans:
        if span.level_m is not None and max(span.level_m) > well.shape.bottom_m:
            raise RangeError("level_m", max(span.level_m), f"above the bottom, {well.shape.bottom_m:g} m")
    compiled = None if plain else _compiled_march()
    marched = march_plain(well, steps) if compiled is None else compiled(well, steps)
    deepest = float(marched.level_m.max())
    if deepest > well.shape.bottom_m + _BELOW_BOTTOM_M:
        raise RangeError(
            "taken_m3", deepest, f"no more than the hole holds down to {well.shape.bottom_m:g} m"
        )
    return Simulation(
        well=well,
        steps=steps,
        level_m=marched.level_m,
        inflow_m3s=marched.inflow_m3s,
        pumped_m3=marched.pumped_m3,
        taken_m3=marched.taken_m3,
        compiled=compiled is not None,
    )


def step_error_m(
    well: ModelWell,
    spans: Sequence[Span],
    *,
    first_s: float = FIRST_STEP_S,
    per_doubling: int = 6,
    plain: bool = False,
) -> float:
    """Return how far the levels of `simulate` with these steps are off because of them [m], by step doubling.

    Notes
    -----
    Each step is cut in two; as the march is second order its error is 4/3 of the largest change of a level.

    Examples
    --------
    >>> from ledgewell.physics.hole import HoleShape
    >>> from ledgewell.physics.model_well import Fracture, RockAtFace
    >>> rock = RockAtFace(resistance_s_m2=27502.0, time_constant_s=0.1003)
    >>> shape = HoleShape((0.0, 100.0), (0.018241,))
    >>> well = ModelWell(shape=shape, fractures=(Fracture(depth_m=90.0, head_m=0.0),), rock=rock)
    >>> 1e-4 < step_error_m(well, [Span(seconds=3600.0, rate_m3s=1.2618e-4)]) < 3e-3
    True
    """
    coarse = simulate(well, spans, first_s=first_s, per_doubling=per_doubling, plain=plain)
    fine = simulate(well, spans, first_s=first_s / 2, per_doubling=2 * per_doubling, plain=plain)
    return _error_of(coarse, fine)


def steps_held_to(
    well: ModelWell,
    spans: Sequence[Span],
    error_m: float,
    *,
    first_s: float = FIRST_STEP_S,
    per_doubling: int = 2,
    plain: bool = False,
) -> Steps:
    """Return steps so fine that the levels are off by no more than an error asked [m].

    Parameters
    ----------
    well, spans
        As for `simulate`.
    error_m
        Error asked [m]; a tenth of a reading's error is fit.
    first_s, per_doubling
        The coarsest steps to try; every step is then cut in two until the error holds.
    plain
        As for `simulate`.

    Raises
    ------
    RangeError
        When the error is not positive, or smaller than any steps can hold: what is left is the error of the stores.

    Examples
    --------
    >>> from ledgewell.physics.hole import HoleShape
    >>> from ledgewell.physics.model_well import Fracture, RockAtFace
    >>> rock = RockAtFace(resistance_s_m2=27502.0, time_constant_s=0.1003)
    >>> shape = HoleShape((0.0, 100.0), (0.018241,))
    >>> well = ModelWell(shape=shape, fractures=(Fracture(depth_m=90.0, head_m=0.0),), rock=rock)
    >>> [steps_held_to(well, [Span(seconds=3600.0, rate_m3s=1.2618e-4)], error).count for error in (0.03, 0.0005)]
    [22, 176]
    """
    if not error_m > 0:
        raise RangeError("error_m", error_m, "a positive error [m]")
    coarse = simulate(well, spans, first_s=first_s, per_doubling=per_doubling, plain=plain)
    while per_doubling <= _MOST_PER_DOUBLING:
        first_s, per_doubling = first_s / 2, 2 * per_doubling
        fine = simulate(well, spans, first_s=first_s, per_doubling=per_doubling, plain=plain)
        if _error_of(coarse, fine) <= error_m:
            return coarse.steps
        coarse = fine
    raise RangeError("error_m", error_m, "an error that some steps can hold")


def _error_of(coarse: Simulation, fine: Simulation) -> float:
    return float(np.max(np.abs(coarse.level_at(fine.time_s) - fine.level_m))) * 4 / 3


def _compiled_march() -> Callable[[ModelWell, Steps], Marched] | None:
    """Return the compiled march, or None where there is no compiler."""
    try:
        from ledgewell.physics.balance import UNSETTLED
        from ledgewell.physics.march import LEVEL, RATE, march
    except ImportError:
        return None

    def marched(well: ModelWell, steps: Steps) -> Marched:
        rock, spans, count = well.rock, steps.spans, steps.count
        terms = rock_terms(rock.dimension, rock.time_constant_s, steps.shortest_s, steps.longest_s)
        answer = Marched(
            np.empty(count + 1), np.empty((count, 2, len(well.fractures))), np.empty(count), np.empty(count)
        )
        state = march(
            terms.weights,
            terms.rates_per_s,
            terms.instantaneous,
            rock.time_constant_s,
            rock.resistance_s_m2,
            rock.skin,
            rock.loss_s2_m5,
            np.array([fracture.share for fracture in well.fractures]),
            np.array([fracture.depth_m for fracture in well.fractures]),
            np.array([fracture.head_m for fracture in well.fractures]),
            np.array(well.shape.bounds_m),
            np.array(well.shape.areas_m2),
            well.start_level_m,
            well.intake_m,
            well.spill_m,
            np.array([RATE if span.level_m is None else LEVEL for span in spans]),
            np.array([span.rate_m3s if span.level_m is None else span.level_m[0] for span in spans]),
            np.array([0.0 if span.level_m is None else span.level_m[1] for span in spans]),
            np.array([span.taken_m3 for span in spans]),
            np.array([span.drain_m2 for span in spans]),
            np.array([span.seconds for span in spans]),
            steps.step_span,
            steps.step_class,
            steps.class_s,
            answer.level_m,
            np.empty(count + 1),
            answer.pumped_m3,
            answer.taken_m3,
            answer.inflow_m3s,
        )
        if state == UNSETTLED:
            raise NotBalancedError
        return answer

    return marched

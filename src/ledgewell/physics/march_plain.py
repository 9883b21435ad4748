"""The march of hole and fractures in plain NumPy: the same scheme, written on its own, step by step.

It is what the compiled march is checked against, and what runs where the compiler cannot. A step's balance is
bracketed between the depths where the hole or the number of drained fractures changes and solved by SciPy's `brentq`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.model_well import ModelWell
from ledgewell.physics.rock import RockTerms, rock_terms
from ledgewell.physics.schedule import Span, Steps

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
_FINEST = 4 * float(np.finfo(np.float64).eps)


@dataclass(frozen=True, slots=True)
class Marched:
    """What a march gives.

    Parameters
    ----------
    level_m
        Depth to water at the start and after each step [m], shape (K + 1,).
    inflow_m3s
        Inflow of each fracture at the start and the end of each step [m³/s], shape (K, 2, F); linear between.
    pumped_m3
        What left by the pump or over the top in each step [m³], shape (K,); negative is injected.
    taken_m3
        What was taken out at once as the step began [m³], shape (K,); negative is poured in.
    """

    level_m: Floats
    inflow_m3s: Floats
    pumped_m3: Floats
    taken_m3: Floats


@dataclass(frozen=True, slots=True)
class _Leaving:
    """What a step of one length leaves in the stores: of themselves, of the inflow at its start and at its end."""

    fade: Floats
    old: Floats
    new: Floats

    @classmethod
    def over(cls, seconds: float, terms: RockTerms, well: ModelWell) -> _Leaving:
        """Integrate exp(−λ(Δ − s)) against 1 − s/Δ and s/Δ, by a series where λΔ is small."""
        x = terms.rates_per_s * seconds
        gain = well.rock.resistance_s_m2 * terms.weights * seconds / well.rock.time_constant_s
        small = x < 0.01
        y = np.where(small, 1.0, x)
        mean = -np.expm1(-y) / y
        early = 1 / 2 - x / 3 + x**2 / 8 - x**3 / 30 + x**4 / 144 - x**5 / 840
        late = 1 / 2 - x / 6 + x**2 / 24 - x**3 / 120 + x**4 / 720 - x**5 / 5040
        old = gain * np.where(small, early, (mean - np.exp(-y)) / y)
        new = gain * np.where(small, late, (1 - mean) / y)
        return cls(np.exp(-x), old, new)

    def all_at_the_end(self) -> _Leaving:
        """Return the same for an inflow that is constant over the step."""
        return _Leaving(self.fade, 0 * self.old, self.old + self.new)


@dataclass(frozen=True, slots=True)
class _End:
    """How a step ends: level, inflow over share of each fracture, what left by the pump or over the top."""

    level_m: float
    fluxes: Floats
    pumped_m3: float = 0.0
    at_mouth: bool = False


@dataclass(frozen=True, slots=True)
class _Balance:
    """The balance of one step: volume out of the hole, plus the inflow the end stands for, must come to `target`."""

    well: ModelWell
    memory_m: Floats
    through_s_m2: float
    weight_s: float
    target_m3: float

    def fluxes(self, level_m: float, drained: Flags) -> Floats:
        """Return each fracture's inflow over share: through·q + loss·q|q| = drive; a drained one never takes."""
        depths = np.array([fracture.depth_m for fracture in self.well.fractures])
        heads = np.array([fracture.head_m for fracture in self.well.fractures])
        drive = np.where(drained, depths, level_m) - heads - self.memory_m
        root = np.sqrt(self.through_s_m2**2 + 4 * self.well.rock.loss_s2_m5 * np.abs(drive))
        flux: Floats = 2 * drive / (self.through_s_m2 + root)
        return np.where(drained, np.maximum(flux, 0.0), flux)

    def excess(self, level_m: float, drained: Flags) -> float:
        """Return what the balance is off by; it rises with the level."""
        flow = float(_shares(self.well) @ self.fluxes(level_m, drained))
        return self.well.shape.volume_to(level_m) + self.weight_s * flow - self.target_m3

    def drained_at(self, level_m: float) -> Flags:
        """Tell which fractures lie at or above a level."""
        return np.array([fracture.depth_m <= level_m for fracture in self.well.fractures])

    def solved(self) -> _End:
        """Return how the step ends when nothing more is pumped."""
        mouths = [fracture.depth_m for fracture in self.well.fractures]
        drained = self.drained_at(-np.inf)
        edges = sorted({*mouths, *self.well.shape.bounds_m[:-1]})
        below = edges[0] - 1.0
        while self.excess(below, drained) > 0:
            below -= 2 * (edges[0] - below)
        for edge in edges:
            if self.excess(edge, drained) >= 0:
                return self._between(below, edge, drained)
            after = self.drained_at(edge)
            excess = self.excess(edge, after)
            if excess >= 0:
                fluxes = self.fluxes(edge, after)
                mouth = mouths.index(edge)
                fluxes[mouth] -= excess / (self.weight_s * _shares(self.well)[mouth])
                return _End(edge, fluxes, at_mouth=True)
            below, drained = edge, after
        above = below + 1.0
        while self.excess(above, drained) < 0:
            above += 2 * (above - below)
        return self._between(below, above, drained)

    def _between(self, low_m: float, high_m: float, drained: Flags) -> _End:
        from scipy.optimize import brentq

        level = float(brentq(self.excess, low_m, high_m, args=(drained,), xtol=1e-15, rtol=_FINEST))
        return _End(level, self.fluxes(level, drained))

    def stopped(self, level_m: float) -> _End:
        """Return how the step ends at a level it must end at."""
        drained = self.drained_at(level_m)
        return _End(level_m, self.fluxes(level_m, drained), self.excess(level_m, drained))

    def pumped(self, given_m3: float) -> _End:
        """Return how the step ends when so much is asked of the pump."""
        asked = replace(self, target_m3=self.target_m3 + given_m3)
        end = replace(asked.solved(), pumped_m3=given_m3)
        if given_m3 > 0 and end.level_m > self.well.intake_m:
            end = self.solved()
            if end.level_m < self.well.intake_m:
                end = self.stopped(self.well.intake_m)
        return self.stopped(self.well.spill_m) if end.level_m < self.well.spill_m else end


def march_plain(well: ModelWell, steps: Steps) -> Marched:
    """March a well through a schedule, one step after another.

    Parameters
    ----------
    well
        Hole, fractures and rock.
    steps
        The schedule and its steps.

    Returns
    -------
    Marched

    Raises
    ------
    RangeError
        When the rock and the schedule need stores beyond the lattice.

    Notes
    -----
    Xⱼ ← Xⱼ exp(−λⱼΔ) + oⱼ q₀ + eⱼ q₁ for inflow linear from q₀ to q₁ over the step; the level at the mouth is head + Σ Xⱼ
    + R (r + σ) q₁ + C q₁|q₁|. In a step begun anew q₀ = q₁; see `march`.

    Examples
    --------
    >>> from ledgewell.physics.hole import HoleShape
    >>> from ledgewell.physics.model_well import Fracture, RockAtFace
    >>> from ledgewell.physics.schedule import steps_for
    >>> rock = RockAtFace(resistance_s_m2=27502.0, time_constant_s=0.1003)
    >>> shape = HoleShape((0.0, 100.0), (0.018241,))
    >>> well = ModelWell(shape=shape, fractures=(Fracture(depth_m=90.0, head_m=0.0),), rock=rock)
    >>> steps = steps_for([Span(seconds=3600.0, rate_m3s=1.2618e-4)], first_s=5.0)
    >>> round(float(march_plain(well, steps).level_m[-1]), 2)  # scenario A of the checks: 13.34 m after an hour
    13.34
    """
    return _Run(well, steps).marched()


def _shares(well: ModelWell) -> Floats:
    return np.array([fracture.share for fracture in well.fractures])


class _Run:
    """One march; what changes from step to step lives here."""

    def __init__(self, well: ModelWell, steps: Steps) -> None:
        rock = well.rock
        self.well, self.steps, self.shares = well, steps, _shares(well)
        self.terms = rock_terms(rock.dimension, rock.time_constant_s, steps.shortest_s, steps.longest_s)
        self.stored_m = np.zeros((len(self.shares), self.terms.count))
        self.level_m = well.start_level_m
        self.at_once_s_m2 = rock.resistance_s_m2 * (self.terms.instantaneous + rock.skin)
        self.fluxes = (
            _Balance(well, 0 * self.shares, self.at_once_s_m2, 0.0, 0.0).stopped(self.level_m).fluxes
        )
        self.anew = bool(np.any(self.fluxes != 0))

    def marched(self) -> Marched:
        """Take every step."""
        count, leaving = (
            self.steps.count,
            [_Leaving.over(s, self.terms, self.well) for s in self.steps.class_s],
        )
        level, inflow = np.full(count + 1, self.level_m), np.zeros((count, 2, len(self.shares)))
        pumped, taken = np.zeros(count), np.zeros(count)
        into_s = 0.0
        for k in range(count):
            place, kind = self.steps.step_span[k], self.steps.step_class[k]
            span, seconds = self.steps.spans[place], float(self.steps.class_s[kind])
            if k == 0 or place != self.steps.step_span[k - 1]:
                taken[k] = self._begin(span)
                self.anew = self.anew or (span.level_m is None and self._stiff(leaving[kind], seconds))
                into_s = 0.0
            into_s += seconds
            old, new, pumped[k] = self._step(span, seconds, into_s, leaving[kind])
            inflow[k] = self.shares * old, self.shares * new
            level[k + 1] = self.level_m
        return Marched(level, inflow, pumped, taken)

    def _begin(self, span: Span) -> float:
        """Take out at once what a span begins with, or set the level it holds; return the volume."""
        shape, before = self.well.shape, self.level_m
        if span.level_m is not None:
            self.level_m = span.level_m[0]
            self.anew = self.anew or self.level_m != before
            return shape.volume_between(before, self.level_m)
        taken = span.taken_m3 - span.drain_m2 * max(before, 0.0)
        if taken != 0:
            self.level_m = shape.depth_after(before, taken)
            self.anew = True
        return taken

    def _stiff(self, leaving: _Leaving, seconds: float) -> bool:
        """Tell whether a step is more than twice the time in which the hole follows the rock."""
        through = self.at_once_s_m2 + float(leaving.new.sum())
        return seconds > 2 * through * self.well.shape.area_at(self.level_m)

    def _step(
        self, span: Span, seconds: float, into_s: float, leaving: _Leaving
    ) -> tuple[Floats, Floats, float]:
        """Take one step; return the inflow over share at its start and end, and the volume pumped."""
        weight, old = seconds / 2, self.fluxes
        if self.anew:
            leaving, weight, old = leaving.all_at_the_end(), seconds, 0 * self.fluxes
        stored = leaving.fade * self.stored_m + leaving.old * old[:, None]
        through = self.at_once_s_m2 + float(leaving.new.sum())
        target = self.well.shape.volume_to(self.level_m) - weight * float(self.shares @ old)
        balance = _Balance(self.well, stored.sum(axis=1), through, weight, target)
        if span.level_m is None:
            end = balance.pumped(seconds * span.rate_m3s)
        else:
            first, last = span.level_m
            end = balance.stopped(first + min(into_s / span.seconds, 1) * (last - first))
        self.stored_m = stored + leaving.new * end.fluxes[:, None]
        old = end.fluxes if self.anew else old
        self.level_m, self.fluxes, self.anew = end.level_m, end.fluxes, end.at_mouth
        return old, end.fluxes, end.pumped_m3

"""One test of one well, laid out for the compiled fit: hole, fractures, schedule, readings and what is unknown."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from math import inf

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.hole import HoleShape
from ledgewell.physics.rock import store_tables
from ledgewell.physics.schedule import Steps

Floats = NDArray[np.float64]
LEVEL_READ, DEEPER_THAN, FLOW_READ = 0, 1, 2
WANDER_FLOOR = 0.003
"""Least misfit of a level, as a share of drawdown: a pump's rate wanders. Measured on prototypes (see decisions)."""
LEAST_DRAWN_M = 0.001
"""Drawdown under which a test has not drawn its well down at all; as in `ledgewell.physics.fit`."""
FIRST_FREE = 8
"""Column of a candidate after the eight that every well has; see `ledgewell.physics.fit.Place`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading to be explained.

    Parameters
    ----------
    at_s
        Time since the schedule began [s].
    value
        Level [m] or outflow [m³/s].
    kind
        ``LEVEL_READ``, ``DEEPER_THAN`` (a level known only to be deeper) or ``FLOW_READ`` (outflow while held).
    error
        The method's usual error [m] or [m³/s], one standard deviation.
    """

    at_s: float
    value: float
    error: float
    kind: int = LEVEL_READ


@dataclass(frozen=True, kw_only=True)
class FitProblem:
    """Everything the fit of one test needs, in SI.

    Parameters
    ----------
    shape
        Free area of the hole by depth, as recorded.
    radius_m
        Radius of the open bore, for S from tc [m].
    static_m
        Recorded (or guessed) static level, depth below the measuring point [m].
    fracture_depths_m
        Depths of the fractures from the top down [m]; one very deep one when none matters.
    spare_heads_m
        Static level of each fracture less the well's [m], 0 unless known.
    steps
        Schedule and its steps. A span with ``unknown`` set takes its rate from the candidate.
    unknown_spans, stretched_spans
        Spans whose pump rate, and whose duration, is unknown; each unknown rate has its own column, all stretched
        spans share one.
    readings
        What is to be explained, in order of time.
    deepest_m
        Deepest level tested [m]: the response is sampled as it is there, fractures above it drained.
    unknown_depth, unknown_drain
        Whether the depth of the last fracture, and the share of the drop pipe that drains back, are unknown.
    ramped
        Whether the first span lowers the level on a straight line from rest to a level of its own column: a pumping
        that nobody wrote down.
    intake_m, spill_m
        Level below which the pump breaks suction, and above which the well overflows [m].
    reference_s
        Time at which response and slope of a candidate are taken [s].
    """

    shape: HoleShape
    radius_m: float
    static_m: float
    fracture_depths_m: tuple[float, ...]
    spare_heads_m: tuple[float, ...]
    steps: Steps
    readings: tuple[Reading, ...]
    reference_s: float
    unknown_spans: tuple[int, ...] = ()
    stretched_spans: tuple[int, ...] = ()
    deepest_m: float = inf
    unknown_depth: bool = False
    unknown_drain: bool = False
    ramped: bool = False
    intake_m: float = inf
    spill_m: float = -inf
    floor: float = WANDER_FLOOR
    _tables: Floats = field(default_factory=store_tables, repr=False)

    @property
    def share_columns(self) -> int:
        """Number of columns for fracture shares."""
        return len(self.fracture_depths_m) - 1

    @cached_property
    def reach(self) -> Floats:
        """Share of the deepest drawdown that each fracture feels: under 1 where the level went below it."""
        most = max(self.deepest_m - self.static_m, 1e-3)
        felt = np.minimum(np.array(self.fracture_depths_m), self.deepest_m) - self.static_m
        return np.clip(felt / most, 1e-3, 1.0) if np.isfinite(most) else np.ones(len(felt))

    def drawn_m(self, static_offset_m: Floats) -> Floats:
        """Return the drawdown at the deepest level tested for true static levels off the recorded one; 1 without one."""
        if not np.isfinite(self.deepest_m):
            return np.ones(len(static_offset_m))
        return np.maximum(self.deepest_m - self.static_m - static_offset_m, LEAST_DRAWN_M)

    @property
    def width(self) -> int:
        """Number of columns of a candidate."""
        return (
            FIRST_FREE
            + self.share_columns
            + int(self.unknown_depth)
            + int(self.unknown_drain)
            + int(self.ramped)
            + len(self.unknown_spans)
            + (1 if self.stretched_spans else 0)
        )

    @property
    def depth_column(self) -> int:
        """Column of the unknown depth of the last fracture, -1 when all are known."""
        return FIRST_FREE + self.share_columns if self.unknown_depth else -1

    @property
    def drain_column(self) -> int:
        """Column of the share of the drop pipe that drains back, -1 when it is known."""
        return FIRST_FREE + self.share_columns + int(self.unknown_depth) if self.unknown_drain else -1

    @property
    def ramp_column(self) -> int:
        """Column of the level to which an unwritten pumping lowered the water, -1 when there was none."""
        before = self.share_columns + int(self.unknown_depth) + int(self.unknown_drain)
        return FIRST_FREE + before if self.ramped else -1

    @property
    def first_rate_column(self) -> int:
        """Column of the first unknown rate."""
        unknown = int(self.unknown_depth) + int(self.unknown_drain) + int(self.ramped)
        return FIRST_FREE + self.share_columns + unknown

    @cached_property
    def _packed(self) -> tuple[object, ...]:
        spans, steps = self.steps.spans, self.steps
        unknown = np.full(len(spans), -1)
        for place, span in enumerate(self.unknown_spans):
            unknown[span] = self.first_rate_column + place
        stretch = np.full(len(spans), -1)
        for span in self.stretched_spans:
            stretch[span] = self.width - 1
        held = [span.level_m is not None for span in spans]
        class_span = np.zeros(len(steps.class_s), dtype=np.int64)
        class_span[steps.step_class] = steps.step_span
        read_step, read_into = self._placed()
        return (
            self._tables,
            self.reference_s,
            self.static_m,
            np.array(self.spare_heads_m, dtype=float),
            np.array(self.fracture_depths_m, dtype=float),
            self.reach,
            self.deepest_m,
            self.depth_column,
            self.drain_column,
            self.ramp_column,
            np.array(self.shape.bounds_m, dtype=float),
            np.array(self.shape.areas_m2, dtype=float),
            self.intake_m,
            self.spill_m,
            np.array(held, dtype=np.int64),
            np.array(
                [span.rate_m3s if span.level_m is None else span.level_m[0] for span in spans], dtype=float
            ),
            np.array([0.0 if span.level_m is None else span.level_m[1] for span in spans], dtype=float),
            np.array([span.taken_m3 for span in spans], dtype=float),
            np.array([span.drain_m2 for span in spans], dtype=float),
            np.array([span.seconds for span in spans], dtype=float),
            unknown,
            stretch,
            steps.step_span,
            steps.step_class,
            class_span,
            steps.class_s,
            read_step,
            read_into,
            np.array([reading.value for reading in self.readings], dtype=float),
            np.array([reading.kind for reading in self.readings], dtype=np.int64),
            np.array([reading.error for reading in self.readings], dtype=float),
            self.floor,
        )

    def _placed(self) -> tuple[NDArray[np.int64], Floats]:
        """Return the step each reading falls in and how far into it, 0 to 1; at a bound, the step that ends there."""
        times = np.array([reading.at_s for reading in self.readings], dtype=float)
        ends = self.steps.time_s[1:]
        place = np.clip(np.searchsorted(ends, times * (1 - 1e-12)), 0, self.steps.count - 1)
        start = self.steps.time_s[place]
        return place.astype(np.int64), (times - start) / (self.steps.time_s[place + 1] - start)

    def unit_response(self, dimension: Floats, log_time_constant: Floats) -> tuple[Floats, Floats]:
        """Return drawdown per unit inflow at the reference time, in units of R, and its slope in ln t.

        Parameters
        ----------
        dimension, log_time_constant
            n and ln tc [ln s] of each candidate, shape (N,).
        """
        from ledgewell.physics.fit import unit_responses

        value, slope = np.empty(len(dimension)), np.empty(len(dimension))
        unit_responses(
            self._tables,
            dimension,
            log_time_constant,
            self.reference_s,
            min(self.steps.shortest_s, self.reference_s),
            max(self.steps.longest_s, self.reference_s),
            value,
            slope,
        )
        return value, slope

    def explain(self, candidates: Floats) -> Explained:
        """Return how well each candidate explains the readings.

        Parameters
        ----------
        candidates
            Shape (N, width), columns as `ledgewell.physics.fit.Place`.

        Returns
        -------
        Explained
        """
        from ledgewell.physics.fit import explain

        wells = len(candidates)
        answer = Explained(
            fit=np.empty(wells),
            skin=np.full(wells, np.nan),
            resistance_s_m2=np.full(wells, np.nan),
            unit_response=np.full(wells, np.nan),
            predicted=np.full((wells, len(self.readings)), np.nan),
        )
        explain(
            np.ascontiguousarray(candidates, dtype=float),
            *self._packed,
            answer.predicted,
            answer.fit,
            answer.skin,
            answer.resistance_s_m2,
            answer.unit_response,
        )
        return answer


@dataclass(frozen=True, slots=True)
class Explained:
    """How candidates explain the readings.

    Parameters
    ----------
    fit
        ln likelihood, shape (N,); -inf where no such well can be.
    skin, resistance_s_m2
        Skin and R (relative to the pump rate) of each candidate, shape (N,).
    unit_response
        Drawdown at the reference time per unit inflow, skin included, in units of R, shape (N,).
    predicted
        Each candidate's own readings, shape (N, readings).
    """

    fit: Floats
    skin: Floats
    resistance_s_m2: Floats
    unit_response: Floats
    predicted: Floats

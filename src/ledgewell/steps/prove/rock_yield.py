"""Rock yield: what flows in after a level has been held for a time, for every well of a sample."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.rock import store_tables
from ledgewell.physics.schedule import Span, steps_for
from ledgewell.steps.prove.posterior import Wells

Floats = NDArray[np.float64]
_FIRST_STEP_S = 60.0
_REST_S = 100 * 86400.0


def rock_yields(wells: Wells, levels_m: Floats, durations_s: Floats) -> Floats:
    """Return the inflow of each well after its level is held at each depth for each time.

    Parameters
    ----------
    wells
        The sample.
    levels_m
        Levels held, depth below the measuring point [m], shape (L,).
    durations_s
        Times [s], rising, shape (D,).

    Returns
    -------
    ndarray
        Inflow [m³/s], shape (N, L, D).
    """
    from ledgewell.physics.held import held_inflows

    wanted = np.asarray(durations_s, dtype=float)
    unequal = bool(np.any(wells.heads_m != wells.rest_m[:, None]))
    spans = [Span(seconds=float(wanted[-1]), level_m=(0.0, 0.0))]
    if unequal:
        spans.insert(0, Span(seconds=_REST_S))
    steps = steps_for(spans, _FIRST_STEP_S, 5)
    inflow = np.empty((wells.count, len(levels_m), len(wanted)))
    held_inflows(
        store_tables(),
        wells.dimension,
        wells.log_time_constant,
        wells.resistance_s_m2,
        wells.skin,
        wells.loss_s2_m5,
        wells.shares,
        wells.depths_m,
        wells.heads_m,
        wells.rest_m,
        np.asarray(levels_m, dtype=float),
        np.array([1], dtype=np.int64) if not unequal else np.array([0, 1], dtype=np.int64),
        np.array([span.seconds for span in spans]),
        steps.step_span,
        steps.step_class,
        steps.class_s,
        steps.time_s,
        wanted,
        inflow,
    )
    return inflow

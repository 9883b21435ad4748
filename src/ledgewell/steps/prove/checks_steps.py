"""Cross-check of a step test: s = BQ + CQ², on what the rock gave and not on what the pump took."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ledgewell.physics.problem import Reading
from ledgewell.steps.prove.crosscheck import STORAGE_SHARE, CrossCheck
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.layout import Layout
from ledgewell.steps.prove.timeline import Stretch


def step_check(layout: Layout, fit: Fit) -> CrossCheck | None:
    """Return B and C from three or more rising rates, None for another test.

    Parameters
    ----------
    layout, fit
        The test and its fit.

    Notes
    -----
    Rock inflow at the end of each step is the pump rate less what the hole gave up, A Δh/Δt over the step's last
    tenth at the fitted well; s/Q = B + CQ by least squares. Steps in which stored water is more than 5 % of the pump
    rate are flagged. Source: jacob1947.
    """
    from ledgewell.physics.closed_forms.step_test import loss_fit
    from ledgewell.physics.closed_forms.well_loss import step_test_validity

    steps = [s for s in layout.timeline.stretches if s.pumping and s.rate_m3s and s.start_min >= 0]
    if len(steps) < 3 or any(b.rate_m3s <= a.rate_m3s for a, b in zip(steps, steps[1:], strict=False)):  # type: ignore[operator]
        return None
    levels, earlier = _ends(layout, fit, steps)
    tenth = np.array([(s.end_min - s.start_min) * 6.0 for s in steps])
    rates = np.array([s.rate_m3s for s in steps], dtype=float)
    stored = np.array(
        [layout.shape.volume_between(a, b) / t for a, b, t in zip(earlier, levels, tenth, strict=True)]
    )
    rock = rates - stored
    if np.any(rock <= 0):
        return None
    fitted = loss_fit(rock, levels - layout.static_m)
    valid = step_test_validity(stored / rates, fitted.well_loss_s2m5)
    flagged = [place + 1 for place in np.flatnonzero(stored / rates > STORAGE_SHARE)]
    why = valid.why
    if flagged:
        why += f"; stored water fed steps {', '.join(map(str, flagged))} by more than {STORAGE_SHARE:.0%}"
    return CrossCheck(
        method="step test, s = BQ + CQ² on rock inflow",
        valid=valid.valid,
        why=why,
        values=(("B", (fitted.formation_loss_sm2, "s/m²")), ("C", (fitted.well_loss_s2m5, "s²/m⁵"))),
        window=f"the ends of {len(steps)} steps",
        source="jacob1947",
    )


def _ends(layout: Layout, fit: Fit, steps: list[Stretch]):  # type: ignore[no-untyped-def]
    """Return the fitted level at the end of each step and a tenth of the step earlier [m]."""
    ends = [layout.timeline.seconds_at(s.end_min) for s in steps]
    early = [end - (s.end_min - s.start_min) * 6.0 for end, s in zip(ends, steps, strict=True)]
    readings = tuple(Reading(at_s=at, value=0.0, error=1.0) for at in sorted((*ends, *early)))
    predicted = replace(layout.problem, readings=readings).explain(fit.wells.rows[:200]).predicted
    middle = np.median(predicted, axis=0)
    place = {reading.at_s: level for reading, level in zip(readings, middle, strict=True)}
    return np.array([place[at] for at in ends]), np.array([place[at] for at in early])

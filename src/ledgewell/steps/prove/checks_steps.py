"""Step test: s = BQ + CQ² on the inflow from the rock, with the steps that still emptied the hole flagged."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from ledgewell.physics.closed_forms import Validity
from ledgewell.physics.closed_forms.step_test import Step, hantush_bierschenk_fit
from ledgewell.physics.closed_forms.straight_line import WHOLE, Window, line_through
from ledgewell.physics.closed_forms.validity import all_of, judged
from ledgewell.physics.closed_forms.well_loss import STORAGE_SHARE_LIMIT, step_test_validity, storage_share
from ledgewell.steps.findings import Quotient
from ledgewell.steps.prove.checks_engine import LEAST_READINGS, PumpedRun, levels_during
from ledgewell.steps.prove.checks_outcome import CheckValue, CrossCheck, PlainNumber, outcome
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.levels import PlacedLevel
from ledgewell.steps.prove.timeline import MINUTE_S, Stretch

METHOD, SOURCE = "step test (s = BQ + CQ², on rock inflow)", "bierschenk1963"
LEAST_RISE = 1.1
"""Rate over that of the step before, from which it is a step and not a wandering pump; our own."""
LATE_PART = 6.0
"""A step is drawn out beneath the next from this fraction of its common length on; our own."""


def step_check(fit: Fit, run: PumpedRun) -> CrossCheck | None:
    """Read formation and well loss from steps of rising rate.

    Parameters
    ----------
    fit
        The fit.
    run
        The first step.

    Returns
    -------
    CrossCheck or None
        None when there are not two steps of rising known rate with three levels each.

    Notes
    -----
    Each step's rate is Q − A·dh/dt at its end. Increments after Hantush and Bierschenk.
    Source: bierschenk1963, hantush1964.
    """
    stretches = _steps(fit, run)
    if len(stretches) < 2 or len(run.levels) < LEAST_READINGS:
        return None
    read = [levels_during(fit.layout.levels, s.start_min, s.end_min) for s in stretches]
    shares = [_share(fit, rate, levels) for rate, levels in zip(_rates(stretches), read, strict=True)]
    inflow = [rate * (1 - share) for rate, share in zip(_rates(stretches), shares, strict=True)]
    window = read[0][0].minute, read[-1][-1].minute
    if inflow[0] <= 0 or any(after <= before for before, after in pairwise(inflow)):
        why = Validity(
            False, "the inflow from the rock did not grow from step to step: the hole gave the rest"
        )
        return outcome(METHOD, all_of(why, _flags(shares)), _flagged(shares), window, SOURCE)
    steps = [_step(fit, run, s, levels, q) for s, levels, q in zip(stretches, read, inflow, strict=True)]
    length = min(float(step.readings()[0][-1]) for step in steps)
    if any(float(step.readings()[0][0]) > length for step in steps):
        return None
    fitted = hantush_bierschenk_fit(steps, length, _window(steps, length))
    positive = judged(fitted.formation_loss_sm2 > 0, "B is positive", "B is not positive")
    judgment = all_of(step_test_validity(shares, fitted.well_loss_s2m5), _flags(shares), positive)
    values: list[tuple[str, CheckValue]] = [
        ("formation_loss", Quotient(fitted.formation_loss_sm2, "depth", "flow")),
        ("well_loss", PlainNumber(fitted.well_loss_s2m5, "s²/m⁵")),
        ("length_of_step", PlainNumber(length / MINUTE_S, "min")),
    ]
    return outcome(METHOD, judgment, values + _flagged(shares), window, SOURCE)


def _step(
    fit: Fit, run: PumpedRun, stretch: Stretch, levels: tuple[PlacedLevel, ...], inflow_m3s: float
) -> Step:
    return Step(
        start_s=(stretch.start_min - run.stretch.start_min) * MINUTE_S,
        flow_m3s=inflow_m3s,
        time_s=[(level.minute - stretch.start_min) * MINUTE_S for level in levels],
        drawdown_m=[level.depth_m - fit.layout.static_m for level in levels],
    )


def _flagged(shares: list[float]) -> list[tuple[str, CheckValue]]:
    return [
        (f"storage_share_of_step_{place + 1}", PlainNumber(100 * s, "%")) for place, s in enumerate(shares)
    ]


def _steps(fit: Fit, run: PumpedRun) -> list[Stretch]:
    """Return the steps of rising known rate from the first pumping on, each with levels enough."""
    steps = [run.stretch]
    for stretch in fit.layout.timeline.stretches:
        if stretch.start_min <= run.stretch.start_min:
            continue
        rate, before = stretch.rate_m3s, steps[-1].rate_m3s
        if rate is None or before is None or stretch.held_m is not None or stretch.taken_m3 != 0:
            break
        if rate < LEAST_RISE * before:
            break
        if len(levels_during(fit.layout.levels, stretch.start_min, stretch.end_min)) < LEAST_READINGS:
            break
        steps.append(stretch)
    return steps


def _rates(stretches: list[Stretch]) -> list[float]:
    return [stretch.rate_m3s for stretch in stretches if stretch.rate_m3s is not None]


def _share(fit: Fit, rate_m3s: float, levels: tuple[PlacedLevel, ...]) -> float:
    """Return the share of a step's rate that came out of the hole over the last third of its levels."""
    late = levels[-max(2, len(levels) // 3) :]
    shape = fit.layout.shape
    line = line_through(
        [level.minute * MINUTE_S for level in late], [shape.volume_to(level.depth_m) for level in late]
    )
    area = shape.area_at(late[-1].depth_m)
    return float(storage_share(rate_m3s, area, line.slope / area))


def _flags(shares: list[float]) -> Validity:
    over = [f"{place + 1}" for place, share in enumerate(shares) if abs(share) > STORAGE_SHARE_LIMIT]
    return judged(
        not over, "every step ended on the rock's water", f"still emptying the hole: step {', '.join(over)}"
    )


def _window(steps: list[Step], length_s: float) -> Window:
    """Return the late part of the steps when every step has two levels in it, else all of them."""
    late = (length_s / LATE_PART, np.inf)
    enough = all(np.count_nonzero(step.readings()[0] >= late[0]) >= 2 for step in steps)
    return late if enough else WHOLE

"""What must be said beside the figures of a fit: misfit, wrong readings, depths not tested."""

from __future__ import annotations

from ledgewell.physics.problem import LEVEL_READ
from ledgewell.steps.findings import Amount, Warned, phrase
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.misfit import WILD_SCATTER
from ledgewell.steps.prove.settling import RHAT_LIMIT, SIZE_LIMIT


def fit_cautions(fit: Fit, levels_m: tuple[float, ...]) -> tuple[Warned, ...]:
    """Return what must be said of a fit at the levels asked."""
    return (*_settling(fit), *_misfit(fit), *_wrong(fit), *_depths(fit, levels_m))


def _settling(fit: Fit) -> tuple[Warned, ...]:
    if fit.settled:
        return ()
    found = fit.settling
    say = (
        f"the sample has not settled (R-hat {found.rhat:.3f}, effective size {found.effective_size:.0f}; wanted under "
        f"{RHAT_LIMIT} and at least {SIZE_LIMIT:.0f}): no band is printed; more readings would help"
    )
    return (Warned(where=fit.layout.where, say=say),)


def _misfit(fit: Fit) -> tuple[Warned, ...]:
    misfit = fit.misfit
    if misfit.noise:
        return ()
    if misfit.scatter > WILD_SCATTER:
        why = f"the readings lie {misfit.scatter:.1f} times farther off than their method usually does"
    else:
        why = f"neighboring readings err alike (correlation {misfit.drift:.2f}), so something is at work that is not in it"
    say = (
        f"the model does not fit this test: {why}. The band is wider for it. Look for a changing rate, drain-back of the "
        "drop pipe, an unrecorded fracture, or a static level that had not settled"
    )
    return (Warned(where=fit.layout.where, say=say),)


def _wrong(fit: Fit) -> tuple[Warned, ...]:
    import numpy as np

    middle = np.median(fit.wells.predicted, axis=0)
    found = []
    for place in fit.misfit.wrong:
        reading = fit.layout.problem.readings[place]
        if reading.kind != LEVEL_READ:
            continue
        say = phrase(
            "this reading does not go with the others: read {read}, expected about {expected}. It counts for almost "
            "nothing. A slip of the pen, or feet for meters?",
            read=Amount(reading.value, "depth"),
            expected=Amount(float(middle[place]), "depth"),
        )
        found.append(Warned(where=fit.layout.used[place], say=say))
    return tuple(found)


def _depths(fit: Fit, levels_m: tuple[float, ...]) -> tuple[Warned, ...]:
    layout = fit.layout
    found = []
    if any(level > layout.deepest_m + 0.01 for level in levels_m):
        say = phrase(
            "not tested below {tested}: below it the low figure assumes no more inflow, and the rest is what the rock "
            "above would give",
            tested=Amount(layout.deepest_m, "depth"),
        )
        found.append(Warned(where=layout.where, say=say))
    if layout.mouths.recorded:
        last = layout.mouths.depths_m[-1]
        if any(level > last + 0.01 for level in levels_m):
            say = phrase(
                "the level asked is below the deepest recorded fracture at {last}: pulling deeper than that adds stored "
                "water, not yield",
                last=Amount(last, "depth"),
            )
            found.append(Warned(where="fracture", say=say))
    return tuple(found)

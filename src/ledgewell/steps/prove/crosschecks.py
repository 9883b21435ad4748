"""The cross-checks a hydrogeologist expects, each with whether it holds: they check the engine, and offer no choice."""

from __future__ import annotations

from ledgewell.steps.prove.checks_engine import first_pumped_run
from ledgewell.steps.prove.checks_lines import recovery_check, semilog_check
from ledgewell.steps.prove.checks_outcome import CheckValue, CrossCheck, PlainNumber
from ledgewell.steps.prove.checks_pumping import derivative_check, specific_capacity_check
from ledgewell.steps.prove.checks_slug import curve_check, line_check, slug_run
from ledgewell.steps.prove.checks_steps import step_check
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.layout import Layout

__all__ = ["CheckValue", "CrossCheck", "PlainNumber", "crosschecks"]


def crosschecks(layout: Layout, fit: Fit) -> tuple[CrossCheck, ...]:
    """Return the cross-checks that apply to a test, in a fixed order.

    Parameters
    ----------
    layout
        The test as laid out.
    fit
        Its fit; when it has not settled no T is read from a straight line.

    Returns
    -------
    tuple of CrossCheck
        Straight lines, derivative, specific capacity and step test for a pumping from rest at a known rate; bail or
        slug recovery after one sudden change of level; none where neither was done.

    Raises
    ------
    ValueError
        When the fit is of another test.
    """
    if fit.layout is not layout:
        raise ValueError(f"the fit is of {fit.layout.where}, not of {layout.where}")
    found: list[CrossCheck | None] = []
    run = first_pumped_run(fit)
    if run is not None:
        found += [semilog_check(fit, run), recovery_check(fit, run), derivative_check(run)]
        found += [specific_capacity_check(fit, run), step_check(fit, run)]
    slug = slug_run(fit)
    if slug is not None:
        found += [curve_check(fit, slug), line_check(fit, slug)]
    return tuple(check for check in found if check is not None)

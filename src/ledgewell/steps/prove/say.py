"""The plain sentences of `prove`: answer first, with its band, if the rock behaves as modelled."""

from __future__ import annotations

from dataclasses import replace

from ledgewell.steps.findings import Amount, Estimate
from ledgewell.steps.prove.answer import ProveFindings, TestFindings
from ledgewell.steps.prove.comparing import Comparison
from ledgewell.steps.prove.standing import DAY_S, RockYield
from ledgewell.units import System, show

NEXT_TO_NOTHING_M3S = 0.05 * 6.30901964e-5
"""Below this a yield is called next to nothing [m³/s] (0.05 gpm). Source: common practice, no source."""
SURE, LIKELY = 0.95, 0.7


def time_in_words(seconds: float) -> str:
    """Return a duration as a crew says it.

    Examples
    --------
    >>> time_in_words(86400.0), time_in_words(14400.0), time_in_words(30 * 86400.0)
    ('a day', '4 h', '30 d')
    """
    return "a day" if seconds == DAY_S else show(seconds, "duration", "us")


def yield_sentence(answer: RockYield, system: System) -> str:
    """Return one yield as a sentence."""
    depth, time = Amount(answer.level_m, "depth").show(system), time_in_words(answer.duration_s)
    shown = answer.rate.show(system)
    if answer.rate.mid < NEXT_TO_NOTHING_M3S:
        return (
            f"Next to nothing at {depth} for {time}: {shown.mid} {shown.unit} ({shown.low} to {shown.high})."
        )
    return f"About {shown.mid} {shown.unit} at {depth} for {time} ({shown.low} to {shown.high})."


def sentence_of_test(found: TestFindings, system: System) -> str:
    """Return what one test says, in one or two sentences."""
    head = found.headline
    if head is None:
        return (
            "No band can be printed: the sample of wells that explain this test has not settled. "
            "More readings, best during recovery, would help."
        )
    said = yield_sentence(head, system)
    layout = found.fit.layout
    if head.untested:
        said += f" Not tested below {Amount(layout.deepest_m, 'depth').show(system)}."
    if not found.fit.misfit.noise:
        said += " The model does not fit this test well; the band is wider for it."
    if found.shakiness is not None and found.shakiness.few:
        said += f" With only {found.shakiness.levels} readings, one bad reading could change it."
    return said


def comparison_sentence(found: Comparison, system: System) -> str:
    """Return what changed between two tests, in a sentence."""
    depth = Amount(found.level_m, "depth").show(system)
    sure = found.probability_rose
    if sure >= SURE:
        said = f"From {found.before} to {found.after} the yield rose"
    elif sure <= 1 - SURE:
        said = f"From {found.before} to {found.after} the yield fell"
    elif sure >= LIKELY:
        said = f"From {found.before} to {found.after} the yield probably rose ({sure:.0%})"
    elif sure <= 1 - LIKELY:
        said = f"From {found.before} to {found.after} the yield probably fell ({1 - sure:.0%})"
    else:
        return (
            f"From {found.before} to {found.after} no change can be told at {depth}: "
            f"{found.before_rate.show(system)}, then {found.after_rate.show(system)}."
        )
    if found.factor is not None:
        said += f" {found.factor.show()} times"
    more = found.gained_m3 if found.gained_m3.mid >= 0 else _turned(found.gained_m3)
    gained, word = more.show(system), "more" if more is found.gained_m3 else "less"
    time = time_in_words(found.duration_s)
    return f"{said} at {depth} for {time}: {gained.mid} {gained.unit} a day {word} ({gained.low} to {gained.high})."


def _turned(estimate: Estimate) -> Estimate:
    return replace(estimate, low=-estimate.high, mid=-estimate.mid, high=-estimate.low)


def well_sentence(found: ProveFindings, system: System) -> str:
    """Return the first sentence of the answer: the last test's yield, then what changed."""
    parts = [
        f"{found.tests[-1].name}: " if len(found.tests) > 1 else "",
        sentence_of_test(found.tests[-1], system),
    ]
    parts += [" " + comparison_sentence(each, system) for each in found.comparisons]
    return "".join(parts)

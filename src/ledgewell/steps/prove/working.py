"""How the figures of a test were computed, for `Show the working`."""

from __future__ import annotations

from ledgewell.sources import NO_SOURCE
from ledgewell.steps.findings import Amount, Working
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.priors import IN_WORDS


def working_of_test(fit: Fit) -> tuple[Working, ...]:
    """Return the working of a fitted test."""
    layout, problem = fit.layout, fit.layout.problem
    wells = fit.wells
    hole = Working(
        "The hole as a bucket",
        "A(h) dh/dt = Q_pump − Q_rock, with A the free area at the level",
        (
            ("static level", Amount(layout.static_m, "depth")),
            ("deepest level tested", Amount(layout.deepest_m, "depth")),
            (
                "stored between them",
                Amount(problem.shape.volume_between(layout.static_m, layout.deepest_m), "volume"),
            ),
        ),
        NO_SOURCE,
    )
    rock = Working(
        "The rock",
        "S(p) = (1/p) R Kν(μ)/(μ Kν−1(μ)), μ = √(p tc), ν = 1 − n/2, kept as a sum of decaying exponentials",
        (("stretches of time", str(len(problem.steps.spans))), ("steps", str(problem.steps.count))),
        "barker1988",
    )
    sample = Working(
        "The sample of wells",
        "posterior ∝ prior × likelihood; tempered particles, then chains until the 24 h yield has settled",
        (
            ("readings used", str(len(problem.readings))),
            ("wells kept", str(wells.count)),
            ("R-hat", f"{fit.settling.rhat:.4f}"),
            ("effective size", f"{fit.settling.effective_size:.0f}"),
            ("correlation of neighboring residuals", f"{fit.misfit.drift:.2f}"),
            ("scatter over the method's own", f"{fit.misfit.scatter:.2f}"),
        ),
        "vehtari2021",
    )
    beliefs = Working(
        "What was believed before the test",
        "priors, in words",
        tuple((prior.what, f"{prior.say} ({prior.source})") for prior in IN_WORDS),
        NO_SOURCE,
    )
    return (hole, rock, sample, beliefs)

"""What ``ledgewell prove`` does: ask the prove step or its plan, and draw the answer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ledgewell.cli.answering import Step
from ledgewell.cli.drawing import Drawing
from ledgewell.cli.progress import Progress
from ledgewell.record import Well
from ledgewell.steps.findings import JsonTable, answer_head
from ledgewell.steps.prove.answer import ProveFindings, prove_well
from ledgewell.steps.prove.planning import TestPlan, plan_test
from ledgewell.units import System


@dataclass(frozen=True, slots=True)
class Proved:
    """The findings of `prove` as the command line asks for them."""

    found: ProveFindings

    def to_json(self, system: System) -> JsonTable:
        """Write everything as a JSON object, numbers not rounded."""
        from ledgewell.steps.prove.answer_json import answer_to_json

        return answer_to_json(self.found, system)

    def say(self, system: System) -> str:
        """Write the answer for a terminal, its sentence first."""
        from ledgewell.steps.prove.telling import told

        return "\n".join(told(self.found, system))

    def working_lines(self, system: System) -> Iterable[str]:
        """Write the working for reading."""
        from ledgewell.steps.prove.telling import working_told

        return working_told(self.found, system)


def prove_step(
    levels_m: tuple[float, ...], durations_s: tuple[float, ...], seed: int, decline_m: float | None = None
) -> Step[Proved]:
    """Ask the prove step.

    Parameters
    ----------
    levels_m, durations_s
        Levels [m] and times [s] asked; the defaults when none.
    seed
        Seed of the sample.
    decline_m
        Seasonal decline of the static level for projections [m]; None when none was stated.

    Returns
    -------
    Step
    """

    def find(well: Well, progress: Progress) -> Proved:
        found = prove_well(
            well,
            levels_m=levels_m,
            durations_s=durations_s,
            decline_m=decline_m,
            seed=seed,
            progress=progress,
        )
        return Proved(found)

    return Step(find=find, draw=_prove_drawings)


def _prove_drawings(found: Proved, system: System) -> tuple[Drawing, ...]:
    from ledgewell.figures import svg_from_figure
    from ledgewell.figures.prove import prove_figures

    return tuple(
        Drawing(test=test, chart=chart, svg=svg_from_figure(figure))
        for test, chart, figure in prove_figures(found.found, system)
    )


@dataclass(frozen=True, slots=True)
class Planned:
    """The plans of `prove --plan`, one for each level asked."""

    well: Well
    seed: int
    plans: tuple[TestPlan, ...]

    def to_json(self, system: System) -> JsonTable:
        """Write every plan, numbers not rounded."""
        plans = [plan.to_json(system) for plan in self.plans]
        return {
            **answer_head(self.well, seed=self.seed),
            "say": self.plans[0].sentence(system),
            "plans": plans,
        }

    def say(self, system: System) -> str:
        """Write the plans for a terminal."""
        return "\n\n".join("\n".join(plan.lines(system)) for plan in self.plans)

    def working_lines(self, _system: System) -> Iterable[str]:
        """Write what was believed before any test."""
        from ledgewell.steps.prove.priors import IN_WORDS

        return [f"{prior.what}: {prior.say} ({prior.source})" for prior in IN_WORDS]


def plan_step(levels_m: tuple[float, ...], seed: int) -> Step[Planned]:
    """Ask for the plan of the next test.

    Parameters
    ----------
    levels_m
        Levels in question [m]; the default when none.
    seed
        Seed of the simulated wells.

    Returns
    -------
    Step
    """

    def find(well: Well, _progress: Progress) -> Planned:
        asked: tuple[float | None, ...] = levels_m or (None,)
        plans = tuple(plan_test(well, level_m=level, seed=seed) for level in asked)
        return Planned(well, seed, plans)

    return Step(find=find, draw=lambda _found, _system: ())

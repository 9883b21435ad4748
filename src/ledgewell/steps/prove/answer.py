"""What `prove` answers for one well: each test's findings, comparisons, warnings, working and sources."""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np

from ledgewell.errors import InputError, Problem
from ledgewell.record import Well, implausible, record_mark
from ledgewell.steps.findings import Estimate, Warned, Working, warned_from_doubt
from ledgewell.steps.prove.cautions import fit_cautions
from ledgewell.steps.prove.comparing import Comparison, compare, not_pumped_back
from ledgewell.steps.prove.crosschecks import CrossCheck, crosschecks
from ledgewell.steps.prove.enough import Enough, enough_yet
from ledgewell.steps.prove.fitting import DAY_S, Fit, Progress, fit_test, silent
from ledgewell.steps.prove.hand import HandFigure, hand_figure
from ledgewell.steps.prove.layout import Layout, layout_of
from ledgewell.steps.prove.priors import Priors
from ledgewell.steps.prove.repeating import PEAK_HOURS, delivered_rates, repeating_day
from ledgewell.steps.prove.rock_yield import rock_yields
from ledgewell.steps.prove.rules import RuleCheck, rule_by_key, rule_check
from ledgewell.steps.prove.shakiness import Shakiness, shakiness_of
from ledgewell.steps.prove.spread import Spread, spread
from ledgewell.steps.prove.standing import (
    DURATIONS_S,
    Inflow,
    RockYield,
    band,
    default_levels,
    inflow_curve,
    standing_yields,
    wells_to_depth,
)
from ledgewell.steps.prove.working import working_of_test

HOUSE_DAY = (
    0.012, 0.006, 0.004, 0.005, 0.010, 0.034, 0.078, 0.087, 0.080, 0.067, 0.056, 0.047,
    0.040, 0.035, 0.033, 0.031, 0.039, 0.051, 0.060, 0.060, 0.055, 0.048, 0.038, 0.026,
)  # fmt: skip
"""Share of a house's day drawn in each hour from midnight, all fixtures; an average over many houses, made to sum to
one where it is used. Source: hendron2010."""
DELIVERED_WELLS = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliveredRate:
    """The constant rate that brings the level from static to there at the end of a time, and its two parts."""

    level_m: float
    duration_s: float
    rate: Estimate
    storage: Estimate
    rock: Estimate


@dataclass(frozen=True, kw_only=True)
class TestFindings:
    """What one test says; estimates are None where the sample did not settle, for then no band may be printed.

    Parameters
    ----------
    fit
        The sample behind the findings.
    hand
        The trade's hand figure, None when it cannot be had.
    yields, inflow, delivered
        Rock yield, inflow against level, delivered rate.
    day_m3, peak_m3
        The repeating day and the most that two hours give from static, at the first level [m³].
    parameters
        T*, S*, n, skin, static level, and the errors, by name.
    enough
        Whether testing may stop.
    rule
        The rule the record names, checked; None when it names none.
    checks
        Cross-checks.
    shakiness
        What one wrong reading could do, in a test of few levels.
    warned, working
        What must be known, and how it was computed.
    """

    __test__ = False

    fit: Fit
    levels_m: tuple[float, ...]
    hand: HandFigure | None
    yields: tuple[RockYield, ...]
    inflow: tuple[Inflow, ...]
    delivered: tuple[DeliveredRate, ...]
    day_m3: Estimate | None
    peak_m3: Estimate | None
    parameters: tuple[tuple[str, Spread], ...]
    enough: Enough | None
    rule: RuleCheck | None
    checks: tuple[CrossCheck, ...]
    shakiness: Shakiness | None
    warned: tuple[Warned, ...]
    working: tuple[Working, ...]

    @property
    def name(self) -> str:
        """Name of the test."""
        return self.fit.layout.name

    @property
    def headline(self) -> RockYield | None:
        """The yield the sentence tells: at the first level for a day, or the longest time asked below it."""
        first = [y for y in self.yields if y.level_m == self.levels_m[0]]
        return min(first, key=lambda y: abs(log(y.duration_s / DAY_S)), default=None)


@dataclass(frozen=True, kw_only=True)
class ProveFindings:
    """What `prove` answers for one well."""

    well: Well
    mark: str
    seed: int
    tests: tuple[TestFindings, ...]
    comparisons: tuple[Comparison, ...]
    warned: tuple[Warned, ...]


def prove_well(
    well: Well,
    *,
    levels_m: tuple[float, ...] = (),
    durations_s: tuple[float, ...] = (),
    decline_m: float | None = None,
    seed: int = 1,
    priors: Priors | None = None,
    progress: Progress = silent,
) -> ProveFindings:
    """Prove a well from its record: what each test says, and what changed between tests.

    Parameters
    ----------
    well
        The record.
    levels_m, durations_s
        Levels [m below the measuring point] and times [s] asked; the defaults of record.md when empty.
    decline_m
        Seasonal decline of the static level for projections [m]; None when the user stated none.
    seed
        Seed of every sample: same record and seed, same answer to the last digit on one machine.
    priors
        What is believed of any well; `ledgewell.steps.prove.priors.Priors` when not given.
    progress
        Told how far the work has come.

    Raises
    ------
    InputError
        When there is no test, or one has nothing that could be used.
    """
    if not well.tests:
        right = "a [[test]] with rates and levels, or `prove --plan` before there is one"
        raise InputError(
            [Problem(where="test", given="nothing", say="no yield test is recorded", right=right)]
        )
    believed = priors or Priors()
    laid = _laid_out(well, believed)
    _check_asked(well, laid, levels_m)
    tests = []
    for place, layout in enumerate(laid):
        share = _Share(progress, place, len(laid), layout.name)
        fit = fit_test(layout, believed, seed, share)
        deepest = wrong_deepest(fit)
        if deepest:
            fit = fit_test(layout_of(well, place, believed, deepest), believed, seed, share)
        tests.append(findings_of(well, place, fit, levels_m, durations_s or DURATIONS_S, seed, decline_m))
    comparisons = tuple(
        compare(tests[i].fit, tests[j].fit, well, seed)
        for i, j in compared_pairs(well)
        if tests[i].fit.settled and tests[j].fit.settled
    )
    progress(1.0, "done")
    doubts = tuple(warned_from_doubt(doubt) for doubt in implausible(well))
    return ProveFindings(
        well=well,
        mark=record_mark(well),
        seed=seed,
        tests=tuple(tests),
        comparisons=comparisons,
        warned=doubts,
    )


def _laid_out(well: Well, priors: Priors) -> list[Layout]:
    laid: list[Layout] = []
    problems: list[Problem] = []
    for index in range(len(well.tests)):
        try:
            laid.append(layout_of(well, index, priors))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    return laid


def _check_asked(well: Well, laid: list[Layout], levels_m: tuple[float, ...]) -> None:
    """Refuse, before any work, rules that nobody knows and levels no test of the well could stand at."""
    problems: list[Problem] = []
    for index, test in enumerate(well.tests):
        if test.rule:
            try:
                rule_by_key(test.rule, f"test[{index}].rule")
            except InputError as error:
                problems += error.problems
    for layout in laid:
        bottom = layout.hole.bottom_m or layout.deepest_m
        for level in levels_m:
            if not layout.static_m < level <= bottom:
                right = f"deeper than the static level at {layout.static_m:.1f} m and not below the bottom at {bottom:.1f} m"
                say = f"{layout.name}: the level cannot be held there"
                problems.append(Problem(where="--level", given=f"{level:.1f} m", say=say, right=right))
    if problems:
        raise InputError(problems)


def wrong_deepest(fit: Fit) -> frozenset[str]:
    """Return the places of readings found wrong when the deepest level is one of them; else nothing.

    Yields are asked at the deepest level tested, so a wrong reading must not be it.
    """
    wrong = frozenset(fit.layout.used[place] for place in fit.misfit.wrong)
    deepest = fit.layout.deepest_m
    hit = any(level.where in wrong and level.depth_m == deepest for level in fit.layout.levels)
    return wrong if hit else frozenset()


class _Share:
    """Passes on one test's share of the progress of all."""

    def __init__(self, progress: Progress, place: int, of: int, name: str) -> None:
        self.progress, self.place, self.of, self.name = progress, place, of, name

    def __call__(self, done: float, what: str, /) -> None:
        self.progress((self.place + done) / self.of, f"{self.name}: {what}")


def compared_pairs(well: Well) -> tuple[tuple[int, int], ...]:
    """Return which tests are compared: after with before stimulation, and each return visit with the test before it."""
    pairs: list[tuple[int, int]] = []
    befores = [i for i, test in enumerate(well.tests) if test.when == "before stimulation"]
    afters = [i for i, test in enumerate(well.tests) if test.when == "after stimulation"]
    if befores:
        pairs += [(befores[-1], after) for after in afters if after > befores[-1]]
    for index, test in enumerate(well.tests):
        if test.when == "return visit" and index > 0:
            pairs.append((index - 1, index))
    return tuple(pairs)


def findings_of(
    well: Well,
    index: int,
    fit: Fit,
    levels_m: tuple[float, ...],
    durations_s: tuple[float, ...],
    seed: int,
    decline_m: float | None = None,
) -> TestFindings:
    """Return the findings of one fitted test.

    Parameters
    ----------
    well, index
        The record and which of its tests.
    fit
        Its fit.
    levels_m, durations_s
        Levels [m] and times [s] asked; default levels when none.
    seed
        Seed of what is drawn beside the sample.
    decline_m
        Seasonal decline for projections [m]; None when none was stated.
    """
    layout = fit.layout
    levels = levels_m or default_levels(fit)
    key = well.tests[index].rule
    rule = rule_check(rule_by_key(key, f"test[{index}].rule"), layout) if key else None
    yields: tuple[RockYield, ...] = ()
    inflow: tuple[Inflow, ...] = ()
    delivered: tuple[DeliveredRate, ...] = ()
    day = peak = None
    enough = shakiness = None
    if fit.settled:
        shakiness = shakiness_of(fit, seed)
        standing = standing_yields(fit, levels, durations_s, seed, decline_m)
        yields = tuple(shakiness.widened(each) for each in standing)
        inflow = inflow_curve(fit, seed)
        delivered = _delivered(fit, levels, durations_s, seed)
        day, peak = _day_and_peak(fit, levels[0], seed)
        day_yields = rock_yields(fit.wells, np.array([layout.deepest_m]), np.array([DAY_S]))[:, 0, 0]
        enough = enough_yet(fit, day_yields, rule, thresholds_m3s=_thresholds(well))
    return TestFindings(
        fit=fit,
        levels_m=levels,
        hand=hand_figure(layout, levels[0]),
        yields=yields,
        inflow=inflow,
        delivered=delivered,
        day_m3=day,
        peak_m3=peak,
        parameters=_parameters(fit) if fit.settled else (),
        enough=enough,
        rule=rule,
        checks=crosschecks(layout, fit),
        shakiness=shakiness,
        warned=(*layout.warned, *fit_cautions(fit, levels), *not_pumped_back(well, fit)),
        working=working_of_test(fit),
    )


def _thresholds(well: Well) -> tuple[float, ...]:
    if well.need is None or well.need.peak is None:
        return ()
    return (well.need.peak.si,)


def _delivered(
    fit: Fit, levels: tuple[float, ...], durations: tuple[float, ...], seed: int
) -> tuple[DeliveredRate, ...]:
    wells = wells_to_depth(fit, seed)
    wells = wells.take(np.arange(min(DELIVERED_WELLS, wells.count)))
    answers = []
    for level in levels:
        for duration in durations:
            found = delivered_rates(wells, fit.layout.shape, level, duration)
            answers.append(
                DeliveredRate(
                    level_m=level,
                    duration_s=duration,
                    rate=band(found.rate_m3s),
                    storage=band(found.storage_m3s),
                    rock=band(np.maximum(found.rock_m3s, 0.0)),
                )
            )
    return tuple(answers)


def _day_and_peak(fit: Fit, level_m: float, seed: int) -> tuple[Estimate, Estimate]:
    wells = wells_to_depth(fit, seed)
    wells = wells.take(np.arange(min(DELIVERED_WELLS, wells.count)))
    total = sum(HOUSE_DAY)
    day = repeating_day(wells, fit.layout.shape, level_m, tuple(share / total for share in HOUSE_DAY))
    seconds = PEAK_HOURS * 3600.0
    peak = delivered_rates(wells, fit.layout.shape, level_m, seconds).rate_m3s * seconds
    return band(day, "volume"), band(peak, "volume")


def _parameters(fit: Fit) -> tuple[tuple[str, Spread], ...]:
    wells = fit.wells
    transmissivity = 1 / (2 * np.pi * wells.resistance_s_m2)
    storativity = transmissivity * np.exp(wells.log_time_constant) / fit.layout.problem.radius_m**2
    columns = {
        "transmissivity_at_face": spread(transmissivity, "m²/s"),
        "storativity_at_face": spread(storativity),
        "flow_dimension": spread(wells.dimension),
        "skin": spread(wells.skin),
        "static_level": spread(wells.rest_m, "m"),
        "rate_factor": spread(wells.rate_factor),
        "area_factor": spread(wells.area_factor),
    }
    if wells.shares.shape[1] > 1:
        for place, depth in enumerate(fit.layout.mouths.depths_m):
            columns[f"share_at_{depth:.1f}_m"] = spread(wells.shares[:, place])
    return tuple(columns.items())

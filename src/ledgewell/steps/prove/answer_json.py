"""The answer of `prove` as JSON, with the names of the record's contract."""

from __future__ import annotations

from ledgewell import __version__
from ledgewell.record import FORMAT
from ledgewell.steps.findings import Amount, Estimate, JsonTable, Warned, cited_sources
from ledgewell.steps.prove.answer import DeliveredRate, ProveFindings, TestFindings
from ledgewell.steps.prove.comparing import Comparison
from ledgewell.steps.prove.crosschecks import CrossCheck
from ledgewell.steps.prove.repeating import PEAK_HOURS, REPEATING_DAYS
from ledgewell.steps.prove.say import comparison_sentence, sentence_of_test, well_sentence
from ledgewell.steps.prove.standing import HOUR_S, Inflow, RockYield
from ledgewell.units import System, show

SOURCES = ("barker1988", "vehtari2021", "delmoral2006", "terbraak2008")
"""Sources every answer rests on."""


def answer_to_json(found: ProveFindings, system: System) -> JsonTable:
    """Write the whole answer for one well; numbers are not rounded.

    Parameters
    ----------
    found
        The findings.
    system
        Unit system of the numbers.
    """
    workings = [working for test in found.tests for working in test.working]
    keys = [*SOURCES, *(w.source for w in workings), *(c.source for test in found.tests for c in test.checks)]
    return {
        "format": FORMAT,
        "engine": __version__,
        "record_mark": found.mark,
        "seed": found.seed,
        "say": well_sentence(found, system),
        "tests": [_test(test, system) for test in found.tests],
        "comparisons": [_comparison(each, system) for each in found.comparisons],
        "warnings": _warnings(found.warned, system),
        "working": [working.to_json(system) for working in workings],
        "sources": cited_sources(keys),
    }


def _warnings(warned: tuple[Warned, ...], system: System) -> list[JsonTable]:
    return [each.to_json(system) for each in warned]


def _test(found: TestFindings, system: System) -> JsonTable:
    layout = found.fit.layout
    say = sentence_of_test(found, system)
    return {
        "name": found.name,
        "say": say,
        "settled": found.fit.settled,
        "hand": None if found.hand is None else found.hand.to_json(system),
        "yield": [_yield(each, system) for each in found.yields],
        "inflow": [_inflow(each, system) for each in found.inflow],
        "delivered": [_delivered(each, system) for each in found.delivered],
        "day": _volume(
            found.day_m3, system, {"days": REPEATING_DAYS, "level": _depth(found.levels_m[0], system)}
        ),
        "peak": _volume(
            found.peak_m3, system, {"hours": PEAK_HOURS, "level": _depth(found.levels_m[0], system)}
        ),
        "parameters": {name: value.to_json() for name, value in found.parameters},
        "tested_to": {
            "level": _depth(layout.deepest_m, system),
            "minutes": layout.minutes,
            "readings": layout.read_count,
            "fractures_recorded": layout.mouths.recorded,
        },
        "enough": None if found.enough is None else found.enough.to_json(system),
        "rule": None if found.rule is None else found.rule.to_json(system),
        "crosschecks": [_check(check, system) for check in found.checks],
        "warnings": _warnings(found.warned, system),
    }


def _depth(depth_m: float, system: System) -> JsonTable:
    return Amount(depth_m, "depth").to_json(system)


def _yield(each: RockYield, system: System) -> JsonTable:
    row = {
        "level": _depth(each.level_m, system),
        "duration": _time(each.duration_s),
        **each.rate.to_json(system),
    }
    if each.projection:
        row["projection"] = True
        row["decline"] = None if each.decline_m is None else Amount(each.decline_m, "length").to_json(system)
    if each.bounded is not None:
        row["bounded"] = each.bounded.to_json(system)
    if each.untested:
        row["untested"] = True
    return row


def _time(seconds: float) -> str:
    return show(seconds, "duration", "us")


def _inflow(each: Inflow, system: System) -> JsonTable:
    row = {"level": _depth(each.level_m, system), "held": _time(HOUR_S), **each.rate.to_json(system)}
    if each.untested:
        row["untested"] = True
    return row


def _delivered(each: DeliveredRate, system: System) -> JsonTable:
    return {
        "level": _depth(each.level_m, system),
        "duration": _time(each.duration_s),
        **each.rate.to_json(system),
        "storage": each.storage.to_json(system),
        "rock": each.rock.to_json(system),
    }


def _volume(volume: Estimate | None, system: System, more: JsonTable) -> JsonTable | None:
    return None if volume is None else volume.to_json(system) | more


def _check(check: CrossCheck, system: System) -> JsonTable:
    return check.to_json(system)


def _comparison(found: Comparison, system: System) -> JsonTable:
    return {
        "before": found.before,
        "after": found.after,
        "level": _depth(found.level_m, system),
        "duration": _time(found.duration_s),
        "say": comparison_sentence(found, system),
        "before_yield": found.before_rate.to_json(system),
        "after_yield": found.after_rate.to_json(system),
        "factor": None if found.factor is None else found.factor.to_json(),
        "gained_per_day": found.gained_m3.to_json(system),
        "probability_rose": found.probability_rose,
        "warnings": _warnings(found.warned, system),
    }

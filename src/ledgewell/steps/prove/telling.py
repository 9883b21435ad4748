"""The answer of `prove` for a terminal: the sentence first, then each test's figures, and what stands against them."""

from __future__ import annotations

from collections.abc import Iterator

from ledgewell.physics.problem import FLOW_READ
from ledgewell.sources import source
from ledgewell.steps.findings import Amount, Warned, text_table
from ledgewell.steps.hole.shape import SLACK_M
from ledgewell.steps.prove.answer import ProveFindings, TestFindings
from ledgewell.steps.prove.crosschecks import CheckValue, CrossCheck, PlainNumber
from ledgewell.steps.prove.repeating import PEAK_HOURS, REPEATING_DAYS
from ledgewell.steps.prove.say import comparison_sentence, sentence_of_test, time_in_words, well_sentence
from ledgewell.steps.prove.spread import Spread
from ledgewell.steps.prove.standing import Inflow, RockYield
from ledgewell.units import System

AS_MODELLED = "Every band holds the truth nine times in ten, if the rock behaves as modelled."
BARRIER = "`barrier` is the same with one barrier where ten test lengths reach."
NO_DECLINE = (
    "No seasonal decline stated: today's static level. State one (--decline) before anything hangs on a projection. "
    + BARRIER
)
DECLINED = "Static level taken {} lower than today's, the seasonal decline stated."
CURVE_ROWS = 8


def told(found: ProveFindings, system: System) -> Iterator[str]:
    """Yield the lines of the answer for one well.

    Parameters
    ----------
    found
        The findings.
    system
        Unit system of the figures.
    """
    yield well_sentence(found, system)
    yield AS_MODELLED
    for test in found.tests:
        yield ""
        yield f"Test: {test.name}"
        if len(found.tests) > 1:
            yield f"  {sentence_of_test(test, system)}"
        yield from (f"  {line}" if line else "" for line in _test(test, system))
    for comparison in found.comparisons:
        yield ""
        yield f"Before and after: {comparison.before}, {comparison.after}"
        yield f"  {comparison_sentence(comparison, system)}"
        yield from (f"  {line}" for line in _warnings(comparison.warned, system))
    if found.warned:
        yield ""
        yield "In the record, kept but hard to believe"
        yield from (f"  {line}" for line in _warnings(found.warned, system))


def working_told(found: ProveFindings, system: System) -> Iterator[str]:
    """Yield the working of every test: formulas, inputs, beliefs, what the sample says of the rock, cross-checks.

    Parameters
    ----------
    found
        The findings.
    system
        Unit system of the figures; what has no trade unit stays in SI.
    """
    for test in found.tests:
        yield f"{test.name}:"
        for working in test.working:
            yield from (f"  {line}" for line in working.lines(system))
        if test.parameters:
            yield "  What the readings say of the rock, if it behaves as modelled"
            yield from (f"    {_spelled(name)} = {value.show()}" for name, value in test.parameters)
        for check in test.checks:
            yield from (f"  {line}" for line in _check_working(check, system))


def _check_working(check: CrossCheck, system: System) -> Iterator[str]:
    first, last = check.window_min
    yield f"Cross-check: {check.method}, readings from {first:g} to {last:g} min"
    yield f"  {'holds' if check.valid else 'does not hold'}: {check.why}"
    yield from (f"  {_spelled(name)} = {shown_value(value, system)}" for name, value in check.values)
    yield f"  Source: {source(check.source).text}"


def _spelled(name: str) -> str:
    """Write a name of the JSON answer in words."""
    return name.replace("_", " ")


def shown_value(value: CheckValue, system: System) -> str:
    """Write the value of a cross-check for reading.

    Parameters
    ----------
    value
        An amount of the trade, or a number or band with a plain unit.
    system
        Unit system of an amount.

    Examples
    --------
    >>> shown_value(Amount(88.392, "depth"), "us"), shown_value(PlainNumber(3.2e-6, "m²/s"), "us")
    ('290 ft', '3.20e-06 m²/s')
    >>> shown_value(PlainNumber(9.0), "us")  # a count
    '9'
    """
    if isinstance(value, PlainNumber) and not value.unit and float(value.value).is_integer():
        return f"{value.value:.0f}"
    return value.show() if isinstance(value, Spread | PlainNumber) else value.show(system)


def _test(found: TestFindings, system: System) -> Iterator[str]:
    yield from _extent(found, system)
    yield from _hand(found, system)
    if found.yields:
        yield from _yield_rows(tuple(y for y in found.yields if not y.projection), system)
        yield from _projections(tuple(y for y in found.yields if y.projection), system)
        yield from ("", "Inflow against level, held 1 h")
        yield from _curve(found.inflow, system)
        yield from (
            "",
            "Delivered rate: from static down to the level at the end of the time; stored water counts once",
        )
        yield from _delivered(found, system)
        yield from _day(found, system)
    if found.enough is not None:
        yield from ("", found.enough.text(system))
    if found.rule is not None:
        yield from (
            "",
            f"Rule: {found.rule.rule.authority}, {found.rule.rule.citation}: {found.rule.rule.say}",
        )
        yield from (f"  {item.asks}: {_met(item.met)}, {item.text(system)}" for item in found.rule.items)
    if found.checks:
        yield from ("", "Cross-checks")
        yield from (f"  {_check(check, system)}" for check in found.checks)
    if found.warned:
        yield from ("", "Take care")
        yield from (f"  {line}" for line in _warnings(found.warned, system))


def _extent(found: TestFindings, system: System) -> Iterator[str]:
    """Say what was tested, and what was not."""
    layout = found.fit.layout
    bottom_m = layout.hole.bottom_m
    flows = sum(reading.kind == FLOW_READ for reading in layout.problem.readings)
    read = f"{_counted(len(layout.levels), 'level')} read"
    read += f", {_counted(flows, 'flow')} measured" if flows else ""
    recorded = "recorded fractures" if layout.mouths.recorded else "no fracture recorded"
    deepest = Amount(layout.deepest_m, "depth").show(system)
    yield f"Tested to {deepest} for {layout.minutes:g} min, {read}, {recorded}."
    if bottom_m is not None and bottom_m > layout.deepest_m + SLACK_M:
        yield f"Not tested: from {deepest} to the bottom at {Amount(bottom_m, 'depth').show(system)}."


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _check(check: CrossCheck, system: System) -> str:
    """Say whether a cross-check holds and why; its values only where it does."""
    if not check.valid:
        return f"{check.method}: does not hold; {check.why}"
    values = ", ".join(f"{_spelled(name)} {shown_value(value, system)}" for name, value in check.values)
    return f"{check.method}: holds; {values + '; ' if values else ''}{check.why}"


def _met(met: bool | None) -> str:
    return "cannot be told" if met is None else "met" if met else "not met"


def _hand(found: TestFindings, system: System) -> Iterator[str]:
    hand = found.hand
    if hand is None:
        return
    scaled = "" if hand.scaled is None else f", scaled to the level asked {hand.scaled.show(system)}"
    yield f"Hand figure of the trade: {hand.rate.show(system)} over {hand.minutes:g} min{scaled}."
    yield f"It differs from the rock yield because {hand.why.text(system)}."


def _yield_rows(rows: tuple[RockYield, ...], system: System) -> Iterator[str]:
    if not rows:
        return
    yield from ("", "Rock yield: inflow once a level has been held so long")
    table = [
        (
            Amount(y.level_m, "depth").show(system),
            time_in_words(y.duration_s),
            str(y.rate.show(system)),
            _flag(y),
        )
        for y in rows
    ]
    yield from text_table(("level", "held", "rock yield", ""), table)


def _flag(answer: RockYield | Inflow) -> str:
    return "not tested so deep" if answer.untested else ""


def _projections(rows: tuple[RockYield, ...], system: System) -> Iterator[str]:
    if not rows:
        return
    table = [
        (
            Amount(y.level_m, "depth").show(system),
            time_in_words(y.duration_s),
            str(y.rate.show(system)),
            str(y.bounded.show(system)) if y.bounded is not None else "",
            _flag(y),
        )
        for y in rows
    ]
    yield ""
    yield "Projections: rock yield beyond ten times the test's length"
    yield from text_table(("level", "held", "rock yield", "barrier", ""), table)
    decline = rows[0].decline_m
    yield (
        NO_DECLINE
        if decline is None
        else f"{DECLINED.format(Amount(decline, 'length').show(system))} {BARRIER}"
    )


def _curve(rows: tuple[Inflow, ...], system: System) -> Iterator[str]:
    stride = max(1, len(rows) // CURVE_ROWS)
    table = [
        (Amount(row.level_m, "depth").show(system), str(row.rate.show(system)), _flag(row))
        for row in rows[::stride]
    ]
    yield from text_table(("level", "inflow", ""), table)


def _delivered(found: TestFindings, system: System) -> Iterator[str]:
    table = [
        (
            Amount(row.level_m, "depth").show(system),
            time_in_words(row.duration_s),
            str(row.rate.show(system)),
            f"{row.storage.show(system).mid} stored + {row.rock.show(system).mid} rock",
        )
        for row in found.delivered
    ]
    yield from text_table(("level", "for", "delivered", ""), table)


def _day(found: TestFindings, system: System) -> Iterator[str]:
    if found.day_m3 is None or found.peak_m3 is None:
        return
    level = Amount(found.levels_m[0], "depth").show(system)
    yield ""
    yield f"Repeating day: {found.day_m3.show(system)} a day in a house's pattern, on day {REPEATING_DAYS}, not below {level}."
    yield f"Two-hour peak: {found.peak_m3.show(system)} in {PEAK_HOURS:g} h from static, not below {level}."


def _warnings(warned: tuple[Warned, ...], system: System) -> Iterator[str]:
    for each in warned:
        yield f"{each.where}: {each.text(system)}" if each.where else each.text(system)

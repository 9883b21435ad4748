"""The terminal text of `prove`: every figure is one of the findings, and nothing that must be said is left out."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from ledgewell.record import read_well
from ledgewell.steps.prove.answer import ProveFindings, prove_well
from ledgewell.steps.prove.answer_json import answer_to_json
from ledgewell.steps.prove.settling import Settling
from ledgewell.steps.prove.telling import told, working_told
from ledgewell.units import System

WELLS = Path(__file__).resolve().parents[2] / "docs" / "wells"
TEXT = (WELLS / "tutorial.toml").read_text(encoding="utf-8")
WHEN = 'when = "drilling"'
BEFORE = TEXT.replace(WHEN, 'when = "before stimulation"\nrule = "ny-5b"')
AFTER = (
    TEXT[TEXT.index("[[test]]") :]
    .replace(WHEN, 'when = "after stimulation"')
    .replace("first test", "second test")
)
SYSTEMS: tuple[System, ...] = ("us", "si")

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def found() -> ProveFindings:
    """One test that names a rule, and the same readings again as the test after stimulation."""
    return prove_well(read_well(f"{BEFORE}\n{AFTER}"))


def text_of(found: ProveFindings, system: System = "us") -> str:
    return "\n".join(told(found, system))


def section(text: str, title: str) -> list[str]:
    """Lines under a title, down to the next empty line."""
    lines = text.split("\n")
    begin = next(place for place, line in enumerate(lines) if line.strip().startswith(title))
    return lines[begin + 1 : lines.index("", begin) if "" in lines[begin:] else None]


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_sentence_comes_first_and_is_that_of_the_json(found: ProveFindings, system: System) -> None:
    lines = text_of(found, system).split("\n")
    assert lines[0] == answer_to_json(found, system)["say"]
    assert "if the rock behaves as modelled" in lines[1]


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_yield_is_told_once_projections_apart(found: ProveFindings, system: System) -> None:
    text = text_of(replace(found, tests=found.tests[:1], comparisons=()), system)
    rows, projections = (
        section(text, title)[1:] for title in ("Rock yield: inflow", "Projections: rock yield")
    )
    [*projections, no_decline] = projections
    assert "no seasonal decline stated: today's static level" in no_decline.casefold()
    yields = found.tests[0].yields
    near = [each for each in yields if not each.projection]
    far = [each for each in yields if each.projection]
    assert near
    assert far
    for told_rows, answers in ((rows, near), (projections, far)):
        assert len(told_rows) == len(answers)
        for row, answer in zip(told_rows, answers, strict=True):
            assert str(answer.rate.show(system)) in row
            assert ("not tested so deep" in row) == answer.untested
    for row, answer in zip(projections, far, strict=True):
        assert answer.bounded is not None
        assert str(answer.bounded.show(system)) in row


def test_the_hand_figure_stands_with_its_reason(found: ProveFindings) -> None:
    hand = found.tests[0].hand
    assert hand is not None
    text = text_of(found)
    assert f"Hand figure of the trade: {hand.rate.show('us')} over {hand.minutes:g} min" in text
    assert hand.why.text("us") in text


def test_what_was_tested_and_what_was_not(found: ProveFindings) -> None:
    """The tutorial's test, by hand: levels to 251 ft in a 500 ft hole, 90 min."""
    text = text_of(found)
    assert re.search(r"Tested to 251 ft for 90 min, 1[0-9] levels read, no fracture recorded\.", text)
    assert "Not tested: from 251 ft to the bottom at 500 ft." in text


def test_delivered_rate_names_its_parts(found: ProveFindings) -> None:
    test = found.tests[0]
    rows = section(text_of(found), "Delivered rate")[1:]
    assert len(rows) == len(test.delivered)
    for row, each in zip(rows, test.delivered, strict=True):
        assert str(each.rate.show("us")) in row
        assert f"{each.storage.show('us').mid} stored + {each.rock.show('us').mid} rock" in row


def test_day_peak_advice_and_rule_are_told(found: ProveFindings) -> None:
    test, text = found.tests[0], text_of(found)
    assert test.day_m3 is not None
    assert test.peak_m3 is not None
    assert f"Repeating day: {test.day_m3.show('us')} a day" in text
    assert f"Two-hour peak: {test.peak_m3.show('us')} in 2 h" in text
    assert test.enough is not None
    assert test.enough.text("us") in text
    assert "Rule: New York State Department of Health, 10 NYCRR Appendix 5-B" in text


@pytest.mark.parametrize("system", SYSTEMS)
def test_advice_and_rule_speak_the_units_asked(found: ProveFindings, system: System) -> None:
    text = text_of(found, system)
    other = re.compile(r"\d (?:m|L/min|L)\b" if system == "us" else r"\d (?:ft|gpm|gal|in)\b")
    lines = [line for line in text.split("\n") if not line.strip().startswith("Rule:")]
    assert [line for line in lines if other.search(line)] == []


def test_every_cross_check_says_whether_it_holds(found: ProveFindings) -> None:
    text = text_of(found)
    for check in found.tests[0].checks:
        assert f"{check.method}: {'holds' if check.valid else 'does not hold'}; " in text


def test_warnings_carry_their_place(found: ProveFindings) -> None:
    text = text_of(found)
    for test in found.tests:
        for each in test.warned:
            assert f"{each.where}: {each.text('us')}" in text


def test_a_comparison_is_told_and_heads_its_own_part(found: ProveFindings) -> None:
    [comparison] = found.comparisons
    text = text_of(found)
    title = f"Before and after: {comparison.before}, {comparison.after}"
    assert "no change can be told" in section(text, title)[0]


def test_the_working_shows_formulas_beliefs_parameters_and_sources(found: ProveFindings) -> None:
    text = "\n".join(working_told(found, "us"))
    assert "A(h) dh/dt = Q_pump − Q_rock" in text
    assert "flow dimension n = 2 (radial) ± 0.35" in text
    assert re.search(r"\n    flow dimension = [0-9.]+ \([0-9.]+ to [0-9.]+\)\n", text)
    assert "Source: Barker, J. A. (1988)" in text
    for check in found.tests[0].checks:
        assert f"Cross-check: {check.method}, readings from" in text
    assert "_" not in text.replace("Q_pump", "").replace("Q_rock", "")


def test_a_sample_that_has_not_settled_prints_no_band(found: ProveFindings) -> None:
    test = found.tests[0]
    unsettled = replace(
        test,
        fit=replace(test.fit, settling=Settling(1.2, 40.0)),
        yields=(),
        inflow=(),
        delivered=(),
        day_m3=None,
        peak_m3=None,
        parameters=(),
        enough=None,
        shakiness=None,
    )
    text = text_of(replace(found, tests=(unsettled,), comparisons=()))
    assert text.startswith(
        "No band can be printed: the sample of wells that explain this test has not settled."
    )
    assert "Hand figure of the trade" in text
    assert re.search(r"\([0-9.,]+ to ", text) is None
    assert "Rock yield" not in text
    assert "Repeating day" not in text


def test_asked_only_beyond_the_test_every_yield_is_a_projection(found: ProveFindings) -> None:
    test = found.tests[0]
    far = replace(test, yields=tuple(each for each in test.yields if each.projection))
    text = text_of(replace(found, tests=(far,)))
    assert "Rock yield: inflow" not in text
    assert "Projections: rock yield" in text


def test_json_has_the_names_of_the_contract_for_every_test(found: ProveFindings) -> None:
    answer = json.loads(json.dumps(answer_to_json(found, "us"), allow_nan=False))
    names = {"name", "say", "hand", "yield", "inflow", "delivered", "day", "peak", "parameters", "tested_to"}
    for test in answer["tests"]:
        assert names | {"enough", "crosschecks", "warnings"} <= set(test)

"""Findings: values in SI, unrounded in JSON, rounded for reading. Conversions are by the legal definitions."""

from __future__ import annotations

import json
from math import inf, nan

import pytest

from ledgewell.errors import RangeError
from ledgewell.record import Doubt
from ledgewell.sources import NO_SOURCE, UnknownSourceError
from ledgewell.steps.findings import (
    Amount,
    Estimate,
    Quotient,
    Warned,
    Working,
    chosen_system,
    cited_sources,
    phrase,
    text_table,
    warned_from_doubt,
)

GALLON = 231 * 0.0254**3
GPM = GALLON / 60


def test_an_amount_is_not_rounded_in_json_and_is_when_shown() -> None:
    amount = Amount(4.148 * GPM, "flow")
    assert amount.to_json("us")["value"] == pytest.approx(4.148, rel=1e-14)
    assert amount.to_json("us")["unit"] == "gpm"
    assert amount.to_json("si")["value"] == pytest.approx(4.148 * 3.785411784, rel=1e-14)
    assert amount.show("us") == "4.15 gpm"


def test_a_reading_keeps_its_resolution() -> None:
    assert Amount(38.5 * 0.3048, "depth", 0.1 * 0.3048).show("us") == "38.5 ft"
    assert Amount(38.0 * 0.3048, "depth", 0.1 * 0.3048).show("us") == "38.0 ft"


def test_an_estimate_has_the_names_of_the_contract() -> None:
    estimate = Estimate(3.5 * GPM, 4.1 * GPM, 4.9 * GPM, "flow")
    written = estimate.to_json("us")
    assert list(written) == ["low", "mid", "high", "unit", "probability"]
    assert [written["low"], written["mid"], written["high"]] == pytest.approx([3.5, 4.1, 4.9], rel=1e-14)
    assert (written["unit"], written["probability"]) == ("gpm", 0.9)
    assert str(estimate.show("us")) == "4.1 gpm (3.5 to 4.9)"


@pytest.mark.parametrize(
    ("low", "mid", "high"), [(2.0, 1.0, 3.0), (1.0, 4.0, 3.0), (nan, 1.0, 2.0), (0.0, 1.0, inf)]
)
def test_an_estimate_that_does_not_rise_is_refused(low: float, mid: float, high: float) -> None:
    with pytest.raises(RangeError, match="between low"):
        Estimate(low, mid, high, "flow")


@pytest.mark.parametrize("probability", [0.0, 1.0, 1.2])
def test_a_probability_of_nothing_or_all_is_refused(probability: float) -> None:
    with pytest.raises(RangeError, match="between 0 and 1"):
        Estimate(1.0, 2.0, 3.0, "flow", probability)


def test_what_is_no_number_is_refused() -> None:
    for make in (lambda: Amount(nan, "depth"), lambda: Quotient(inf, "volume", "depth")):
        with pytest.raises(RangeError):
            make()


def test_gallons_in_a_foot() -> None:
    """1 gal/ft is 231 in³ in 12 in, a cross-section of 19.25 in²."""
    quotient = Quotient(19.25 * 0.0254**2, "volume", "depth")
    assert quotient.to_json("us")["value"] == pytest.approx(1.0, rel=1e-14)
    assert quotient.to_json("us")["unit"] == "gal/ft"
    assert quotient.to_json("si")["value"] == pytest.approx(3.785411784 / 0.3048, rel=1e-14)
    assert quotient.show("us") == "1.00 gal/ft"


def test_a_warning_speaks_the_readers_units() -> None:
    warned = Warned(
        "bore",
        phrase("nothing is known from {top} to {low}", top=Amount(0.0, "depth"), low=Amount(3.048, "depth")),
    )
    assert warned.to_json("us") == {"where": "bore", "say": "nothing is known from 0 ft to 10 ft"}
    assert warned.text("si") == "nothing is known from 0 m to 3.05 m"


def test_a_doubt_asks_its_question() -> None:
    warned = warned_from_doubt(Doubt(where="level[1]", say="this is odd", ask="Is the well flowing?"))
    assert (warned.where, warned.text("us")) == ("level[1]", "this is odd. Is the well flowing?")


def test_working_names_formula_inputs_and_source() -> None:
    working = Working(
        "Drawdown", "s = h − h0", (("h", Amount(3.048, "depth")), ("h0", "the level at rest")), "theis1935"
    )
    assert working.lines("us")[:4] == ("Drawdown", "  s = h − h0", "  h = 10 ft", "  h0 = the level at rest")
    assert "Theis" in working.lines("us")[4]
    written = working.to_json("us")
    assert written["inputs"] == {"h": {"value": 10.0, "unit": "ft"}, "h0": "the level at rest"}
    json.dumps(written, allow_nan=False)


def test_a_source_that_is_not_in_the_bibliography_is_refused() -> None:
    working = Working("Drawdown", "s", (), "nobody1900")
    with pytest.raises(UnknownSourceError):
        working.lines("us")
    with pytest.raises(UnknownSourceError):
        cited_sources(["nobody1900"])


def test_sources_stand_once_and_what_has_none_stands_not_at_all() -> None:
    assert [each["key"] for each in cited_sources(["theis1935", NO_SOURCE, "barker1988", "theis1935"])] == [
        "theis1935",
        "barker1988",
    ]


def test_the_unit_system_asked_for_rules_over_the_files() -> None:
    assert [chosen_system(*pair) for pair in ((None, None), (None, "si"), ("us", "si"), ("si", "us"))] == [
        "us", "si", "us", "si",
    ]  # fmt: skip


def test_a_table_sets_numbers_right_and_drops_empty_columns() -> None:
    table = text_table(("depth", "note", ""), [("5 ft", "", "bore"), ("40 ft", "", "casing")], indent=1)
    assert table == (" depth", "  5 ft  bore", " 40 ft  casing")
    assert text_table(("depth",), []) == ()

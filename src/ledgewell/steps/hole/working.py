"""The working of the hole step: formula, inputs and source of every figure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ledgewell.record import HoleOnDay
from ledgewell.sources import NO_SOURCE
from ledgewell.steps.findings import Amount, Estimate, Finding, Working
from ledgewell.steps.hole.airlift import Blown
from ledgewell.steps.hole.standing import Standing
from ledgewell.steps.hole.widths import Length
from ledgewell.steps.prove.priors import Priors

STORED_SOURCE = "milhdbk1164"
"""Prints gallons in a foot of hole by diameter."""


def hole_workings(
    standing: Standing,
    stored: Estimate | None,
    lengths: Sequence[Length],
    airlift: Sequence[Blown],
    hole: HoleOnDay,
) -> tuple[Working, ...]:
    """Open the working of the hole step.

    Parameters
    ----------
    standing
        The water in the hole.
    stored
        What is stored below the level, or None.
    lengths
        Lengths of one width.
    airlift
        Flows blown while drilling.
    hole
        The hole as it stood on a day.

    Returns
    -------
    tuple of Working
        One for each length, for the stored water and its band, and for each gain of flow.

    Examples
    --------
    >>> from ledgewell.record import Well, hole_on
    >>> hole_workings(Standing(state="unknown"), None, (), (), hole_on(Well()))
    ()
    """
    found = [_length_working(each) for each in lengths if each.holds is not None]
    return (*found, *_stored_workings(standing, stored, hole), *(_gain_working(each) for each in airlift))


def _length_working(length: Length) -> Working:
    formula = "V/L = π/4 D²"
    inputs: list[tuple[str, Finding | str]] = [("from", length.top), ("to", length.bottom)]
    if length.inside is not None:
        inputs.append(("D, inside diameter", length.inside))
    if length.open_annulus:
        formula += " + π/4 (Dₒ² − Dᵢ²)"
        inputs.append(("Dₒ, Dᵢ", "the bore and the outside of the casing; the space between them is open"))
    if length.pipe:
        formula += " − π/4 d²"
        inputs.append(("d", "the outside of the drop pipe"))
    if length.holds is not None:
        inputs.append(("V/L", length.holds))
    return Working(f"Water held by {length.where}", formula, tuple(inputs), STORED_SOURCE)


def _stored_workings(standing: Standing, stored: Estimate | None, hole: HoleOnDay) -> Iterator[Working]:
    if stored is None or standing.level is None or hole.bottom_m is None or standing.state == "dry":
        return
    volume = Amount(stored.mid, "volume")
    inputs = (("level", standing.level), ("bottom", Amount(hole.bottom_m, "depth")), ("V", volume))
    formula = "V = Σ (V/L)·L over every length between the level and the bottom"
    yield Working("Water stored now", formula, inputs, STORED_SOURCE)
    error = f"{Priors().area_error:g}, one standard deviation: bit wear and washout"
    yield Working(
        "Band of the stored water",
        "V·exp(± z σ), z so that the band holds the probability",
        (
            ("σ of ln(true area / recorded area)", error),
            ("probability", f"{stored.probability:g}"),
            ("V", stored),
        ),
        NO_SOURCE,
    )


def _gain_working(blown: Blown) -> Working:
    inputs: tuple[tuple[str, Finding], ...] = (
        ("total here", Amount(blown.total_m3s, "flow")),
        ("total above", Amount(blown.total_m3s - blown.gain_m3s, "flow")),
        ("gain", Amount(blown.gain_m3s, "flow")),
    )
    return Working(
        f"Flow gained at {blown.where}",
        "gain = total here − total with the bit at the note above",
        inputs,
        NO_SOURCE,
    )

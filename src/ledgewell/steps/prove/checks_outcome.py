"""What one cross-check says: the method, whether it holds here and why, its values, and the readings it used."""

from __future__ import annotations

from dataclasses import dataclass

from ledgewell.physics.closed_forms import Validity
from ledgewell.steps.findings import Amount, JsonTable, Quotient
from ledgewell.steps.prove.spread import Spread
from ledgewell.units import System, round_figures

_FIGURES = 3


@dataclass(frozen=True, slots=True)
class PlainNumber:
    """A number with a plain unit, or none, that the trade has no unit of its own for.

    Examples
    --------
    >>> PlainNumber(1.5e5, "s²/m⁵").to_json()
    {'value': 150000.0, 'unit': 's²/m⁵'}
    """

    value: float
    unit: str = ""

    def to_json(self) -> JsonTable:
        """Write value and unit, not rounded."""
        return {"value": self.value, "unit": self.unit}

    def show(self) -> str:
        """Write it for reading, to three figures."""
        plain = self.value == 0 or 1e-2 <= abs(self.value) < 1e5
        shown = round_figures(self.value, _FIGURES) if plain else f"{self.value:.2e}"
        return f"{shown} {self.unit}".strip()


CheckValue = Amount | Quotient | Spread | PlainNumber


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossCheck:
    """A hydrogeologist's method beside the engine's answer.

    Parameters
    ----------
    method
        Name of the method.
    valid
        True when the method holds for this test.
    why
        Why it does, or does not.
    values
        Pairs of name and value.
    window_min
        First and last minute of the readings it used, since the start of the test.
    source
        Key of the reference.
    """

    method: str
    valid: bool
    why: str
    values: tuple[tuple[str, CheckValue], ...]
    window_min: tuple[float, float]
    source: str

    def value(self, name: str) -> CheckValue | None:
        """Return the value of a name, None when there is none."""
        return dict(self.values).get(name)

    def to_json(self, system: System) -> JsonTable:
        """Write method, validity, reason, values, window and source, numbers not rounded.

        Parameters
        ----------
        system
            Unit system of lengths and rates; transmissivity stays in m²/s.

        Returns
        -------
        dict
            ``{"method", "valid", "why", "value", "window", "source"}``.
        """
        first, last = self.window_min
        return {
            "method": self.method,
            "valid": self.valid,
            "why": self.why,
            "value": {name: _value_json(value, system) for name, value in self.values},
            "window": {"from": first, "to": last, "unit": "min"},
            "source": self.source,
        }


def _value_json(value: CheckValue, system: System) -> JsonTable:
    if isinstance(value, Amount | Quotient):
        return value.to_json(system)
    return value.to_json()


def outcome(
    method: str,
    judgment: Validity,
    values: list[tuple[str, CheckValue]],
    window_min: tuple[float, float],
    source: str,
) -> CrossCheck:
    """Put a judgment and values into a cross-check.

    Examples
    --------
    >>> found = outcome("specific capacity", Validity(True, "an hour"), [], (0.0, 60.0), "theis1935")
    >>> found.to_json("us")["window"]
    {'from': 0.0, 'to': 60.0, 'unit': 'min'}
    """
    return CrossCheck(
        method=method,
        valid=judgment.valid,
        why=judgment.why,
        values=tuple(values),
        window_min=window_min,
        source=source,
    )

"""What every step answers with: amounts and estimates with units, warnings with their place, the working.

All values are SI inside; a unit system is chosen only when a finding is written as JSON or shown. Numbers in
JSON are not rounded; shown numbers are rounded by `ledgewell.units` and nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import isfinite

from ledgewell import __version__
from ledgewell.errors import RangeError
from ledgewell.record import Doubt, Well, record_mark
from ledgewell.sources import NO_SOURCE, source
from ledgewell.units import (
    DEFAULT_UNIT,
    Kind,
    ShownEstimate,
    System,
    round_figures,
    show,
    show_estimate,
    unit_of,
    value_in,
)

JsonTable = dict[str, object]
"""A JSON object; its values are what `json.dumps` takes."""
ANSWER_FORMAT = 1
"""Format of the JSON answers of all steps."""
_QUOTIENT_FIGURES = 3


def chosen_system(asked: str | None, recorded: str | None) -> System:
    """Choose the unit system of an answer: as asked, else as the well file is written, else US.

    Parameters
    ----------
    asked
        ``"us"``, ``"si"`` or None.
    recorded
        `Well.units`.

    Returns
    -------
    str
        ``"us"`` or ``"si"``.

    Examples
    --------
    >>> chosen_system(None, "si"), chosen_system("us", "si"), chosen_system(None, None)
    ('si', 'us', 'us')
    """
    return "si" if (asked or recorded) == "si" else "us"


def answer_head(well: Well, *, seed: int | None = None) -> JsonTable:
    """Begin the JSON answer of a step: which format, which engine, which record, which random numbers.

    Parameters
    ----------
    well
        The record.
    seed
        Seed of the random numbers, when the step draws any.

    Returns
    -------
    dict
        ``{"format", "engine", "record_mark"}``, and ``"seed"`` when there is one.

    Examples
    --------
    >>> list(answer_head(Well(), seed=1))
    ['format', 'engine', 'record_mark', 'seed']
    """
    head: JsonTable = {"format": ANSWER_FORMAT, "engine": __version__, "record_mark": record_mark(well)}
    return head if seed is None else {**head, "seed": seed}


@dataclass(frozen=True, slots=True)
class Amount:
    """A value that carries no band of its own.

    Parameters
    ----------
    si
        Finite value in SI.
    kind
        Kind of quantity, a key of `ledgewell.units.DIMENSION`.
    resolution_si
        Resolution of a reading, in SI, which shown text keeps; None for three figures.

    Examples
    --------
    >>> Amount(88.392, "depth").to_json("us"), Amount(88.392, "depth").show("si")
    ({'value': 290.0, 'unit': 'ft'}, '88.4 m')
    """

    si: float
    kind: Kind
    resolution_si: float | None = None

    def __post_init__(self) -> None:
        if not isfinite(self.si):
            raise RangeError("si", self.si, "a finite number")

    def to_json(self, system: System) -> JsonTable:
        """Write value and unit, not rounded.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"value", "unit"}``.
        """
        unit = DEFAULT_UNIT[system][self.kind]
        return {"value": value_in(self.si, unit), "unit": unit}

    def show(self, system: System) -> str:
        """Write it for reading, rounded.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        str
            Number and unit.
        """
        return show(self.si, self.kind, system, self.resolution_si)


@dataclass(frozen=True, slots=True)
class Quotient:
    """A value of one kind for each unit of another, such as gallons per foot or gpm per foot.

    Parameters
    ----------
    si
        Finite value, SI over SI.
    kind, per
        Kinds above and below the line, keys of `ledgewell.units.DIMENSION`.

    Examples
    --------
    >>> Quotient(0.018241469, "volume", "depth").show("us")  # a 6 in hole
    '1.47 gal/ft'
    >>> Quotient(0.018241469, "volume", "depth").to_json("si")["unit"]
    'L/m'
    """

    si: float
    kind: Kind
    per: Kind

    def __post_init__(self) -> None:
        if not isfinite(self.si):
            raise RangeError("si", self.si, "a finite number")

    def _value(self, system: System) -> tuple[float, str]:
        above, below = DEFAULT_UNIT[system][self.kind], DEFAULT_UNIT[system][self.per]
        unit = unit_of(below)
        return value_in(self.si, above) * unit.numerator / unit.denominator, f"{above}/{below}"

    def to_json(self, system: System) -> JsonTable:
        """Write value and unit, not rounded.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"value", "unit"}``.
        """
        value, unit = self._value(system)
        return {"value": value, "unit": unit}

    def show(self, system: System) -> str:
        """Write it for reading, to three figures.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        str
            Number and unit.
        """
        value, unit = self._value(system)
        return f"{round_figures(value, _QUOTIENT_FIGURES)} {unit}"


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its band.

    Parameters
    ----------
    low, mid, high
        Finite values in SI, in rising order.
    kind
        Kind of quantity, a key of `ledgewell.units.DIMENSION`.
    probability
        Probability that the truth lies between low and high, if the rock behaves as modelled.

    Examples
    --------
    >>> str(Estimate(2.208e-4, 2.587e-4, 3.091e-4, "flow").show("us"))
    '4.1 gpm (3.5 to 4.9)'
    """

    low: float
    mid: float
    high: float
    kind: Kind
    probability: float = 0.9

    def __post_init__(self) -> None:
        if not (isfinite(self.low) and isfinite(self.high) and self.low <= self.mid <= self.high):
            raise RangeError("mid", self.mid, f"finite, between low {self.low!r} and high {self.high!r}")
        if not 0 < self.probability < 1:
            raise RangeError("probability", self.probability, "between 0 and 1")

    def to_json(self, system: System) -> JsonTable:
        """Write low, mid, high, unit and probability, not rounded.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"low", "mid", "high", "unit", "probability"}``.
        """
        unit = DEFAULT_UNIT[system][self.kind]
        low, mid, high = (value_in(si, unit) for si in (self.low, self.mid, self.high))
        return {"low": low, "mid": mid, "high": high, "unit": unit, "probability": self.probability}

    def show(self, system: System) -> ShownEstimate:
        """Round it for reading: two figures, three where the band is under 5 %.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        ShownEstimate
            Its `str` is middle, unit and band.
        """
        return show_estimate(self.low, self.mid, self.high, self.kind, system)


Finding = Amount | Quotient | Estimate


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words with findings in them, so that a warning speaks the reader's units.

    Parameters
    ----------
    template
        Text with ``{name}`` where a finding stands.
    findings
        Pairs of name and finding.

    Examples
    --------
    >>> Phrase("nothing is known above {depth}", (("depth", Amount(12.192, "depth")),)).text("us")
    'nothing is known above 40 ft'
    """

    template: str
    findings: tuple[tuple[str, Finding], ...] = ()

    def text(self, system: System) -> str:
        """Write the words in one unit system.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        str
        """
        return self.template.format(**{name: str(found.show(system)) for name, found in self.findings})


def phrase(template: str, **findings: Finding) -> Phrase:
    """Put findings into words.

    Parameters
    ----------
    template
        Text with ``{name}`` where a finding stands; the text itself may hold no other braces.
    **findings
        Findings by name.

    Returns
    -------
    Phrase

    Examples
    --------
    >>> phrase("not tested below {level}", level=Amount(88.392, "depth")).text("us")
    'not tested below 290 ft'
    """
    return Phrase(template, tuple(findings.items()))


@dataclass(frozen=True, slots=True)
class Warned:
    """Something the reader must know, and its place in the record.

    Parameters
    ----------
    where
        Place, such as ``test[0].levels[3]``; empty when it is about the whole.
    say
        What it is, in plain words.

    Examples
    --------
    >>> Warned("level", "no depth to water is recorded").to_json("us")
    {'where': 'level', 'say': 'no depth to water is recorded'}
    """

    where: str
    say: str | Phrase

    def text(self, system: System) -> str:
        """Write what it says in one unit system.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        str
        """
        return self.say if isinstance(self.say, str) else self.say.text(system)

    def to_json(self, system: System) -> JsonTable:
        """Write place and words.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"where", "say"}``.
        """
        return {"where": self.where, "say": self.text(system)}


def warned_from_doubt(doubt: Doubt) -> Warned:
    """Turn a doubt about the record into a warning that asks its question.

    Parameters
    ----------
    doubt
        The doubt.

    Returns
    -------
    Warned

    Examples
    --------
    >>> warned_from_doubt(Doubt(where="level[0]", say="this is odd", ask="Is it right?")).say
    'this is odd. Is it right?'
    """
    return Warned(doubt.where, f"{doubt.say}. {doubt.ask}".strip())


@dataclass(frozen=True, slots=True)
class Working:
    """How one figure was computed.

    Parameters
    ----------
    title
        The figure, in plain words.
    formula
        The formula, in symbols or words.
    inputs
        Pairs of name and finding, or name and plain text.
    source
        A key of references.bib, or `ledgewell.sources.NO_SOURCE`.

    Examples
    --------
    >>> area = Working("Gallons in a foot of hole", "pi/4 D^2", (("D", Amount(0.1524, "diameter")),), "milhdbk1164")
    >>> area.lines("us")[1:3]
    ('  pi/4 D^2', '  D = 6 in')
    """

    title: str
    formula: str
    inputs: tuple[tuple[str, Finding | str], ...]
    source: str

    def to_json(self, system: System) -> JsonTable:
        """Write title, formula, inputs by name and source.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"title", "formula", "inputs", "source"}``.
        """
        inputs = {
            name: given if isinstance(given, str) else given.to_json(system) for name, given in self.inputs
        }
        return {"title": self.title, "formula": self.formula, "inputs": inputs, "source": self.source}

    def lines(self, system: System) -> tuple[str, ...]:
        """Write it for reading.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        tuple of str
            The title, then formula, inputs and source, indented.

        Raises
        ------
        UnknownSourceError
            When no source has its key.
        """
        inputs = (
            f"  {name} = {given if isinstance(given, str) else given.show(system)}"
            for name, given in self.inputs
        )
        cited = self.source if self.source == NO_SOURCE else source(self.source).text
        return (self.title, f"  {self.formula}", *inputs, f"  Source: {cited}")


def cited_sources(keys: Iterable[str]) -> list[JsonTable]:
    """Write the sources that findings used, each once, in the order first used.

    Parameters
    ----------
    keys
        Keys of references.bib; `ledgewell.sources.NO_SOURCE` is left out.

    Returns
    -------
    list of dict
        ``{"key", "text"}`` each.

    Raises
    ------
    UnknownSourceError
        When no source has a key.

    Examples
    --------
    >>> [each["key"] for each in cited_sources(["barker1988", "theis1935", "barker1988"])]
    ['barker1988', 'theis1935']
    """
    return [{"key": key, "text": source(key).text} for key in dict.fromkeys(keys) if key != NO_SOURCE]


def text_table(header: Sequence[str], rows: Sequence[Sequence[str]], *, indent: int = 2) -> tuple[str, ...]:
    """Set rows of text in columns, numbers to the right and words to the left.

    Parameters
    ----------
    header
        Headings; a column whose every entry is empty is left out.
    rows
        Entries, as many in each row as there are headings.
    indent
        Spaces before each line.

    Returns
    -------
    tuple of str
        The heading and one line for each row; none without rows.

    Examples
    --------
    >>> print("\\n".join(text_table(("depth", "stored"), [("50 ft", "17 gal"), ("100 ft", "90 gal")])))
       depth  stored
       50 ft  17 gal
      100 ft  90 gal
    """
    if not rows:
        return ()
    columns = [column for column in zip(header, *rows, strict=True) if any(column[1:])]
    set_columns = [_set_column(column) for column in columns]
    return tuple((" " * indent + "  ".join(line)).rstrip() for line in zip(*set_columns, strict=True))


def _set_column(column: Sequence[str]) -> list[str]:
    width = max(map(len, column))
    numeric = all(not entry or entry.lstrip("-−")[:1].isdigit() for entry in column[1:])
    return [entry.rjust(width) if numeric else entry.ljust(width) for entry in column]

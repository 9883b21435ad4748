"""Readings of a test or a stage: a time and a value that cannot part, with method, note and id."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Annotated, Any

from ledgewell.record import fields
from ledgewell.record.edge import Reader, Writer
from ledgewell.record.fields import Item, field_specs
from ledgewell.record.quantities import QuantitySpec, StatedQuantitySpec
from ledgewell.record.specs import ChoiceSpec
from ledgewell.record.times import Clockwork, ReadingTime, read_time, stated_minute
from ledgewell.record.walk import order_key, read_table, table_schema, with_ids, write_table
from ledgewell.units import Quantity

METHODS = ("steel tape", "electric tape", "acoustic", "air line", "transducer", "estimate")
"""How a level is measured."""

_TIME_KEYS = ("minute", "clock", "at")
_MAX_READINGS = 200_000
_AGREE_MINUTES = 0.02
_UNPLACED = ReadingTime("minute", "0")
_RATE = QuantitySpec(("flow",))
_SIGNED_RATE = QuantitySpec(("flow",), negative=True)
_LEVEL = QuantitySpec(("depth",), negative=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading(Item):
    """What every reading carries.

    Parameters
    ----------
    time
        When, as it was given.
    minute
        Minutes since the start of the test [min].
    method
        How it was measured, where it differs from the test's.
    note
        Anything said about it.
    """

    time: ReadingTime = _UNPLACED
    minute: float = 0.0
    method: Annotated[fields.Text, "how it was measured, where it differs"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RateReading(Reading):
    """What the pump was set to from that minute on; `state` is "unknown" when nobody knows."""

    rate: Annotated[Quantity | None, StatedQuantitySpec(_RATE, ("unknown",)), "what the pump was set to"] = (
        None
    )
    state: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierReading(Reading):
    """What came before the test: pumping, airlifting, or injection below zero."""

    rate: Annotated[
        Quantity | None,
        StatedQuantitySpec(_SIGNED_RATE, ("unknown",)),
        "rate pumped or airlifted; below zero for injection",
    ] = None
    state: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowReading(Reading):
    """A flow that was measured."""

    flow: Annotated[fields.Flow, "flow measured"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterReading(Reading):
    """What a totalizer showed."""

    meter: Annotated[fields.Volume, "what the totalizer showed"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelReading(Reading):
    """Depth to water; `state` is "at pump", or "below" the depth given. Below zero it is flowing."""

    level: Annotated[
        Quantity | None,
        StatedQuantitySpec(_LEVEL, ("at pump",), ("below",)),
        "depth to water; below zero it is flowing",
    ] = None
    state: str | None = None
    method: Annotated[str | None, ChoiceSpec(METHODS), "how it was measured, where it differs"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeReading(Reading):
    """Water taken out or put in at once."""

    volume: Annotated[fields.Volume, "volume moved at once"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EventReading(Reading):
    """Something that happened."""

    event: Annotated[fields.Note, "what happened"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StageReading(Reading):
    """What was read during a stage of stimulation; any value may be missing."""

    pressure: Annotated[fields.Pressure, "pressure at the gauge"] = None
    flow: Annotated[fields.SignedFlow, "flow into the hole; below zero when it flows back"] = None
    tank: Annotated[fields.Volume, "volume left in the tank"] = None
    inflation: Annotated[fields.Pressure, "inflation pressure of the packer"] = None
    above: Annotated[fields.SignedDepth, "depth to water above the packer"] = None


@dataclass(frozen=True, slots=True)
class ReadingsSpec:
    """A list of readings: ``[time, value]`` pairs or tables.

    Parameters
    ----------
    reading
        Dataclass of one reading.
    value_key
        Key that the second entry of a pair stands for, or None when only tables will do.
    before
        Whether the list tells of what came before the start.
    """

    reading: type[Reading]
    value_key: str | None
    before: bool = False

    def read(self, given: Any, where: str, reader: Reader, /) -> tuple[Reading, ...] | None:
        if not isinstance(given, (list, tuple)):
            reader.problem(where, given, "this must be a list of readings", self._right())
            return None
        if len(given) > _MAX_READINGS:
            right = "the logger's own file beside the record"
            reader.problem(where, given, f"more than {_MAX_READINGS} readings", right)
            return None
        found = [self._one(one, f"{where}[{i}]", reader) for i, one in enumerate(given) if not reader.full]
        return tuple(reading for reading in found if reading is not None)

    def _right(self) -> str:
        if self.value_key is None:
            return "tables such as {minute = 5, pressure = 900}"
        return f"pairs such as [5, …] or tables such as {{minute = 5, {self.value_key} = …}}"

    def _one(self, given: Any, where: str, reader: Reader) -> Reading | None:
        if isinstance(given, (list, tuple)) and len(given) == 2 and self.value_key is not None:
            given = {"minute": given[0], self.value_key: given[1]}
        if not isinstance(given, dict):
            reader.problem(where, given, "this is not a reading", self._right())
            return None
        time = _time_of(given, where, reader)
        table = {key: value for key, value in given.items() if key not in _TIME_KEYS}
        reading = read_table(self.reading, table, where, reader)
        if time is None or reading is None:
            return None
        if self.value_key is not None and self.value_key not in given:
            reader.problem(where, given, "this reading has no value", f"its {self.value_key}")
            return None
        minute = stated_minute(time.typed) if time.how == "minute" else 0.0
        return replace(reading, time=time, minute=minute)

    def write(self, value: Sequence[Reading], writer: Writer, /) -> list[Any] | None:
        readings = sorted(value, key=order_key) if writer.face == "canonical" else value
        return [self._written(reading, writer) for reading in readings] or None

    def _written(self, reading: Reading, writer: Writer) -> Any:
        table = {**_written_time(reading, writer), **write_table(reading, writer)}
        key = self.value_key
        if writer.face == "file" and key is not None and set(table) == {"minute", key}:
            return [table["minute"], table[key]]
        return table

    def schema(self) -> dict[str, Any]:
        table = {"$ref": f"#/$defs/{self.reading.__name__}"}
        if self.value_key is None:
            return {"type": "array", "items": table}
        value = field_specs(self.reading)[self.value_key].spec.schema()
        pair = {"type": "array", "prefixItems": [TIME_SCHEMA, value], "minItems": 2, "maxItems": 2}
        return {"type": "array", "items": {"anyOf": [pair, table]}}


TIME_SCHEMA: dict[str, Any] = {
    "type": ["number", "string"],
    "description": "minutes since start, a clock time, a day and time, or a duration with its unit",
}


def reading_schema(reading: type[Reading]) -> dict[str, Any]:
    """Describe a reading written as a table.

    Parameters
    ----------
    reading
        Dataclass of the reading.

    Returns
    -------
    dict

    Examples
    --------
    >>> sorted(reading_schema(FlowReading)["properties"])
    ['at', 'clock', 'flow', 'id', 'method', 'minute', 'note']
    """
    described = table_schema(reading)
    times = {
        "minute": {**TIME_SCHEMA, "description": "minutes since start"},
        "clock": {"type": "string", "description": "clock time, such as 09:14:30"},
        "at": {"type": "string", "description": "day and time of a reading that was tapped in"},
    }
    described["properties"] = {**times, **described["properties"]}
    return described


def _time_of(given: dict[str, Any], where: str, reader: Reader) -> ReadingTime | None:
    keys = [key for key in _TIME_KEYS if key in given]
    main = next((key for key in reversed(keys)), None)
    if main is None or {"clock", "at"} <= set(keys):
        right = "minute, clock or at"
        reader.problem(where, given, "a reading has one time", right)
        return None
    time = read_time(given[main], where if main == "minute" else f"{where}.{main}", reader)
    if time is None or len(keys) == 1:
        return time
    beside = read_time(given["minute"], where, reader)
    if beside is None or beside.how != "minute":
        reader.problem(
            where, given["minute"], "a reading has one time", "minutes beside a clock time or instant"
        )
        return None
    return replace(time, stated=stated_minute(beside.typed))


def _written_time(reading: Reading, writer: Writer) -> dict[str, Any]:
    time = reading.time
    if time.how == "minute":
        if writer.face == "canonical" or not time.typed.replace(".", "").removeprefix("-").isdigit():
            return {"minute": time.typed}
        if writer.face == "json":
            return {"minute": reading.minute if reading.minute % 1 else int(reading.minute)}
        return {"minute": _file_number(time.typed)}
    if time.how == "clock":
        written: dict[str, Any] = {"clock": time.typed}
    else:
        written = {"at": time.instant if writer.face == "file" else time.typed}
    if writer.face == "json":
        written = {"minute": reading.minute, **written}
    return written


def _file_number(typed: str) -> Any:
    number = Decimal(typed)
    return number if "." in typed else int(number)


def place_readings(
    readings: Sequence[Reading], works: Clockwork, where: str, reader: Reader, *, before: bool = False
) -> tuple[Reading, ...]:
    """Resolve the times of one list and give ids to its readings.

    Parameters
    ----------
    readings
        Readings in the order typed.
    works
        Start and zone of the test.
    where
        Place of the list.
    reader
        Takes the problems.
    before
        Whether the list tells of what came before the start.

    Returns
    -------
    tuple
        The readings with their minutes.

    Examples
    --------
    >>> reading = FlowReading(time=ReadingTime("minute", "10"), minute=10.0)
    >>> place_readings([reading], Clockwork(None, None), "test[0].flows", Reader())[0].minute
    10.0
    """
    placed = []
    previous = 0.0
    for i, reading in enumerate(readings):
        minute: float | None = reading.minute
        if reading.time.how != "minute":
            place = f"{where}[{i}]"
            minute = works.minute(reading.time, previous, before=before, where=place, reader=reader)
            stated = reading.time.stated
            if minute is not None and stated is not None and abs(minute - stated) > _AGREE_MINUTES:
                say = f"{reading.time.typed} is minute {minute:.2f} of this test, not {stated:.2f}"
                reader.problem(place, stated, say, "one time only, or two that agree")
            reading = replace(reading, minute=minute or 0.0)
        placed.append(reading)
        previous = reading.minute
    return with_ids(placed, where.rpartition(".")[2], where, reader)

"""A figure as plain JSON and back, so that pages draw the same chart the papers print."""

from __future__ import annotations

import dataclasses
import types
import typing
from typing import Any

from ledgewell.errors import InputError, Problem
from ledgewell.figures import marks
from ledgewell.figures.section.spec import SectionSpec
from ledgewell.figures.spec import Figure

MARK_NAMES: dict[str, type] = {
    "points": marks.Points,
    "line": marks.Line,
    "band": marks.Band,
    "estimates": marks.Estimates,
    "limit": marks.Limit,
    "region": marks.Region,
    "annotation": marks.Annotation,
}
"""Value of the key ``draw`` that tells marks apart in JSON."""

_NAME_OF_MARK = {kind: name for name, kind in MARK_NAMES.items()}


def spec_to_json(spec: Any) -> dict[str, Any]:
    """Turn a figure, or any spec made of dataclasses, into plain JSON values.

    Parameters
    ----------
    spec
        A figure or section spec.

    Returns
    -------
    dict
        Only dicts, lists, strings, numbers, booleans and None; keys are the field names, and marks carry
        ``draw``.

    Examples
    --------
    >>> spec_to_json(marks.Limit(axis="y", value=38.5, label="static level"))
    {'draw': 'limit', 'axis': 'y', 'value': 38.5, 'label': 'static level', 'faint': False}
    """
    name = _NAME_OF_MARK.get(type(spec))
    plain = {} if name is None else {"draw": name}
    for field in dataclasses.fields(spec):
        plain[field.name] = _plain(getattr(spec, field.name))
    return plain


def _plain(value: Any) -> Any:
    if dataclasses.is_dataclass(value):
        return spec_to_json(value)
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return value


def spec_from_json(plain: dict[str, Any]) -> Figure:
    """Read a figure back from plain JSON values.

    Parameters
    ----------
    plain
        What :func:`spec_to_json` gave.

    Returns
    -------
    Figure
        An equal figure.

    Raises
    ------
    InputError
        When a field is missing or unknown, or a value is not of its kind.

    Examples
    --------
    >>> from ledgewell.figures.spec import Axis, Panel
    >>> axis = Axis(kind="flow", title="Yield", unit="gpm", scale="linear", low=0.0, high=5.0, ticks=())
    >>> panel = Panel(name="yield", role="main", axis=axis, marks=())
    >>> words = {key: "" for key in ("title", "sentence", "alt", "caption", "source_note")}
    >>> figure = Figure(name="demo", shared=axis, panels=(panel,), units="us", **words)
    >>> spec_from_json(spec_to_json(figure)) == figure
    True
    """
    return typing.cast(Figure, dataclass_from_json(Figure, plain, "figure"))


def section_from_json(plain: dict[str, Any]) -> SectionSpec:
    """Read a section of a hole back from plain JSON values.

    Parameters
    ----------
    plain
        What :func:`spec_to_json` gave.

    Returns
    -------
    SectionSpec
        An equal section.

    Raises
    ------
    InputError
        When a field is unknown, or a value is not of its kind.

    Examples
    --------
    >>> spec = SectionSpec(bottom_m=154.0)
    >>> section_from_json(spec_to_json(spec)) == spec
    True
    """
    return typing.cast(SectionSpec, dataclass_from_json(SectionSpec, plain, "section"))


def dataclass_from_json(kind: type, plain: Any, where: str) -> Any:
    """Read one dataclass of a spec from plain JSON values, checking names and kinds.

    Parameters
    ----------
    kind
        The dataclass.
    plain
        A JSON object.
    where
        Place in the input, for the error.

    Returns
    -------
    object
        An instance of ``kind``.

    Raises
    ------
    InputError
        When a field is missing or unknown, or a value is not of its kind.

    Examples
    --------
    >>> plain = {"draw": "limit", "axis": "y", "value": 1, "label": "a"}
    >>> dataclass_from_json(marks.Limit, plain, "limit").value
    1.0
    """
    if not isinstance(plain, dict):
        raise _wrong(where, plain, f"not a {kind.__name__}", "an object with named fields")
    hints = typing.get_type_hints(kind)
    fields = {field.name: field for field in dataclasses.fields(kind)}
    given = {key: value for key, value in plain.items() if key != "draw"}
    unknown = sorted(set(given) - set(fields))
    if unknown:
        raise _wrong(
            f"{where}.{unknown[0]}", given[unknown[0]], "unknown name", f"one of {', '.join(fields)}"
        )
    missing = [name for name, field in fields.items() if name not in given and _needed(field)]
    if missing:
        raise _wrong(f"{where}.{missing[0]}", None, "missing", "a value")
    return kind(**{key: _value(hints[key], value, f"{where}.{key}") for key, value in given.items()})


def _needed(field: dataclasses.Field[Any]) -> bool:
    return field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING


def _value(hint: Any, plain: Any, where: str) -> Any:
    origin, arguments = typing.get_origin(hint), typing.get_args(hint)
    if origin is tuple:
        if not isinstance(plain, list):
            raise _wrong(where, plain, "not a list", "a list")
        return tuple(_value(arguments[0], item, f"{where}[{index}]") for index, item in enumerate(plain))
    if origin is typing.Literal:
        if plain not in arguments:
            raise _wrong(
                where, plain, "not one of the words allowed", f"one of {', '.join(map(repr, arguments))}"
            )
        return plain
    if origin in {typing.Union, types.UnionType}:
        return _one_of(arguments, plain, where)
    if dataclasses.is_dataclass(hint):
        return dataclass_from_json(typing.cast(type, hint), plain, where)
    return _scalar(hint, plain, where)


def _one_of(arguments: tuple[Any, ...], plain: Any, where: str) -> Any:
    if plain is None and type(None) in arguments:
        return None
    rest = [argument for argument in arguments if argument is not type(None)]
    if len(rest) == 1:
        return _value(rest[0], plain, where)
    name = plain.get("draw") if isinstance(plain, dict) else None
    if name not in MARK_NAMES:
        raise _wrong(f"{where}.draw", name, "no such mark", f"one of {', '.join(MARK_NAMES)}")
    return dataclass_from_json(MARK_NAMES[name], plain, where)


def _scalar(hint: Any, plain: Any, where: str) -> Any:
    if hint is float and isinstance(plain, int | float) and not isinstance(plain, bool):
        return float(plain)
    if hint in {str, bool} and isinstance(plain, hint):
        return plain
    raise _wrong(where, plain, f"not a {hint.__name__}", f"a {hint.__name__}")


def _wrong(where: str, given: Any, say: str, right: str) -> InputError:
    return InputError([Problem(where=where, given=repr(given), say=say, right=right)])

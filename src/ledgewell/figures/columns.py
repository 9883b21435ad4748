"""Columns of numbers handed to the charts: any sequence or array, kept as plain tuples and checked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

from ledgewell.errors import InputError, Problem

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Column: TypeAlias = "Sequence[float] | NDArray[np.floating[Any]]"
"""What a caller may hand over."""
Numbers = tuple[float, ...]


def freeze_columns(holder: object, *names: str) -> None:
    """Turn columns of a frozen dataclass, given as any sequence or array, into tuples of floats.

    Parameters
    ----------
    holder
        The dataclass instance being made.
    names
        Its columns.

    Examples
    --------
    >>> from dataclasses import dataclass
    >>> @dataclass(frozen=True)
    ... class Pair:
    ...     values: tuple
    ...     def __post_init__(self):
    ...         freeze_columns(self, "values")
    >>> Pair([1, 2]).values
    (1.0, 2.0)
    """
    for name in names:
        object.__setattr__(holder, name, tuple(float(value) for value in getattr(holder, name)))


def check_columns(name: str, **columns: Numbers) -> None:
    """Refuse columns of unequal length or with a value that is no finite number.

    Parameters
    ----------
    name
        Name of what they belong to.
    columns
        The columns, by name.

    Raises
    ------
    InputError
        Naming every column that is wrong.

    Examples
    --------
    >>> check_columns("fit", x=(1.0, 2.0), y=(3.0, 4.0))
    """
    longest = max(len(column) for column in columns.values())
    problems = []
    for key, column in columns.items():
        where = f"{name}.{key}"
        if len(column) != longest:
            given, right = f"{len(column)} values", f"{longest} values, as many as the longest column"
            problems.append(
                Problem(where=where, given=given, say="the columns differ in length", right=right)
            )
        for index, value in enumerate(column):
            if not math.isfinite(value):
                say, right = "not a finite number", "a number; leave out what is not known"
                problems.append(Problem(where=f"{where}[{index}]", given=repr(value), say=say, right=right))
    if problems:
        raise InputError(problems)


def check_some(name: str, column: Numbers, least: int = 1) -> None:
    """Refuse a column with too few values to draw.

    Parameters
    ----------
    name
        Name of the column.
    column
        The column.
    least
        Fewest values that make a drawing.

    Raises
    ------
    InputError
        When there are fewer.

    Examples
    --------
    >>> check_some("stored.depth_m", (10.0, 100.0))
    """
    if len(column) < least:
        say, right = "too few values to draw", f"at least {least}"
        raise InputError([Problem(where=name, given=f"{len(column)} values", say=say, right=right)])


def check_order(name: str, **columns: Numbers) -> None:
    """Refuse columns that are not in rising order at some place.

    Parameters
    ----------
    name
        Name of what they belong to.
    columns
        Columns of equal length, the lowest first.

    Raises
    ------
    InputError
        Naming every place where one column falls below the column before it.

    Examples
    --------
    >>> check_order("fit", low=(1.0,), high=(2.0,))
    """
    (low_name, low), *rest = columns.items()
    problems = []
    for high_name, high in rest:
        for index, (below, above) in enumerate(zip(low, high, strict=True)):
            if above < below:
                say, right = f"{high_name} is under {low_name}", f"at least {below!r}"
                where = f"{name}.{high_name}[{index}]"
                problems.append(Problem(where=where, given=repr(above), say=say, right=right))
        low_name, low = high_name, high
    if problems:
        raise InputError(problems)

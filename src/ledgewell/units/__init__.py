"""Units of the trade: parse, convert and print quantities. Exact factors, no input or output."""

from __future__ import annotations

from ledgewell.units.numbers import UnreadableNumberError, read_number
from ledgewell.units.parse import parse_quantity
from ledgewell.units.quantity import Quantity, si_from, unit_of, value_in
from ledgewell.units.show import ShownEstimate, round_figures, round_step, show, show_estimate
from ledgewell.units.table import (
    DEFAULT_UNIT,
    DIMENSION,
    EXAMPLE,
    Kind,
    System,
    Unit,
    find_any_unit,
    find_unit,
)

__all__ = [
    "DEFAULT_UNIT",
    "DIMENSION",
    "EXAMPLE",
    "Kind",
    "Quantity",
    "ShownEstimate",
    "System",
    "Unit",
    "UnreadableNumberError",
    "find_any_unit",
    "find_unit",
    "parse_quantity",
    "read_number",
    "round_figures",
    "round_step",
    "show",
    "show_estimate",
    "si_from",
    "unit_of",
    "value_in",
]

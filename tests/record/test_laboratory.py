"""Laboratory values as reports print them."""

from __future__ import annotations

import pytest

from ledgewell.record import Sample, laboratory_result


@pytest.mark.parametrize(
    ("value", "qualifier", "number"),
    [
        ("<0.5", "below", 0.5), ("< 0.005", "below", 0.005), ("less than 1", "below", 1.0), ("≤2", "below", 2.0),
        (">2419.6", "above", 2419.6), ("12", "equal", 12.0), ("1,200", "equal", 1200.0), ("7.20", "equal", 7.2),
        ("ND", "not detected", None), ("Not Detected", "not detected", None), ("present", "present", None),
        ("Absent", "absent", None), ("clear", "text", None), ("12 of 20", "text", None), ("<", "text", None),
        ("1,2,3", "text", None),
    ],
)  # fmt: skip
def test_values(value: str, qualifier: str, number: float | None) -> None:
    result = laboratory_result(Sample(value=value))
    assert result is not None
    assert (result.qualifier, result.number) == (qualifier, number)


def test_no_value() -> None:
    assert laboratory_result(Sample()) is None

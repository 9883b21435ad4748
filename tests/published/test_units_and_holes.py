"""Units and the water a hole holds, against pint and the printed table."""

from __future__ import annotations

import numpy as np
import pint
import pytest
from tests.published import factors
from tests.published.checks import check

from ledgewell.physics.hole import area_from_diameter
from ledgewell.units import si_from

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()


def gallons_per_foot(diameter_in: float) -> float:
    """Return what a foot of hole holds, its area from the program and the units from pint."""
    area = area_from_diameter(diameter_in * factors.INCH) * REGISTRY("m^2")
    return float((area * REGISTRY("foot")).to("gallon").magnitude)


@pytest.mark.published("hydraulics-0-conversions")
def test_factors_of_the_field() -> None:
    table = check("hydraulics-0-conversions")
    gpm = REGISTRY("gallon/minute")
    by_pint = {
        "ft3_per_day_in_gpm": gpm.to("foot^3/day").magnitude,
        "m3_per_day_in_gpm": gpm.to("m^3/day").magnitude,
        "m2_per_day_in_ft2_per_day": REGISTRY("foot^2/day").to("m^2/day").magnitude,
        "ft2_per_day_in_gpd_per_ft": REGISTRY("gallon/day/foot").to("foot^2/day").magnitude,
    }
    ours = {
        "ft3_per_day_in_gpm": si_from(1, "gpm") / si_from(1, "ft") ** 3 * 86400,
        "m3_per_day_in_gpm": si_from(1, "gpm") * 86400,
        "m2_per_day_in_ft2_per_day": si_from(1, "ft") ** 2,
        "ft2_per_day_in_gpd_per_ft": si_from(1, "gal") / si_from(1, "ft") ** 3,
    }
    assert set(ours) == set(by_pint) == set(table.expected)
    for name, expected in table.expected.items():
        assert by_pint[name] == pytest.approx(expected, rel=table.relative), name
        assert ours[name] == pytest.approx(expected, rel=table.relative), name


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("INCH", "inch"),
        ("FOOT", "foot"),
        ("GALLON", "gallon"),
        ("GPM", "gallon/minute"),
        ("GPM_PER_FOOT", "gallon/minute/foot"),
        ("GPD_PER_FOOT", "gallon/day/foot"),
        ("FT2_PER_DAY", "foot^2/day"),
        ("FT3_PER_DAY", "foot^3/day"),
        ("M2_PER_DAY", "m^2/day"),
        ("M3_PER_DAY", "m^3/day"),
        ("MINUTE", "minute"),
        ("DAY", "day"),
    ],
)
def test_factors_used_in_tests_are_those_of_pint(name: str, unit: str) -> None:
    assert getattr(factors, name) == pytest.approx(REGISTRY(unit).to_base_units().magnitude, rel=1e-12)


@pytest.mark.published("hydraulics-7a-exact", "hydraulics-7a-rule")
def test_gallons_per_foot() -> None:
    table, rule = check("hydraulics-7a-exact"), check("hydraulics-7a-rule")
    found = [gallons_per_foot(diameter) for diameter in table.inputs("diameter_in")]
    np.testing.assert_allclose(found, table.values("gal_per_ft"), rtol=table.relative)
    nominal = gallons_per_foot(rule.given["nominal_in"])
    above = 100 * (rule.expected["rule_gal_per_ft"] / nominal - 1)
    assert above == pytest.approx(rule.expected["percent_above_nominal"], abs=rule.absolute)
    schedule_40 = gallons_per_foot(rule.given["schedule_40_in"])
    assert schedule_40 == pytest.approx(rule.expected["schedule_40_gal_per_ft"], abs=5e-5)


@pytest.mark.published("hydraulics-7a-printed")
def test_gallons_per_foot_as_printed_but_for_one_misprint() -> None:
    table = check("hydraulics-7a-printed")
    diameters = table.inputs("diameter_in")
    found = np.array([gallons_per_foot(diameter) for diameter in diameters])
    off = np.abs(found - table.values("gal_per_ft")) > table.absolute
    assert diameters[off].tolist() == table.misprints["diameter_in"]
    np.testing.assert_allclose(found[off], table.misprints["exact"], rtol=1e-9)
    np.testing.assert_array_equal(table.values("gal_per_ft")[off], table.misprints["printed"])


@pytest.mark.published("hydraulics-7a-metric", "hydraulics-7a-metric-misprint")
def test_liters_per_meter_and_the_column_that_is_a_circumference() -> None:
    table, printed = check("hydraulics-7a-metric"), check("hydraulics-7a-metric-misprint")
    found = [1000 * area_from_diameter(diameter / 1000) for diameter in table.inputs("diameter_mm")]
    np.testing.assert_allclose(found, table.values("l_per_m"), rtol=0, atol=table.absolute)
    diameters = printed.inputs("diameter_mm")
    volumes = np.array([1000 * area_from_diameter(diameter / 1000) for diameter in diameters])
    circumference_dm = np.pi * diameters / 100
    np.testing.assert_allclose(circumference_dm, printed.values("printed"), rtol=0, atol=printed.absolute)
    np.testing.assert_allclose(volumes, printed.misprints["exact"], rtol=5e-6)
    assert np.all(np.abs(printed.values("printed") / volumes - 1) > 0.5)

"""The company's own record: letterhead, equipment with ratings, prices."""

from __future__ import annotations

import json

import pytest

from ledgewell.errors import InputError
from ledgewell.record import (
    company_from_json,
    company_to_json,
    read_company,
    write_company,
)

TEXT = """
format = 1
units = "us"
[company]
name = "Invented Wells"
address = "1 Invented Road\\nInvented Hollow"
currency = "USD"
[[company.equipment]]
name = "big pump"
[company.equipment.ratings]
pump_pressure = 3000
inflation = "water"
[[company.price]]
what = "drilling"
amount = 18.5
per = "foot"
[[company.price]]
what = "stimulation"
amount = 4200
per = "job"
"""


def test_reads_and_writes() -> None:
    record = read_company(TEXT)
    assert record.company is not None
    assert record.company.name == "Invented Wells"
    ratings = record.company.equipment[0].ratings
    assert ratings is not None
    assert ratings.pump_pressure is not None
    assert ratings.pump_pressure.si == pytest.approx(3000 * 6894.757293168361)
    assert [(each.what, each.amount, each.per) for each in record.company.prices] == [
        ("drilling", 18.5, "foot"),
        ("stimulation", 4200.0, "job"),
    ]
    assert read_company(write_company(record)) == record
    assert company_from_json(json.loads(json.dumps(company_to_json(record)))) == record


def test_refusals() -> None:
    with pytest.raises(InputError) as caught:
        read_company('format = 1\n[company]\nnam = "x"\n[[company.price]]\nper = "furlong"\namount = -1\n')
    assert {problem.where for problem in caught.value.problems} == {
        "company.nam",
        "company.price[0].per",
        "company.price[0].amount",
    }
    with pytest.raises(InputError):
        company_from_json([])
    with pytest.raises(InputError, match="format"):
        company_from_json({})

"""The schema describes what the reader reads; jsonschema is an independent implementation of 2020-12."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from tests.record.documents import EVERYTHING, documents, plain

from ledgewell.errors import InputError
from ledgewell.record import company_schema, read_well, schema, well_from_json, well_to_json

jsonschema = pytest.importorskip("jsonschema", reason="jsonschema is a test dependency")


@pytest.fixture(scope="module")
def validator() -> Any:
    return jsonschema.Draft202012Validator(schema())


def test_both_schemas_are_schemas() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())
    jsonschema.Draft202012Validator.check_schema(company_schema())


def test_the_example_is_valid(validator: Any) -> None:
    assert list(validator.iter_errors(well_to_json(read_well(EVERYTHING)))) == []


@settings(
    max_examples=40,
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
        HealthCheck.function_scoped_fixture,
    ],
)
@given(document=documents())
def test_whatever_reads_is_valid_as_given_and_as_written(document: dict[str, Any]) -> None:
    validator = jsonschema.Draft202012Validator(schema())
    assert list(validator.iter_errors(plain(document))) == []
    assert list(validator.iter_errors(well_to_json(well_from_json(document)))) == []


@pytest.mark.parametrize(
    "wrong",
    [
        {"format": 1, "wel": {}},
        {"format": 2},
        {},
        {"format": 1, "casing": {}},
        {"format": 1, "casing": [{"topp": "3 ft"}]},
        {"format": 1, "casing": [{"top": True}]},
        {"format": 1, "casing": [{"top": {"value": 3}}]},
        {"format": 1, "casing": [{"top": {"value": 3, "unit": "ft", "depth": 1}}]},
        {"format": 1, "casing": [{"kind": "pipe"}]},
        {"format": 1, "test": [{"levels": [[1, 2, 3]]}]},
        {"format": 1, "test": [{"levels": [{"minute": 1, "lvl": 3}]}]},
        {"format": 1, "test": [{"drain_back": "maybe"}]},
        {"format": 1, "need": {"people": 2.5}},
        {"format": 1, "need": {"stock": [["horse"]]}},
        {"format": 1, "well": {"latitude": 91}},
    ],
)
def test_what_the_schema_refuses_the_reader_refuses(validator: Any, wrong: dict[str, Any]) -> None:
    assert list(validator.iter_errors(wrong))
    with pytest.raises(InputError):
        well_from_json(wrong)


def test_every_field_is_described() -> None:
    described = schema()
    for table in (described, *described["$defs"].values()):
        for name, field in table.get("properties", {}).items():
            assert field.get("description") or name in ("value", "unit"), name

"""What belongs to the company and not to a well: letterhead, equipment with ratings, prices."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

from ledgewell.errors import InputError, Problem
from ledgewell.record import fields
from ledgewell.record.edge import Reader, Writer, shorten
from ledgewell.record.faces import read_toml, toml_text
from ledgewell.record.fields import Item, Key, Part
from ledgewell.record.specs import ChoiceSpec, NumberSpec
from ledgewell.record.trials import Ratings
from ledgewell.record.walk import TableSpec, TablesSpec, read_table, write_table
from ledgewell.record.well import FORMAT, upgrade

PER = ("job", "foot", "meter", "hour", "day", "gallon", "liter", "stage", "each")
"""What a price is for one of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment(Item):
    """A rig, pump, hose, string or packer of the company, with what it is rated for."""

    IDENTITY: ClassVar[tuple[str, ...]] = ("name",)

    name: Annotated[fields.Text, "what the crew calls it"] = None
    ratings: Annotated[Ratings | None, TableSpec(Ratings), "what it is rated for"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Price(Item):
    """What the company charges for one of something."""

    IDENTITY: ClassVar[tuple[str, ...]] = ("what", "per")

    what: Annotated[fields.Text, "what is done or delivered"] = None
    amount: Annotated[float | None, NumberSpec(), "price, in the company's currency"] = None
    per: Annotated[str | None, ChoiceSpec(PER), "what the price is for one of"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Company(Part):
    """The company's own record: table ``[company]``."""

    name: Annotated[fields.Text, "name of the company"] = None
    address: Annotated[fields.Note, "postal address"] = None
    phone: Annotated[fields.Text, "telephone"] = None
    email: Annotated[fields.Text, "email"] = None
    license: Annotated[fields.Text, "license number"] = None
    logo: Annotated[fields.Text, "image file for the letterhead"] = None
    currency: Annotated[fields.Text, "currency of the prices"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None
    equipment: Annotated[tuple[Equipment, ...], TablesSpec(Equipment, "equipment"), "equipment"] = ()
    prices: Annotated[tuple[Price, ...], TablesSpec(Price, "price"), Key("price"), "prices"] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CompanyRecord(Part):
    """A company file."""

    format: Annotated[int, NumberSpec(1, FORMAT, whole=True), "format of the document"] = FORMAT
    units: Annotated[str | None, ChoiceSpec(("us", "si")), "unit system of bare numbers in the file"] = None
    company: Annotated[Company | None, TableSpec(Company), "the company"] = None


def company_from_json(document: object) -> CompanyRecord:
    """Read a company's record from plain tables, as TOML or JSON give them.

    Parameters
    ----------
    document
        Keys and values, named as in the company file.

    Returns
    -------
    CompanyRecord

    Raises
    ------
    InputError
        With everything that cannot be read, together.

    Examples
    --------
    >>> company_from_json({"format": 1, "company": {"name": "Invented Wells"}}).company.name
    'Invented Wells'
    """
    if not isinstance(document, dict):
        right = "keys and values, named as in the company file"
        raise InputError([Problem(where="company", given=shorten(document), say="not a record", right=right)])
    document = upgrade(document)
    units = document.get("units")
    reader = Reader(system=units if units in ("us", "si") else None)
    record = read_table(CompanyRecord, document, "", reader)
    reader.check()
    return record or CompanyRecord()


def read_company(text: str, *, source: str = "") -> CompanyRecord:
    """Read a company file.

    Parameters
    ----------
    text
        The file's text, TOML.
    source
        Name of the file, for error text.

    Returns
    -------
    CompanyRecord

    Raises
    ------
    InputError
        With everything that cannot be read, together.

    Examples
    --------
    >>> record = read_company('format = 1\\n[[company.price]]\\nwhat = "drilling"\\namount = 18')
    >>> record.company.prices[0].amount
    18.0
    """
    return company_from_json(read_toml(text, source=source))


def write_company(record: CompanyRecord) -> str:
    """Write a company file, every quantity as it was typed.

    Parameters
    ----------
    record
        The company's record.

    Returns
    -------
    str
        TOML.

    Examples
    --------
    >>> print(write_company(CompanyRecord()))
    format = 1
    <BLANKLINE>
    """
    return toml_text(write_table(record, Writer(face="file", system=record.units)))


def company_to_json(record: CompanyRecord, *, units: str | None = None) -> dict[str, Any]:
    """Write a company's record as JSON values.

    Parameters
    ----------
    record
        The company's record.
    units
        ``"us"`` or ``"si"`` for the values; None for the file's own, or else US.

    Returns
    -------
    dict

    Examples
    --------
    >>> company_to_json(CompanyRecord())
    {'format': 1}
    """
    return write_table(record, Writer(face="json", system=units or record.units))

"""Citation keys and the sources they stand for, read from ``data/references.bib``.

A source is written once, there; code, findings, papers and documents cite its key.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from ledgewell.errors import LedgewellError

NO_SOURCE = "common practice, no source"
"""What stands in place of a key where the trade knows something that nobody printed."""
_ENTRY = re.compile(r"^@(?P<kind>\w+)\s*\{\s*(?P<key>[^\s,{}]+)\s*,", re.MULTILINE)
_FIELD = re.compile(r"\s*(?P<name>[A-Za-z][\w-]*)\s*=\s*")


class UnknownSourceError(LedgewellError, KeyError):
    """No source has the key that was cited."""

    def __init__(self, key: str, nearest: tuple[str, ...]) -> None:
        self.key, self.nearest = key, nearest
        super().__init__(key)

    def __str__(self) -> str:
        near = f"; nearest: {', '.join(self.nearest)}" if self.nearest else ""
        return f"no source has the key {self.key!r} in references.bib{near}"


class BibliographyError(LedgewellError):
    """The bibliography itself cannot be read.

    Parameters
    ----------
    line
        Line at which reading stopped, from 1.
    say
        What is wrong there.
    """

    def __init__(self, line: int, say: str) -> None:
        self.line, self.say = line, say
        super().__init__(f"references.bib, line {line}: {say}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One published source.

    Parameters
    ----------
    key
        Citation key.
    kind
        BibTeX kind, such as ``article``.
    fields
        The fields as written, braces that only protect capitals taken away.
    """

    key: str
    kind: str
    fields: Mapping[str, str]

    @property
    def author(self) -> str:
        """The authors, family names first, the last joined by "and"."""
        names = self.fields.get("author", "").split(" and ")
        return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

    @property
    def short(self) -> str:
        """Family name and year, as cited in running text."""
        families = [name.split(",")[0] for name in self.fields.get("author", "").split(" and ")]
        named = families[0] if len(families) == 1 else f"{families[0]} and others"
        named = " and ".join(families) if len(families) == 2 else named
        return f"{named} {self.fields['year']}" if "year" in self.fields else named

    @property
    def text(self) -> str:
        """The whole citation as one line of text."""
        year = f" ({self.fields['year']})" if "year" in self.fields else ""
        head = f"{self.author}{year}: {self.fields.get('title', '')}"
        parts = [head, self._container(), self.fields.get("note", "")]
        return ". ".join(part.rstrip(".") for part in parts if part) + "."

    def _container(self) -> str:
        """Return where it stands: journal, book, institution or plain words."""
        get = self.fields.get
        issue = f"({get('number')})" if get("number") else ""
        pages = f", pages {get('pages')}" if get("pages") else ""
        if self.kind == "article":
            volume = f" {get('volume')}{issue}" if get("volume") else ""
            return f"{get('journal', '')}{volume}{pages}"
        if self.kind in ("inproceedings", "incollection"):
            volume = f", volume {get('volume')}" if get("volume") else ""
            return f"In {get('booktitle', '')}{volume}{pages}"
        if self.kind == "techreport":
            return f"{get('institution', '')}, {get('type', 'Report')} {get('number', '')}".rstrip()
        edition = f"{get('edition')} edition, " if get("edition") else ""
        return edition + get("publisher", get("howpublished", ""))


def parse_bibliography(text: str) -> dict[str, Source]:
    """Read sources from BibTeX text.

    Parameters
    ----------
    text
        Entries of the form ``@kind{key, name = {value}, …}``; anything between entries is a remark.

    Returns
    -------
    dict
        Sources by key, in the order written.

    Raises
    ------
    BibliographyError
        If an entry is not closed, a field has no value in braces, quotes or digits, or a key stands twice.

    Examples
    --------
    >>> text = "@book{thiem1906, author = {Thiem, G.}, title = {Hydrologische Methoden}, year = 1906}"
    >>> parse_bibliography(text)["thiem1906"].short
    'Thiem 1906'
    """
    found: dict[str, Source] = {}
    place = 0
    while entry := _ENTRY.search(text, place):
        fields, place = _fields(text, entry.end())
        key = entry["key"]
        if key in found:
            raise BibliographyError(_line(text, entry.start()), f"the key {key} stands twice")
        found[key] = Source(key=key, kind=entry["kind"].lower(), fields=MappingProxyType(fields))
    return found


def _line(text: str, place: int) -> int:
    return text.count("\n", 0, place) + 1


def _fields(text: str, place: int) -> tuple[dict[str, str], int]:
    """Return the fields of the entry whose first field begins here, and the place after its closing brace."""
    fields: dict[str, str] = {}
    while field := _FIELD.match(text, place):
        value, place = _value(text, field.end())
        fields[field["name"].lower()] = value
        comma = re.compile(r"\s*,").match(text, place)
        place = comma.end() if comma else place
    close = re.compile(r"\s*\}").match(text, place)
    if close is None:
        raise BibliographyError(
            _line(text, place), "the entry should go on with 'name = {value}' or close with '}'"
        )
    return fields, close.end()


def _value(text: str, place: int) -> tuple[str, int]:
    """Return one value, in braces, in quotes or in bare digits, and the place after it."""
    if digits := re.compile(r"\d+").match(text, place):
        return digits[0], digits.end()
    if text[place : place + 1] == '"':
        end = text.find('"', place + 1)
    elif text[place : place + 1] == "{":
        end = _closing_brace(text, place)
    else:
        raise BibliographyError(_line(text, place), "a value must stand in braces, in quotes or be a number")
    if end < 0:
        raise BibliographyError(_line(text, place), "the value that begins here is never closed")
    plain = re.sub(r"[{}]", "", text[place + 1 : end])
    return re.sub(r"\s+", " ", plain).replace("--", "–").strip(), end + 1


def _closing_brace(text: str, place: int) -> int:
    """Return the place of the brace that closes the one here, or −1."""
    depth = 0
    for here in range(place, len(text)):
        depth += {"{": 1, "}": -1}.get(text[here], 0)
        if depth == 0:
            return here
    return -1


@cache
def all_sources() -> Mapping[str, Source]:
    """Return every source of the program by key.

    Examples
    --------
    >>> "barker1988" in all_sources()
    True
    """
    text = (files("ledgewell") / "data" / "references.bib").read_text(encoding="utf-8")
    return MappingProxyType(parse_bibliography(text))


def source(key: str) -> Source:
    """Return the source that a key stands for.

    Parameters
    ----------
    key
        Citation key.

    Raises
    ------
    UnknownSourceError
        If no source has that key; it names the nearest ones.

    Examples
    --------
    >>> source("stehfest1970").short
    'Stehfest 1970'
    >>> print(source("papadopulos1967").text[:75])
    Papadopulos, I. S. and Cooper, H. H. (1967): Drawdown in a well of large di
    """
    known = all_sources()
    if key not in known:
        raise UnknownSourceError(key, tuple(get_close_matches(key, known, n=3)))
    return known[key]

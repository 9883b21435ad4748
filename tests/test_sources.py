"""The bibliography: read whole, cited truly, and in agreement with an independent BibTeX reader."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ledgewell.sources import (
    BibliographyError,
    Source,
    UnknownSourceError,
    all_sources,
    parse_bibliography,
    source,
)

ROOT = Path(__file__).resolve().parent.parent
CITED = re.compile(r"Source: (?P<keys>[a-z_]+[0-9][a-z0-9_]*(?:, [a-z_]+[0-9][a-z0-9_]*)*)")


def test_every_source_named_in_the_package_exists() -> None:
    cited = {
        (path.relative_to(ROOT).as_posix(), key)
        for path in (ROOT / "src" / "ledgewell").rglob("*.py")
        for found in CITED.finditer(path.read_text(encoding="utf-8"))
        for key in found["keys"].split(", ")
    }
    assert len(cited) > 50
    assert {(path, key) for path, key in cited if key not in all_sources()} == set()


def test_every_source_names_author_title_and_place() -> None:
    for entry in all_sources().values():
        assert entry.fields.get("author"), entry.key
        assert entry.fields.get("title"), entry.key
        place = {
            "article": "journal",
            "book": "publisher",
            "techreport": "institution",
            "inproceedings": "booktitle",
            "incollection": "booktitle",
            "misc": "howpublished",
        }[entry.kind]
        assert entry.fields.get(place), entry.key


def test_agrees_with_an_independent_reader() -> None:
    database = pytest.importorskip("pybtex.database", reason="comes with the group that builds the documents")
    path = ROOT / "src" / "ledgewell" / "data" / "references.bib"
    independent = database.parse_file(str(path)).entries
    assert list(independent) == list(all_sources())
    for key, entry in independent.items():
        ours = all_sources()[key]
        assert ours.kind == entry.type
        for name in entry.fields:
            theirs = re.sub(r"\s+", " ", re.sub(r"[{}]", "", entry.fields[name])).replace("--", "–")
            assert ours.fields[name.lower()] == theirs


def test_text_of_each_kind() -> None:
    assert source("barker1988").text == (
        "Barker, J. A. (1988): A generalized radial flow model for hydraulic tests in fractured rock. "
        "Water Resources Research 24(10), pages 1796–1804."
    )
    assert source("lohman1972").text == (
        "Lohman, S. W. (1972): Ground-Water Hydraulics. U.S. Geological Survey, Professional Paper 708."
    )
    assert source("todd1980").text == "Todd, D. K. (1980): Groundwater Hydrology. 2nd edition, Wiley."
    assert source("hantush1964").short == "Hantush 1964"
    assert source("cooper1946").short == "Cooper and Jacob 1946"
    assert source("cooper1967").short == "Cooper and others 1967"


def test_unknown_key_says_what_is_near() -> None:
    with pytest.raises(UnknownSourceError) as caught:
        source("barker1998")
    assert caught.value.key == "barker1998"
    assert "barker1988" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "line", "say"),
    [
        ("@book{a1, title = {never closed", 1, "never closed"),
        ("remark\n@book{a1,\n  title = bare}", 3, "in braces"),
        ("@book{a1, year = 1}\n@book{a1, year = 2}", 2, "twice"),
        ("@book{a1, year = 1 title = {x}", 1, "close with"),
    ],
)
def test_a_broken_bibliography_says_where(text: str, line: int, say: str) -> None:
    with pytest.raises(BibliographyError, match=say) as caught:
        parse_bibliography(text)
    assert caught.value.line == line


def test_reads_braces_quotes_and_digits() -> None:
    entry = parse_bibliography('% remark\n@Misc{x9, A = {{U.S.} Rule {9}}, b = "two  words", c = 12, }')["x9"]
    assert entry == Source(key="x9", kind="misc", fields={"a": "U.S. Rule 9", "b": "two words", "c": "12"})

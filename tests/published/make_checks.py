"""Write docs/checks.md: every published value with the test that holds us to it, or the reason why none does.

Run ``python -m tests.published.make_checks`` after a test or a value was added.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby

from tests.published.checks import MARKS, Check, all_checks
from tests.published.coverage import ROOT, coverage_by_check, pending

from ledgewell.sources import source

PAGE = ROOT / "docs" / "checks.md"
HEAD = """# Check values

Every figure below comes from outside this project: a printed table, a worked example, or a computation by
other means and to more digits. The values themselves, with origin and tolerance, are in
`tests/published/data/`; the tests named here hold the program to them.

This page is written by `python -m tests.published.make_checks`. A test fails when it is out of date, when a
value has neither test nor reason, or when a value is lost.

| origin | means |
|---|---|
| source-read | read in the source named |
| from memory | recalled from the source named, not read again; worked through to see that it is consistent |
| computed independently | computed with other software, other methods or more digits |
| common practice, no source | what the trade does |

"""
TITLES = {
    "conversions": "Units",
    "theis": "Well function",
    "constant_rate": "Constant rate: worked examples",
    "large_diameter": "Wells that store water",
    "recovery": "Recovery",
    "step_test": "Step tests",
    "slug": "Slug tests",
    "hole": "The hole, and rules of adequacy",
    "specific_capacity": "Specific capacity",
    "superposition": "Variable rate, equivalent time, derivative",
    "inversion": "Laplace inversion",
    "bedrock": "Bedrock wells",
    "radial_flow": "Generalized radial flow",
}
"""Heading of each file of values, in the order of the page; a file without one stands last."""


def page(checks: Mapping[str, Check], tests: Mapping[str, tuple[str, ...]]) -> str:
    """Return the whole page."""
    order = [*TITLES, *sorted({item.file for item in checks.values()} - set(TITLES))]
    ranked = sorted(checks.values(), key=lambda item: order.index(item.file))
    sections = [
        _section(TITLES.get(file, file), list(items), tests)
        for file, items in groupby(ranked, key=lambda item: item.file)
    ]
    return HEAD + _totals(checks, tests) + "".join(sections) + _pending(checks, tests)


def _totals(checks: Mapping[str, Check], tests: Mapping[str, tuple[str, ...]]) -> str:
    rows = "".join(
        f"| {mark} | {len(items)} | {sum(item.count for item in items)} |\n"
        for mark in MARKS
        if (items := [item for item in checks.values() if item.mark == mark])
    )
    tested = sum(item.count for item in checks.values() if item.id in tests)
    whole = f"| all | {len(checks)} | {sum(item.count for item in checks.values())} |\n"
    reasons = sum(1 for item in checks.values() if item.reason)
    return (
        "| origin | rows | values |\n|---|---|---|\n"
        f"{rows}{whole}\n{tested} values stand under a test; {reasons} rows have a reason instead.\n"
    )


def _section(title: str, items: list[Check], tests: Mapping[str, tuple[str, ...]]) -> str:
    head = "| id | item | source | origin | values | tolerance | test, or reason for none |\n"
    return f"\n## {title}\n\n{head}{'|---' * 7}|\n" + "".join(
        _row(item, tests.get(item.id, ())) for item in items
    )


def _row(item: Check, tests: tuple[str, ...]) -> str:
    checked = "<br>".join(f"`{test}`" for test in tests)
    cells = (
        item.id,
        f"{item.item}. {item.how}" if item.how else item.item,
        "; ".join(source(key).short for key in item.sources) or "–",
        item.mark,
        str(item.count or "–"),
        item.tolerance or "–",
        "<br>".join(part for part in (checked, item.reason) if part) or "**missing**",
    )
    return "| " + " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in cells) + " |\n"


def _pending(checks: Mapping[str, Check], tests: Mapping[str, tuple[str, ...]]) -> str:
    rest = pending(checks, tests)
    if not rest:
        return ""
    lines = "".join(f"| {check_id} | `{file}` |\n" for check_id, file in rest)
    return f"\n## Still to be checked a second way\n\n| id | in |\n|---|---|\n{lines}"


if __name__ == "__main__":
    PAGE.write_text(page(all_checks(), coverage_by_check(ROOT / "tests")), encoding="utf-8")

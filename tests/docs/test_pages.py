"""The pages keep what they promise: links lead somewhere, cited keys exist, commands are those that run."""

from __future__ import annotations

import ast
import importlib
import re
import stat
from pathlib import Path

import pytest

from ledgewell.errors import InputError
from ledgewell.record import implausible, read_well

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
WRITTEN = ("_build", "_generated")
PAGES = sorted(
    [path for path in DOCS.rglob("*.md") if not set(path.relative_to(DOCS).parts) & set(WRITTEN)]
    + [ROOT / name for name in ("README.md", "CONTRIBUTING.md", "CHANGELOG.md")]
)
BIBLIOGRAPHY = ROOT / "src" / "ledgewell" / "data" / "references.bib"
CODE = re.compile(r"^(```+).*?^\1", re.MULTILINE | re.DOTALL)


def prose(page: Path) -> str:
    """Return a page without its code blocks."""
    return CODE.sub("", page.read_text(encoding="utf-8"))


def name_of(page: Path) -> str:
    """Return a page's path within the checkout."""
    return page.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_links_lead_somewhere(page: Path) -> None:
    """Every relative link names a file of the checkout."""
    targets = re.findall(r"\]\((?!https?:|#)([^)#\s]+)(?:#[^)]*)?\)", prose(page))
    missing = [
        target
        for target in targets
        if not (DOCS / target[1:] if target.startswith("/") else page.parent / target).exists()
    ]
    assert missing == []


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_cited_keys_are_in_the_bibliography(page: Path) -> None:
    """Every key cited on a page is an entry of references.bib."""
    known = set(re.findall(r"^@\w+\{([^,\s]+),", BIBLIOGRAPHY.read_text(encoding="utf-8"), re.MULTILINE))
    cited = {key for keys in re.findall(r"\{cite:[a-z]+\}`([^`]+)`", prose(page)) for key in keys.split(",")}
    assert cited - known == set()


def test_every_page_is_reached_from_the_index() -> None:
    """Each page stands in a table of contents."""
    listed: set[Path] = set()
    for page in (path for path in PAGES if DOCS in path.parents):
        for block in re.findall(r"```\{toctree\}\n(.*?)```", page.read_text(encoding="utf-8"), re.DOTALL):
            for entry in (line for line in block.splitlines() if line and not line.startswith(":")):
                listed |= set(page.parent.glob(f"{entry}.md"))
    assert {name_of(page) for page in PAGES if DOCS in page.parents} - {name_of(page) for page in listed} == {
        "docs/index.md"
    }


def test_continuous_integration_runs_the_command_of_the_readme() -> None:
    """`.ci/run` ends in exactly the README's test command."""
    commands = re.findall(r"```sh\n(.*?)\n```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    assert commands[:2] == ["DEMO_ONCE=1 scripts/demo", "scripts/test"]
    assert (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()[-1] == f"exec {commands[1]}"


@pytest.mark.parametrize("script", ["scripts/demo", "scripts/test", "scripts/find-uv", ".ci/run"])
def test_scripts_can_be_run(script: str) -> None:
    """Each script is marked executable and begins with the shell it needs."""
    path = ROOT / script
    assert path.stat().st_mode & stat.S_IXUSR
    assert path.read_text(encoding="utf-8").startswith("#!/bin/sh\n")


def bare_endings() -> set[str]:
    """Return the unit endings of all parameters of public physics functions that read like one."""
    ending = re.compile(r"(?<=[a-z0-9])_((?:m3s|m2s|m2|m3|ms|m|s|pa|per_s|s_m2|s2_m5))$")
    found = set()
    for path in (ROOT / "src" / "ledgewell" / "physics").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                matches = (ending.search(argument.arg) for argument in node.args.args + node.args.kwonlyargs)
                found |= {f"_{match[1]}" for match in matches if match}
    return found


def test_glossary_lists_the_endings_in_use() -> None:
    """The last table of the glossary has every unit ending that a physics function takes."""
    listed = set(
        re.findall(r"^\| `(_\w+)` \|", (DOCS / "glossary.md").read_text(encoding="utf-8"), re.MULTILINE)
    )
    used = bare_endings()
    assert {"_m", "_s", "_m3s"} <= used
    assert used - listed == set()


@pytest.mark.parametrize("example", [ROOT / "README.md", DOCS / "wells" / "tutorial.toml"], ids=name_of)
def test_wells_shown_can_be_read_and_raise_no_doubt(example: Path) -> None:
    """The well file of the README and that of the tutorial are right, and nothing in them is hard to believe."""
    text = example.read_text(encoding="utf-8")
    if example.suffix == ".md":
        (text,) = re.findall(r"```toml\n(.*?)```", text, re.DOTALL)
    well = read_well(text)
    assert len(well.tests[0].levels) >= 8
    assert implausible(well) == ()


def test_the_faulty_well_has_the_two_faults_the_tutorial_tells_of() -> None:
    """Both faults of the tutorial's wrong file are reported at once, each at its place."""
    with pytest.raises(InputError) as raised:
        read_well((DOCS / "wells" / "two-faults.toml").read_text(encoding="utf-8"))
    places = [problem.where for problem in raised.value.problems]
    assert len(places) == 2
    assert places[0] == "bore[0].diametre"
    assert places[1].startswith("test[0].rates[0]")


def test_every_included_text_speaks_for_a_module_that_is_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """No page of the manual says that a part of the program is missing."""
    monkeypatch.syspath_prepend(str(DOCS / "_ext"))
    written = importlib.import_module("written_pages")
    assert [module for module, _ in written.PAGES.values() if not written.is_built(module)] == []

"""Write the pages that the program itself knows best: its record, its commands, its beliefs, its functions.

They go to ``docs/_generated`` before any page is read, at every build, and are never committed: they cannot
be stale.
"""

from __future__ import annotations

import importlib
import os
import pkgutil
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

from record_page import record_text, table
from sphinx.application import Sphinx

import ledgewell
from ledgewell.sources import source

PROGRAM = Path(sys.executable).with_name("ledgewell")
WELLS = Path(__file__).resolve().parent.parent / "wells"
CALIBRATION = WELLS.parent.parent / "benchmarks" / "results" / "calibration.md"
MODULE_PAGE = """# `{name}`

```{{eval-rst}}
.. automodule:: {name}
   :members:
```
"""
PACKAGE_PAGE = """# `{name}`

```{{eval-rst}}
.. automodule:: {name}
```
"""
PUBLIC_NAMES = """
## Public names

{names}
"""


def api_pages() -> dict[str, str]:
    """Return the page of every public module; a package's page says what it is and which names it offers."""
    found = pkgutil.walk_packages(ledgewell.__path__, prefix="ledgewell.")
    packages = {"ledgewell": True} | {module.name: module.ispkg for module in found}
    return {
        name: package_page(name) if is_package else MODULE_PAGE.format(name=name)
        for name, is_package in sorted(packages.items())
        if not any(part.startswith("_") for part in name.split("."))
    }


def package_page(name: str) -> str:
    """Return a package's page; what it takes over from its modules is described on theirs."""
    public = getattr(importlib.import_module(name), "__all__", ())
    page = PACKAGE_PAGE.format(name=name)
    if not public:
        return page
    return page + PUBLIC_NAMES.format(names=", ".join(f"`{member}`" for member in public))


def write_if_changed(path: Path, text: str) -> None:
    """Write a page, leaving its date alone when nothing changed."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if not path.exists() or path.read_text(encoding="utf-8") != text:
        path.write_text(text, encoding="utf-8")


def write_api(folder: Path) -> None:
    """Write one page for each module and remove those of modules that are gone."""
    pages = api_pages()
    for name, text in pages.items():
        write_if_changed(folder / f"{name}.md", text)
    for path in folder.glob("*.md"):
        if path.stem not in pages:
            path.unlink()


def with_citations(text: str) -> str:
    """Return text in which every key of the bibliography is a citation.

    Examples
    --------
    >>> with_citations("barker1988 for the range; from memory")
    '{cite:p}`barker1988` for the range; from memory'
    """
    return re.sub(r"[a-z]+[0-9]{4}[a-z]?", lambda found: f"{{cite:p}}`{source(found[0]).key}`", text)


def priors_text() -> str:
    """Return what is believed of any well beforehand, and how well each method reads a level."""
    from ledgewell.steps.prove.priors import IN_WORDS, READING_ERROR_M

    rows = [(prior.what, prior.say, with_citations(prior.source)) for prior in IN_WORDS]
    beliefs = table(("what", "believed beforehand", "source"), rows)
    methods = [
        (method, f"{error * 1000:.0f} mm", f"{error / 0.3048:.2g} ft")
        for method, error in READING_ERROR_M.items()
    ]
    return f"{beliefs}\n{table(('level read by', 'one standard deviation', ''), methods)}"


def record_schema() -> dict[str, Any]:
    """Return the JSON Schema of the well file."""
    from ledgewell.record import schema

    return schema()


def plain() -> dict[str, str]:
    """Return the environment in which a command prints without color and at one width."""
    return {**os.environ, "COLUMNS": "100", "NO_COLOR": "1", "TERM": "dumb", "PYTHONIOENCODING": "utf-8"}


def help_text(*command: str) -> str:
    """Return what a command prints for ``--help``, as it would in a shell."""
    run = subprocess.run(
        [PROGRAM, *command, "--help"], env=plain(), check=True, capture_output=True, text=True
    )
    return "\n".join(line.rstrip() for line in run.stdout.strip("\n").splitlines())


def commands_text() -> str:
    """Return the help of the program and of each of its commands."""
    from ledgewell.cli import app

    names = [name for name in app if not name.startswith("-")]
    sections = [f"## ledgewell\n\n```text\n{help_text()}\n```\n"]
    sections += [f"## ledgewell {name}\n\n```text\n{help_text(name)}\n```\n" for name in names]
    return "\n".join(sections)


def run_text(*arguments: str) -> str:
    """Return a command and what it prints for a well of ``docs/wells``, as two code blocks."""
    run = subprocess.run(
        [PROGRAM, *arguments], cwd=WELLS, env=plain(), check=False, capture_output=True, text=True
    )
    if run.returncode not in (0, 2):
        raise RuntimeError(f"ledgewell {' '.join(arguments)} ended with {run.returncode}: {run.stderr}")
    printed = (run.stdout + run.stderr).strip("\n")
    return f"```sh\nuv run ledgewell {' '.join(arguments)}\n```\n\n```text\n{printed}\n```\n"


def calibration_text() -> str:
    """Return the tables that the calibration left, without their title; a build without them fails.

    Examples
    --------
    >>> calibration_text().startswith("# ")
    False
    """
    _title, _, rest = CALIBRATION.read_text(encoding="utf-8").partition("\n")
    return rest.lstrip("\n")


PAGES = {
    "priors": ("ledgewell.steps.prove.priors", priors_text),
    "record": ("ledgewell.record", lambda: record_text(record_schema())),
    "commands": ("ledgewell.cli", commands_text),
    "calibration": ("ledgewell.steps.prove", calibration_text),
    "tutorial-prove": ("ledgewell.cli", lambda: run_text("prove", "tutorial.toml")),
    "tutorial-level": (
        "ledgewell.cli",
        lambda: run_text("prove", "tutorial.toml", "--level", "220ft", "--duration", "24h"),
    ),
    "tutorial-faults": ("ledgewell.cli", lambda: run_text("prove", "two-faults.toml")),
}
"""The texts that other pages include: the module each one speaks for, and what writes it."""


def is_built(module: str) -> bool:
    """Tell whether a module is part of this checkout; one that is there and broken raises when it is used."""
    place = Path(ledgewell.__file__).parent.joinpath(*module.split(".")[1:])
    return place.with_suffix(".py").exists() or (place / "__init__.py").exists()


def write_pages(app: Sphinx) -> None:
    """Write every page of this kind."""
    generated = Path(app.srcdir) / "_generated"
    for name, (module, write) in PAGES.items():
        text = write() if is_built(module) else f"`{module}` is not part of this checkout.\n"
        write_if_changed(generated / f"{name}.md", text)
    write_api(generated / "api")


def setup(app: Sphinx) -> dict[str, bool]:
    """Write the pages before Sphinx looks for sources."""
    app.connect("builder-inited", write_pages)
    return {"parallel_read_safe": True}

"""Write the pages that the program itself knows best: its record, its commands, its beliefs, its functions.

They go to ``docs/_generated`` before any page is read, at every build, and are never committed: they cannot
be stale.
"""

from __future__ import annotations

import importlib
import pkgutil
from pathlib import Path

from sphinx.application import Sphinx

import ledgewell

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


def table(heads: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    """Return a Markdown table."""
    lines = [heads, tuple("---" for _ in heads), *rows]
    return "".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |\n" for line in lines)


def priors_text() -> str:
    """Return what is believed of any well beforehand, and how well each method reads a level."""
    from ledgewell.steps.prove.priors import IN_WORDS, READING_ERROR_M

    beliefs = table(("what", "believed beforehand", "source"), [(p.what, p.say, p.source) for p in IN_WORDS])
    methods = [
        (method, f"{error * 1000:.0f} mm", f"{error / 0.3048:.2g} ft")
        for method, error in READING_ERROR_M.items()
    ]
    return f"{beliefs}\n{table(('level read by', 'one standard deviation', ''), methods)}"


def write_pages(app: Sphinx) -> None:
    """Write every page of this kind."""
    generated = Path(app.srcdir) / "_generated"
    write_if_changed(generated / "priors.md", priors_text())
    write_api(generated / "api")


def setup(app: Sphinx) -> dict[str, bool]:
    """Write the pages before Sphinx looks for sources."""
    app.connect("builder-inited", write_pages)
    return {"parallel_read_safe": True}

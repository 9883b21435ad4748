"""Make docstrings ready for Sphinx: source keys become citations, bars of an absolute value stay bars.

A key which is in no bibliography so fails the build.
"""

from __future__ import annotations

import re
from types import GenericAlias
from typing import Any

from sphinx.application import Sphinx

from ledgewell.sources import all_sources

SOURCE = re.compile(r"Source: (?P<keys>[a-z][a-z0-9_]+(?:, [a-z][a-z0-9_]+)*)")
LIKE_A_KEY = re.compile(r"[a-z]+[0-9]{4}[a-z]?")
ABSOLUTE = re.compile(r"\|([^|`]+)\|")


def citation_from_source(line: str) -> str:
    """Return a docstring line with its source keys as a citation role.

    Examples
    --------
    >>> citation_from_source("Exact. Source: barker1988, theis1935.")
    'Exact. Source: :cite:p:`barker1988,theis1935`.'
    >>> citation_from_source("Source: common practice, no source.")
    'Source: common practice, no source.'
    """
    return SOURCE.sub(_cited, line)


def _cited(found: re.Match[str]) -> str:
    keys = found["keys"].split(", ")
    if not all(key in all_sources() or LIKE_A_KEY.fullmatch(key) for key in keys):
        return found[0]
    return f"Source: :cite:p:`{','.join(keys)}`"


def bars_kept(line: str) -> str:
    r"""Return a docstring line whose absolute values are not taken for substitutions.

    Examples
    --------
    >>> bars_kept("s = BQ + CQ|Q|")
    's = BQ + CQ\\|Q\\|'
    """
    return line if line.lstrip().startswith(">>>") else ABSOLUTE.sub(r"\\|\1\\|", line)


def prepare(_app: Sphinx, _what: str, _name: str, _found: Any, _options: Any, lines: list[str]) -> None:
    """Rewrite the lines of one docstring in place."""
    lines[:] = [bars_kept(citation_from_source(line)) for line in lines]


def skip_aliases(_app: Sphinx, _what: str, _name: str, found: Any, skip: bool, _options: Any) -> bool | None:
    """Leave out names of plain types such as ``tuple[float, float]``, which have no signature to show."""
    return True if skip or isinstance(found, GenericAlias) else None


def setup(app: Sphinx) -> dict[str, bool]:
    """Connect before numpydoc, which takes the lines apart."""
    app.connect("autodoc-process-docstring", prepare, priority=100)
    app.connect("autodoc-skip-member", skip_aliases)
    return {"parallel_read_safe": True}

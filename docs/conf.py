"""Build of the documents: MyST pages, pages written from the program itself, and the sources by key."""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE / "_ext"))

import ledgewell  # noqa: E402  (the path to our own extensions must stand first)

project = "Ledgewell"
author = "the Ledgewell contributors"
project_copyright = "the Ledgewell contributors, Apache-2.0"
version = release = ledgewell.__version__

extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "sphinx.ext.mathjax",
    "numpydoc",
    "sphinxcontrib.bibtex",
    "written_pages",
    "docstrings",
]
source_suffix = {".md": "markdown"}
exclude_patterns = ["_build", "_generated/*.md"]

myst_enable_extensions = ["amsmath", "colon_fence", "deflist", "dollarmath", "substitution"]
myst_heading_anchors = 3
myst_substitutions = {"checks": "[the list of checks](/checks.md)"}

bibtex_bibfiles = [str(Path("..") / "src" / "ledgewell" / "data" / "references.bib")]
bibtex_default_style = "plain"
bibtex_reference_style = "author_year"

autosummary_generate = False
autodoc_member_order = "bysource"
autodoc_typehints = "signature"
numpydoc_show_class_members = False

html_theme = "alabaster"
html_title = "Ledgewell"
html_show_sourcelink = False
html_theme_options = {
    "description": "The field book and the engineer for weak wells in hard rock.",
    "fixed_sidebar": True,
    "page_width": "1100px",
    "sidebar_width": "240px",
}

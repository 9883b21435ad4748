"""Well files and a way to give standard input to the command line."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

WELL = """format = 1
units = "us"
[well]
name = "Upper field"
[[casing]]
top = 0
bottom = 40
inside_diameter = 6.065
annulus = "sealed"
[[bore]]
top = 40
bottom = 400
diameter = "6 1/4 in"
[[stratum]]
top = 0
bottom = 400
rock = "granite"
[[fracture]]
depth = 290
airlift = 4
bit_depth = 300
[[level]]
at = 2026-09-14
depth = 38.5
"""
FAULTY = 'format = 1\nunits = "us"\n[[bore]]\ntop = 0\nbottom = "deep"\ndiametre = 6\n'


@pytest.fixture(autouse=True)
def no_width(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no width of the machine's own break lines; a test that wants one sets it."""
    monkeypatch.delenv("COLUMNS", raising=False)


@pytest.fixture
def well(tmp_path: Path) -> str:
    """A well file of which all is known."""
    path = tmp_path / "upper.toml"
    path.write_text(WELL, encoding="utf-8")
    return str(path)


@pytest.fixture
def faulty(tmp_path: Path) -> str:
    """A well file with two faults."""
    path = tmp_path / "faulty.toml"
    path.write_text(FAULTY, encoding="utf-8")
    return str(path)


@pytest.fixture
def give_input(monkeypatch: pytest.MonkeyPatch) -> Callable[[bytes], None]:
    """Put bytes on standard input."""

    def give(data: bytes) -> None:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data)))

    return give

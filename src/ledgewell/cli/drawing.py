"""Write charts into a folder as SVG: each file whole or not at all, no two under one name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ledgewell.errors import InputError, Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """One chart, drawn.

    Parameters
    ----------
    test
        Name of the test it is about; empty when it is about the well.
    chart
        Key of the chart, such as ``levels``.
    svg
        The SVG document.
    """

    test: str
    chart: str
    svg: str


class DrawingFolder:
    """A folder that takes the drawings of one run, like names numbered apart.

    Parameters
    ----------
    folder
        Where to; made when it is not there.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.written: list[Path] = []

    def write(self, well: str, drawings: Sequence[Drawing]) -> tuple[Path, ...]:
        """Write the drawings of one well.

        Parameters
        ----------
        well
            Name of the well, the beginning of each file's name.
        drawings
            The charts.

        Returns
        -------
        tuple of Path
            Files written, ``<well>-<test>-<chart>.svg``.

        Raises
        ------
        InputError
            When the folder cannot be made or written.
        """
        from ledgewell.figures import file_name

        begin = len(self.written)
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            for each in drawings:
                path = self._free(self.folder / file_name(well, each.test, each.chart))
                _replace(path, each.svg)
                self.written.append(path)
        except OSError as error:
            say = f"it cannot be written: {(error.strerror or str(error)).lower()}"
            right, given = "a folder in which files may be written", repr(str(self.folder))
            problem = Problem(where="--figures", given=given, say=say, right=right)
            raise InputError([problem]) from None
        return tuple(self.written[begin:])

    def _free(self, path: Path) -> Path:
        """The path, or the first numbered one that this run has not written."""
        number, free = 1, path
        while free in self.written:
            number += 1
            free = path.with_stem(f"{path.stem}-{number}")
        return free


def _replace(path: Path, text: str) -> None:
    """Write a file whole or not at all."""
    half = path.with_suffix(".svg.part")
    half.write_text(text, encoding="utf-8", newline="\n")
    half.replace(path)

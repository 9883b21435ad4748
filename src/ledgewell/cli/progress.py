"""A progress bar on standard error for whatever takes longer than a second."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from typing import TextIO

PATIENCE_S = 1.0
"""How long a command is silent before it shows a bar."""
REDRAW_S = 0.1
WIDTH = 24
ENVIRONMENT = "LEDGEWELL_PROGRESS"
"""``always`` shows a bar even where standard error is no terminal, ``never`` shows none."""


class Progress:
    """Draws one bar over all the files of a command; use as a context, which wipes the bar at the end.

    Parameters
    ----------
    stream
        Where to draw, such as `sys.stderr`.
    files
        How many files there are.
    clock
        Seconds that only grow.

    Examples
    --------
    >>> import io
    >>> stream, seconds = io.StringIO(), iter([0.0, 0.5, 2.0])
    >>> bar = Progress(stream, files=1, clock=lambda: next(seconds), shown=True)
    >>> bar(0.2, "early")  # half a second: nothing yet
    >>> bar(0.5, "sampling")
    >>> stream.getvalue().strip()
    '[############............]  50 %  sampling'
    """

    def __init__(
        self,
        stream: TextIO,
        *,
        files: int,
        clock: Callable[[], float] = time.monotonic,
        shown: bool | None = None,
    ) -> None:
        self.stream, self.files, self.clock = stream, max(files, 1), clock
        self.shown = wanted(stream) if shown is None else shown
        self.begun = clock()
        self.redrawn = float("-inf")
        self.done = 0
        self.length = 0

    def __call__(self, fraction: float, what: str, /) -> None:
        """Say how far the file at hand has come, between 0 and 1, and what is being done."""
        now = self.clock()
        if not self.shown or now - self.begun < PATIENCE_S or now - self.redrawn < REDRAW_S:
            return
        self.redrawn = now
        share = min(max((self.done + fraction) / self.files, 0.0), 1.0)
        filled = round(share * WIDTH)
        line = f"[{'#' * filled}{'.' * (WIDTH - filled)}] {share:4.0%}".replace("%", " %") + f"  {what}"
        self._write(line)

    def next_file(self) -> None:
        """Count one file as done."""
        self.done += 1

    def wipe(self) -> None:
        """Take the bar away."""
        if self.length:
            self._write("")
            self.stream.write("\r")
            self.stream.flush()

    def _write(self, line: str) -> None:
        self.stream.write("\r" + line.ljust(self.length))
        self.stream.flush()
        self.length = len(line)

    def __enter__(self) -> Progress:
        return self

    def __exit__(self, *_: object) -> None:
        self.wipe()


def wanted(stream: TextIO) -> bool:
    """Tell whether a bar may be drawn on a stream.

    Parameters
    ----------
    stream
        Where it would be drawn.

    Returns
    -------
    bool
        As the environment says, else whether it is a terminal.

    Examples
    --------
    >>> import io
    >>> wanted(io.StringIO())
    False
    """
    said = os.environ.get(ENVIRONMENT)
    return stream.isatty() if said not in ("always", "never") else said == "always"

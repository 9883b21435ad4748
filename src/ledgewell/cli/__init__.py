"""The command line: one command for each step, and the schema of the well file."""

from __future__ import annotations

import io
import os
import sys
import traceback
from types import TracebackType

from ledgewell.cli.app import app, run

__all__ = ["app", "main", "run"]


def main() -> None:
    """Run the command line and end the process with its exit code."""
    sys.excepthook = _own_up
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        code = run(sys.argv[1:])
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read our output has gone; what Python would flush at exit must go nowhere.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = 0
    sys.exit(code)


def _own_up(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    """Print a fault of ours so that it can be reported, and say that it is ours."""
    traceback.print_exception(kind, error, trace)
    print(
        "\nThis is a fault of Ledgewell, not of the well file. Please report it with the lines above.",
        file=sys.stderr,
    )

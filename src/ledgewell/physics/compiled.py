"""How the inner loops are compiled, in one place.

The compiler's cache of a function does not notice when a function it calls has changed in another file. So the
cache lies in a folder named after the content of every file of this package: a change of one is a new cache. The
folder is the user's, so a read-only install works.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

import numba
from numba import njit


@cache
def cache_folder() -> Path:
    """Return the folder for compiled code; made on first use, in a temporary place when the user's cannot be.

    Examples
    --------
    >>> cache_folder().is_dir()
    True
    """
    mark = sha256()
    for source in sorted(Path(__file__).parent.rglob("*.py")):
        mark.update(source.read_bytes())
    named = f"compiled-{mark.hexdigest()[:16]}"
    home = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA") or "~/.cache"
    folder = Path(home).expanduser() / "ledgewell" / named
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if os.access(folder, os.W_OK):
            return folder
    except (OSError, RuntimeError):  # no home, or a home that cannot be written
        pass
    folder = Path(tempfile.mkdtemp(prefix="ledgewell-")) / named
    folder.mkdir()
    return folder


def compiled(function: Callable[..., Any]) -> Any:
    """Compile a function when it is first called, without fast-math, releasing the lock of the interpreter."""
    return _compile(function)


def borrowing(function: Callable[..., Any]) -> Any:
    """Compile a function that only borrows the arrays it is given: it makes none and keeps none.

    So their references need not be counted. In the inner loop the counting, atomic at every call, costs more than the
    arithmetic: a march of 480 steps takes 18 µs without and 42 µs with it.
    """
    return _compile(function, {"_nrt": False})


def _compile(function: Callable[..., Any], options: dict[str, Any] | None = None) -> Any:
    if not os.environ.get("NUMBA_CACHE_DIR"):
        setattr(numba.config, "CACHE_DIR", str(cache_folder()))  # noqa: B010  (the name is not in its types)
    return njit(cache=True, nogil=True, **(options or {}))(function)

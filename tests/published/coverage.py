"""Which test checks which published value: read from the ``published`` markers in the text of the tests.

A test says ``@pytest.mark.published("hydraulics-3b")``. Reading the text, and not running it, keeps the list
of checks quick to make; a test that is skipped or expected to fail counts for nothing.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator, Mapping
from pathlib import Path

from tests.published.checks import Check

ROOT = Path(__file__).resolve().parents[2]
_IDLE = ("skip", "skipif", "xfail")


def coverage_by_check(folder: Path) -> dict[str, tuple[str, ...]]:
    """Return the ids of the tests that name each check, sorted."""
    found: defaultdict[str, set[str]] = defaultdict(set)
    for path in sorted(folder.rglob("test_*.py")):
        place = path.relative_to(folder.parent).as_posix()
        for name, check_ids in marked_tests(path.read_text(encoding="utf-8")):
            for check_id in check_ids:
                found[check_id].add(f"{place}::{name}")
    return {check_id: tuple(sorted(tests)) for check_id, tests in found.items()}


def marked_tests(text: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield each active test of a module with the checks it names."""
    for owner, node in _functions(ast.parse(text), ""):
        if not node.name.startswith("test"):
            continue
        marks = [mark for mark in map(_mark, node.decorator_list) if mark is not None]
        check_ids = tuple(check_id for name, given in marks if name == "published" for check_id in given)
        if check_ids and not any(name in _IDLE for name, _ in marks):
            yield f"{owner}{node.name}", check_ids


def _functions(tree: ast.AST, owner: str) -> Iterator[tuple[str, ast.FunctionDef | ast.AsyncFunctionDef]]:
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield owner, node
        elif isinstance(node, ast.ClassDef):
            yield from _functions(node, f"{owner}{node.name}::")


def _mark(decorator: ast.expr) -> tuple[str, tuple[str, ...]] | None:
    """Return the name of a pytest marker and the words given to it, or None for another decorator."""
    call = decorator if isinstance(decorator, ast.Call) else None
    target = call.func if call else decorator
    if not (isinstance(target, ast.Attribute) and ast.unparse(target.value).endswith("pytest.mark")):
        return None
    given = call.args if call else []
    return target.attr, tuple(str(arg.value) for arg in given if isinstance(arg, ast.Constant))


def pending(checks: Mapping[str, Check], tests: Mapping[str, tuple[str, ...]]) -> list[tuple[str, str]]:
    """Return each check with a test file that should check it too and does not yet."""
    return [
        (item.id, file)
        for item in checks.values()
        for file in item.also_in
        if not any(test.startswith(f"{file}::") for test in tests.get(item.id, ()))
    ]

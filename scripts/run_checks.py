"""Run every check of the project and end with one line: how many passed and how many failed.

A check that is one command counts as one; a pytest run counts each of its tests. Names given on the command
line (``python scripts/run_checks.py style types``) run only those.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
REPORTS = ROOT / "build" / "reports"
PYTHON = sys.executable
ONE_THREAD_EACH = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One command, and whether it is a pytest run whose tests are counted singly."""

    name: str
    command: tuple[str, ...]
    counts_tests: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """How many passed and failed, and how long they took."""

    name: str
    passed: int
    failed: int
    seconds: float


def pytest_command(*arguments: str) -> tuple[str, ...]:
    """Return the pytest command for two processors, with its plain closing line."""
    return (PYTHON, "-m", "pytest", "-q", "-n", "2", *arguments)


CHECKS = (
    Check(name="style", command=(PYTHON, "-m", "ruff", "check")),
    Check(name="format", command=(PYTHON, "-m", "ruff", "format", "--check")),
    Check(name="types", command=(PYTHON, "-m", "mypy")),
    Check(name="layers", command=(str(Path(PYTHON).with_name("lint-imports")),)),
    Check(
        name="documents",
        command=(PYTHON, "-m", "sphinx", "-q", "-E", "-W", "--keep-going", "docs", "docs/_build/html"),
    ),
    Check(
        name="doctests",
        command=pytest_command("--doctest-modules", "-o", "pythonpath=docs/_ext", "src", "docs/_ext"),
        counts_tests=True,
    ),
    Check(name="tests", command=pytest_command(), counts_tests=True),
)


def counts_from_report(report: Path) -> tuple[int, int]:
    """Return the passed and failed tests of a JUnit report; an expected failure or a skip is neither."""
    passed = failed = 0
    for suite in ElementTree.parse(report).getroot().iter("testsuite"):
        wrong = int(suite.get("failures", "0")) + int(suite.get("errors", "0"))
        failed += wrong
        passed += int(suite.get("tests", "0")) - wrong - int(suite.get("skipped", "0"))
    return passed, failed


def run(check: Check) -> Outcome:
    """Run one check in the checkout, its output passing through."""
    print(f"== {check.name}", flush=True)
    report = REPORTS / f"{check.name}.xml"
    report.unlink(missing_ok=True)
    command = (*check.command, f"--junit-xml={report}") if check.counts_tests else check.command
    start = time.monotonic()
    code = subprocess.run(command, cwd=ROOT, env={**os.environ, **ONE_THREAD_EACH}, check=False).returncode
    passed, failed = (int(code == 0), int(code != 0))
    if check.counts_tests and report.exists():
        passed, failed = counts_from_report(report)
        failed = max(failed, int(code != 0))
    return Outcome(name=check.name, passed=passed, failed=failed, seconds=time.monotonic() - start)


def main(names: list[str]) -> int:
    """Run the named checks, or all of them; return the exit code."""
    unknown = set(names) - {check.name for check in CHECKS}
    if unknown:
        known = ", ".join(check.name for check in CHECKS)
        print(f"no check is called {', '.join(sorted(unknown))}; there are: {known}")
        return 2
    REPORTS.mkdir(parents=True, exist_ok=True)
    outcomes = [run(check) for check in CHECKS if not names or check.name in names]
    print("== summary")
    for outcome in outcomes:
        state = "failed" if outcome.failed else "passed"
        counts = f"{outcome.passed} passed, {outcome.failed} failed"
        print(f"{outcome.name:10} {state}  {counts}, {outcome.seconds:.0f} s")
    failed = sum(outcome.failed for outcome in outcomes)
    print(f"{sum(outcome.passed for outcome in outcomes)} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))

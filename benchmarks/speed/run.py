"""Time everything in one run, each contender at its best setting, and write the results.

    python -m benchmarks.speed.run

Writes benchmarks/results/speed.json and benchmarks/results/speed.md. A contender is judged at the quickest of its
settings whose levels are all within a thousandth of the deepest drawdown; the best settings then take turns on the
clock, and the least time of many turns counts, so that whatever else the machine does falls on all alike.
"""

from __future__ import annotations

import json
import os
import platform
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from statistics import median

import numpy as np

from benchmarks.calibration.generator import make_well
from benchmarks.calibration.well_file import as_well_file
from benchmarks.speed.contenders import ALLOWED, ENGINE, MARCH, Contender, contenders, error_of
from benchmarks.speed.engine import EngineRun, even_steps
from benchmarks.speed.problems import PROBLEMS, SCENARIO_A, SpeedProblem, exact_levels
from ledgewell.record import read_well
from ledgewell.steps.prove.fitting import fit_test
from ledgewell.steps.prove.layout import Layout, layout_of
from ledgewell.steps.prove.priors import Priors

RESULTS = Path(__file__).resolve().parents[1] / "results"
TURN_S = 2e-3
TURNS = 60
LINEAR_STEPS = (1_000, 10_000, 100_000, 1_000_000)
READINGS = 40
FITTED = 5
WELLS_LOOKED_AT = 60
HELP_RUNS = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """Tell what one contender needs on one test.

    Parameters
    ----------
    problem, contender, setting
        The test, who, and how set.
    seconds
        Time for one rock [s].
    error
        Largest error of a level over the deepest drawdown [-].
    times_engine, times_march
        Time over that of the engine at its best, and over that of its march alone at its best [-].
    """

    problem: str
    contender: str
    setting: str
    seconds: float
    error: float
    times_engine: float
    times_march: float


def per_run_s(run: Callable[[], object]) -> float:
    """Time one turn of as many runs as fill it, and give the time of one [s]."""
    count, spent = 0, 0.0
    began = time.perf_counter()
    while spent < TURN_S:
        run()
        count += 1
        spent = time.perf_counter() - began
    return spent / count


def best_settings(problem: SpeedProblem) -> dict[str, tuple[Contender, float]]:
    """Choose the quickest setting within the error allowed, for every contender, with its error."""
    exact = exact_levels(problem)
    chosen: dict[str, tuple[Contender, float, float]] = {}
    for contender in contenders(problem):
        error = error_of(contender.levels(), exact)
        if not error <= ALLOWED:
            continue
        seconds = min(per_run_s(contender.run) for _ in range(5)) / contender.rocks
        if contender.name not in chosen or seconds < chosen[contender.name][2]:
            chosen[contender.name] = (contender, error, seconds)
    return {name: (contender, error) for name, (contender, error, _) in chosen.items()}


def race(problem: SpeedProblem) -> list[Timed]:
    """Time every contender at its best setting, turn by turn."""
    chosen = best_settings(problem)
    least = dict.fromkeys(chosen, np.inf)
    for _ in range(TURNS):
        for name, (contender, _) in chosen.items():
            least[name] = min(least[name], per_run_s(contender.run) / contender.rocks)
    return [
        Timed(
            problem=problem.name,
            contender=name,
            setting=contender.setting,
            seconds=least[name],
            error=error,
            times_engine=least[name] / least[ENGINE],
            times_march=least[name] / least[MARCH],
        )
        for name, (contender, error) in chosen.items()
    ]


def linearity() -> list[dict[str, float]]:
    """Time the march over a thousand to a million steps of one test."""
    rows = []
    for count in LINEAR_STEPS:
        run = EngineRun(SCENARIO_A, even_steps(SCENARIO_A, count))
        terms = run.made_terms()
        run.march(terms)
        seconds = min(_seconds(lambda run=run, terms=terms: run.march(terms)) for _ in range(7))
        rows.append(
            {"steps": count, "terms": terms.count, "seconds": seconds, "ns_per_step": seconds / count * 1e9}
        )
    return rows


def posterior() -> dict[str, float]:
    """Time the whole fit of a test of forty readings: the median of a few wells of known truth."""
    seconds, count = [], []
    layouts = _layouts()
    fit_test(layouts[0], Priors(), 1)  # compiles what is not yet compiled
    for layout in layouts:
        seconds.append(_seconds(lambda layout=layout: fit_test(layout, Priors(), 1)))
        count.append(len(layout.problem.readings))
    return {
        "wells": FITTED,
        "readings": median(count),
        "median_seconds": median(seconds),
        "longest_seconds": max(seconds),
    }


def _layouts() -> list[Layout]:
    """Lay out, of the first wells of known truth, those whose tests have about forty readings."""
    wells = (make_well(number, "centered") for number in range(WELLS_LOOKED_AT))
    layouts = [layout_of(read_well(as_well_file(well)), 0, Priors()) for well in wells]
    layouts.sort(key=lambda layout: abs(len(layout.problem.readings) - READINGS))
    return layouts[:FITTED]


def _seconds(run: Callable[[], object]) -> float:
    began = time.perf_counter()
    run()
    return time.perf_counter() - began


def help_seconds() -> float:
    """Time `ledgewell --help`: the median of several starts [s]."""
    command = [str(Path(sys.executable).with_name("ledgewell")), "--help"]
    return median(
        _seconds(lambda: subprocess.run(command, check=True, capture_output=True)) for _ in range(HELP_RUNS)
    )


def machine() -> dict[str, str | int | float]:
    """Describe what the times were taken on."""
    listed = Path("/proc/cpuinfo")
    names = listed.read_text(encoding="utf-8").splitlines() if listed.exists() else []
    named = [line.partition(":")[2].strip() for line in names if line.startswith("model name")]
    return {
        "processor": named[0] if named else platform.processor(),
        "cores": os.cpu_count() or 1,
        "system": f"{platform.system()} {platform.machine()}",
        "python": platform.python_version(),
        **{name: version(name) for name in ("numpy", "scipy", "numba")},
        "load_before": round(os.getloadavg()[0], 2) if hasattr(os, "getloadavg") else -1.0,
    }


def as_page(found: dict[str, object], timed: list[Timed]) -> str:
    """Write the results as a page."""
    on, linear, fit = found["machine"], found["linearity"], found["posterior"]
    assert isinstance(on, dict)
    assert isinstance(linear, list)
    assert isinstance(fit, dict)
    lines = [
        "# How fast the march is",
        "",
        f"{found['date']}, {on['processor']}, {on['cores']} cores, {on['system']}, Python {on['python']}, numpy {on['numpy']},",
        f"scipy {on['scipy']}, numba {on['numba']}; load of the machine before the run {on['load_before']}.",
        "Made by `python -m benchmarks.speed.run`, all in one run.",
        "",
        "One pumping test with recovery, its level asked at 480 times. Every contender stands at the quickest of the",
        "settings tried whose error is at most a thousandth of the deepest drawdown, against numerical inversion of the",
        f"exact transform. *{ENGINE}* makes the rock's stores, marches, and reads off the 480 levels, called from Python;",
        "in the fit the same is done for many rocks in one compiled call, likelihood included. The solvers and the",
        "superposition do all of it too. A march alone, and a superposition with its table ready, do less.",
    ]
    for problem in dict.fromkeys(row.problem for row in timed):
        lines += [
            "",
            f"## {problem}",
            "",
            "| contender | setting | time | error | times the engine at its best | times its march alone |",
            "|---|---|---|---|---|---|",
        ]
        rows = sorted((row for row in timed if row.problem == problem), key=lambda row: row.seconds)
        lines += [
            f"| {row.contender} | {row.setting} | {row.seconds * 1e6:,.1f} µs | {row.error:.1e} | "
            f"{row.times_engine:.3g} | {row.times_march:.3g} |"
            for row in rows
        ]
    lines += ["", "## Cost by number of steps", "", "| steps | stores | time | a step |", "|---|---|---|---|"]
    lines += [
        f"| {row['steps']:,} | {row['terms']} | {row['seconds'] * 1e3:,.3f} ms | {row['ns_per_step']:.1f} ns |"
        for row in linear
    ]
    lines += [
        "",
        "## What a user waits for",
        "",
        f"- The fit of a test of about {fit['readings']:g} readings, until its 24 h yield has settled: median",
        f"  {fit['median_seconds']:.2f} s, longest {fit['longest_seconds']:.2f} s of {fit['wells']} wells of known truth.",
        f"- `ledgewell --help`: {found['help_seconds']:.2f} s.",
        "",
    ]
    return "\n".join(lines)


def main() -> None:
    """Run all, print the page and write it."""
    found: dict[str, object] = {"date": datetime.now(UTC).date().isoformat(), "machine": machine()}
    timed = [row for problem in PROBLEMS for row in race(problem)]
    found["contenders"] = [asdict(row) for row in timed]
    found["linearity"] = linearity()
    found["posterior"] = posterior()
    found["help_seconds"] = help_seconds()
    page = as_page(found, timed)
    sys.stdout.write(page)
    (RESULTS / "speed.json").write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    (RESULTS / "speed.md").write_text(page, encoding="utf-8")


if __name__ == "__main__":
    main()

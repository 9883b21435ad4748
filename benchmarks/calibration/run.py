"""Judge the bands on many wells of known truth, in parallel, and keep every row.

    python -m benchmarks.calibration.run main --wells 1000 --first 7000000
    python -m benchmarks.calibration.run own-laws --wells 300 --first 7000000
    python -m benchmarks.calibration.run shifted --wells 200 --first 7100000
    python -m benchmarks.calibration.run misspecified --wells 100 --first 7200000

Rows go to benchmarks/results/calibration-<suite>.jsonl, one well a line; wells already there are not judged again, so
a run that was stopped goes on. `benchmarks.calibration.summary` makes the page from them.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path

from benchmarks.calibration.generator import make_well
from benchmarks.calibration.judging import generator_priors, judge
from benchmarks.calibration.truths import MISSPECIFIED_STRATA, SHIFTED_STRATA, Stratum
from ledgewell.steps.prove.priors import Priors

RESULTS = Path(__file__).parent.parent / "results"
SUITES = ("main", "own-laws", "shifted", "misspecified")
FIFTH: tuple[Stratum, ...] = ("centered", "uniform", "centered", "uniform", "fractures")
"""Of five wells of the main suite, two are centered, two uniform and one has recorded fractures."""


def wells_of(suite: str, count: int, first: int) -> Iterator[tuple[int, Stratum]]:
    """Yield seed and stratum of every well of a suite; shifted and misspecified take `count` of each stratum."""
    if suite in ("main", "own-laws"):
        for place in range(count):
            yield first + place, FIFTH[place % len(FIFTH)]
        return
    for stratum in SHIFTED_STRATA if suite == "shifted" else MISSPECIFIED_STRATA:
        for place in range(count):
            yield first + place, stratum


def judge_one(task: tuple[int, Stratum, bool]) -> dict[str, object]:
    """Make and judge one well; in a process of its own."""
    seed, stratum, own = task
    return judge(make_well(seed, stratum), generator_priors() if own else Priors()).row()


def run(suite: str, count: int, first: int, workers: int) -> None:
    """Judge a suite, appending to its file."""
    RESULTS.mkdir(exist_ok=True)
    path = RESULTS / f"calibration-{suite}.jsonl"
    done = set()
    if path.exists():
        with path.open(encoding="utf-8") as lines:
            done = {(row["seed"], row["stratum"]) for row in map(json.loads, lines)}
    tasks = [
        (seed, stratum, suite == "own-laws")
        for seed, stratum in wells_of(suite, count, first)
        if (seed, stratum) not in done
    ]
    with ProcessPoolExecutor(workers) as pool, path.open("a", encoding="utf-8") as rows:
        waiting = [pool.submit(judge_one, task) for task in tasks]
        for place, finished in enumerate(as_completed(waiting), start=1):
            rows.write(json.dumps(finished.result()) + "\n")
            rows.flush()
            if place % 20 == 0 or place == len(tasks):
                print(f"{suite}: {place}/{len(tasks)}", file=sys.stderr, flush=True)


def main() -> None:
    """Read the command line and run."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("suite", choices=SUITES)
    parser.add_argument("--wells", type=int, default=60)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--workers", type=int, default=2)
    given = parser.parse_args()
    run(given.suite, given.wells, given.first, given.workers)


if __name__ == "__main__":
    main()

"""Time a whole posterior, one more reading carried over, the help text, and peak memory.

    python -m benchmarks.speed.posterior

Writes benchmarks/results/posterior.md and .json, with machine and date.
"""

from __future__ import annotations

import json
import platform
import resource
import subprocess
import sys
import time
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from statistics import median

from benchmarks.calibration.generator import make_well
from benchmarks.calibration.well_file import as_well_file
from ledgewell.record import read_well
from ledgewell.steps.prove.fitting import fit_test
from ledgewell.steps.prove.layout import layout_of
from ledgewell.steps.prove.live import update_live
from ledgewell.steps.prove.priors import Priors

RESULTS = Path(__file__).parent.parent / "results"
READINGS = (36, 44)
WELLS = 15


def main() -> None:
    """Time fits of wells with about forty readings, and print the page."""
    priors = Priors()
    fits, lives, sizes = [], [], []
    seed = 5200
    fit_test(
        layout_of(read_well(as_well_file(make_well(seed, "centered"))), 0, priors), priors, 1
    )  # compiles
    while len(fits) < WELLS:
        seed += 1
        well = make_well(seed, "centered")
        if not READINGS[0] <= len(well.minutes) <= READINGS[1]:
            continue
        cut = replace(well, minutes=well.minutes[:-1], levels_ft=well.levels_ft[:-1])
        before, after = (layout_of(read_well(as_well_file(each)), 0, priors) for each in (cut, well))
        start = time.perf_counter()
        fit = fit_test(before, priors, 1)
        fits.append(time.perf_counter() - start)
        sizes.append(fit.settling.effective_size)
        start = time.perf_counter()
        if update_live(fit, after) is not None:
            lives.append(time.perf_counter() - start)
    helps = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run(
            [str(Path(sys.executable).with_name("ledgewell")), "--help"], check=False, capture_output=True
        )
        helps.append(time.perf_counter() - start)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    answer = {
        "date": datetime.now(UTC).date().isoformat(),
        "machine": f"{platform.machine()}, Python {platform.python_version()}",
        "fit_seconds": {"median": median(fits), "least": min(fits), "most": max(fits)},
        "effective_size_least": min(sizes),
        "one_more_reading_seconds": {"median": median(lives), "most": max(lives), "carried_over": len(lives)},
        "help_seconds": median(helps),
        "peak_memory_mib": peak,
        "wells": WELLS,
    }
    (RESULTS / "posterior.json").write_text(json.dumps(answer, indent=1) + "\n", encoding="utf-8")
    page = [
        "# How fast a posterior is",
        "",
        f"{answer['date']}, {answer['machine']}; {WELLS} wells of one inflow,",
        f"{READINGS[0]} to {READINGS[1]} readings each, one core.",
        "",
        "| what | median | most |",
        "|---|---|---|",
        f"| posterior, effective size at least 1,000 | {median(fits):.2f} s | {max(fits):.2f} s |",
        f"| one more reading, carried over (live) | {median(lives):.2f} s | {max(lives):.2f} s |",
        f"| `ledgewell --help` | {median(helps):.2f} s | {max(helps):.2f} s |",
        "",
        f"Peak memory of the process: {peak:.0f} MiB.",
        "",
    ]
    (RESULTS / "posterior.md").write_text("\n".join(page), encoding="utf-8")
    print("\n".join(page))


if __name__ == "__main__":
    main()

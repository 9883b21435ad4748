"""Make the calibration page from the rows of the runs: coverage, sharpness and bias, by stratum.

    python -m benchmarks.calibration.summary

Reads benchmarks/results/calibration-<suite>.jsonl and writes benchmarks/results/calibration.md and calibration.json.
"""

from __future__ import annotations

import json
import platform
from collections.abc import Callable
from math import log
from pathlib import Path
from statistics import median

RESULTS = Path(__file__).parent.parent / "results"
GPM = 6.30901964e-5
Row = dict[str, object]

GATES = {"held_90": (0.86, 0.96), "held_50": (0.44, 0.58)}
"""What the release run must show on the main suite, and on its wells under 5 gpm."""
SHARPNESS, BIAS, UNANSWERED = 1.25, 0.05, 0.01


def number(row: Row, key: str) -> float:
    """Return a number of a row."""
    value = row[key]
    assert isinstance(value, int | float)
    return float(value)


def rows_of(suite: str) -> list[Row]:
    """Return all rows of a suite, in order of stratum and seed; none when it was not run."""
    path = RESULTS / f"calibration-{suite}.jsonl"
    if not path.exists():
        return []
    with path.open(encoding="utf-8") as lines:
        return sorted(map(json.loads, lines), key=lambda row: (row["stratum"], row["seed"]))


def judged(rows: list[Row]) -> dict[str, float]:
    """Return coverage, width and bias of some rows; wells that did not settle count as unanswered and not in bands."""
    answered = [row for row in rows if row["settled"]]
    ranks = [number(row, "rank") for row in answered]
    widths = [log(number(row, "high") / number(row, "low")) for row in answered if number(row, "low") > 0]
    biases = [
        log(number(row, "mid") / number(row, "truth"))
        for row in answered
        if number(row, "truth") > 0 and number(row, "mid") > 0
    ]
    return {
        "wells": len(rows),
        "unanswered": 1 - len(answered) / len(rows),
        "held_90": sum(0.05 < rank < 0.95 for rank in ranks) / len(ranks),
        "held_50": sum(0.25 < rank < 0.75 for rank in ranks) / len(ranks),
        "median_width": median(widths),
        "mean_bias": sum(biases) / len(biases),
        "median_error": median(abs(bias) for bias in biases),
        "median_seconds": median(number(row, "seconds") for row in rows),
    }


SPLITS: tuple[tuple[str, Callable[[Row], bool]], ...] = (
    ("all", lambda _row: True),
    ("under 5 gpm", lambda row: number(row, "truth") < 5 * GPM),
    ("under 1 gpm", lambda row: number(row, "truth") < GPM),
    ("1 to 5 gpm", lambda row: GPM <= number(row, "truth") < 5 * GPM),
    ("over 5 gpm", lambda row: number(row, "truth") >= 5 * GPM),
    ("recovery under half", lambda row: number(row, "recovered_share") < 0.5),
    ("recovery over half", lambda row: number(row, "recovered_share") >= 0.5),
    ("reading error under 0.06 ft", lambda row: number(row, "reading_error_ft") < 0.06),
    ("reading error 0.06 to 0.3 ft", lambda row: 0.06 <= number(row, "reading_error_ft") < 0.3),
    ("reading error over 0.3 ft", lambda row: number(row, "reading_error_ft") >= 0.3),
    ("centered", lambda row: row["stratum"] == "centered"),
    ("uniform", lambda row: row["stratum"] == "uniform"),
    ("fractures", lambda row: row["stratum"] == "fractures"),
)


def table(parts: dict[str, dict[str, float]]) -> list[str]:
    """Return a Markdown table of judged parts."""
    lines = [
        "| wells | number | 90 % band holds | 50 % band holds | median ln(high/low) | mean ln(mid/truth) | "
        "median of its size | unanswered |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for name, part in parts.items():
        lines.append(
            f"| {name} | {part['wells']:.0f} | {part['held_90']:.1%} | {part['held_50']:.1%} | "
            f"{part['median_width']:.2f} | {part['mean_bias']:+.3f} | {part['median_error']:.3f} | "
            f"{part['unanswered']:.1%} |"
        )
    return lines


def rank_histogram(rows: list[Row], bins: int = 20) -> list[int]:
    """Return how many truths fell in each twentieth of their sample; flat when the bands are honest."""
    counts = [0] * bins
    for row in rows:
        counts[min(int(number(row, "rank") * bins), bins - 1)] += 1
    return counts


def main() -> None:
    """Write the page and its figures."""
    main_rows = rows_of("main")
    parts = {
        name: judged(chosen) for name, keep in SPLITS if (chosen := [row for row in main_rows if keep(row)])
    }
    by_seed = {(row["stratum"], row["seed"]): row for row in main_rows}
    own = [row for row in rows_of("own-laws") if (row["stratum"], row["seed"]) in by_seed]
    same = [by_seed[row["stratum"], row["seed"]] for row in own]
    answer: dict[str, object] = {
        "machine": platform.machine(),
        "python": platform.python_version(),
        "main": parts,
    }
    lines = ["# How honest the bands are", ""]
    lines += [
        "Wells of known truth (decision 0003), judged with the priors of decision 0006. The generator is not the engine. "
        "The yield is the 24 h rock yield at the deepest level tested.",
        "",
        "## Main suite",
        "",
        *table(parts),
        "",
        f"Ranks of the truth in its sample, in twentieths: {rank_histogram(main_rows)}.",
        "",
    ]
    if own:
        ratio = judged(same)["median_width"] / judged(own)["median_width"]
        answer["sharpness"] = {"ratio": ratio, "wells": len(own), "own_laws": judged(own)}
        lines += [
            "## Sharpness",
            "",
            f"On {len(own)} of these wells the median width is {ratio:.2f} times that of the same sampler given the "
            f"generator's own laws as priors (at most {SHARPNESS} wanted).",
            "",
        ]
    for suite, title in (
        ("shifted", "Shifted truths"),
        ("misspecified", "Wells the model does not describe"),
    ):
        rows = rows_of(suite)
        if not rows:
            continue
        found = {
            str(s): judged([row for row in rows if row["stratum"] == s])
            for s in dict.fromkeys(r["stratum"] for r in rows)
        }
        answer[suite] = found
        worst = min(found, key=lambda name: found[name]["held_90"])
        lines += [f"## {title}", "", *table(found), "", f"Worst: {worst}, {found[worst]['held_90']:.1%}.", ""]
    (RESULTS / "calibration.md").write_text("\n".join(lines), encoding="utf-8")
    (RESULTS / "calibration.json").write_text(json.dumps(answer, indent=1) + "\n", encoding="utf-8")
    print("\n".join(lines))


if __name__ == "__main__":
    main()

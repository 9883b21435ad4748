"""Make the readings of the invented wells in examples/ from wells of known truth.

    python -m scripts.make_examples          write the readings into the well files
    python -m scripts.make_examples --check  tell whether the files hold what would be written
    python -m scripts.make_examples --truth  print the truths and the yields they give

What a crew would know of hole and work is written by hand in each file; only the lines between
``# made by scripts/make_examples.py`` and ``# end`` are written here. Levels come from finite volumes and from
Laplace inversion (`benchmarks.calibration`), never from the engine, and the noise from a fixed seed.

Sources: Barker, J.A., 1988, Water Resour. Res. 24(10), 1796-1804 (rock); Papadopulos, I.S. and Cooper, H.H., 1967,
Water Resour. Res. 3(1), 241-244 (the hole as a bucket).
"""

from __future__ import annotations

import argparse
import math
import sys
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from benchmarks.calibration import finite_volume, laplace_well
from benchmarks.calibration.finite_volume import Fracture, HoleShape
from benchmarks.calibration.laplace_well import RockTruth
from benchmarks.calibration.trade_units import M3S_PER_GPM, M_PER_FT, M_PER_IN, S_PER_D, S_PER_H, S_PER_MIN
from numpy.typing import NDArray

Floats = NDArray[np.float64]
EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
BEGIN, END = "# made by scripts/make_examples.py: ", "# end"
SEED = 1
LPM_M3S = 0.001 / 60.0
MM = 0.001


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What only the rock knows of one test.

    Parameters
    ----------
    rock
        The rock.
    static_m
        Level at rest below the measuring point [m].
    fractures_m, shares
        Depths [m] and shares of the fractures; none where one zone lies below every level.
    casing_m2, bore_m2, casing_bottom_m
        Free areas [m2] as a crew would reckon them, and the depth at which they meet [m].
    rate_m3s
        Rate as the crew has it [m3/s].
    stop_min
        Minute of the test at which the pump stopped.
    begin_min
        Minute at which the pump started; below zero when the test was only read afterwards.
    rate_factor, area_factor
        True over reckoned rate and area [-].
    reading_error_m
        Standard error of a level [m].
    bucket_error
        Standard error of a timed bucket, as a share [-].
    """

    rock: RockTruth
    static_m: float
    fractures_m: tuple[float, ...] = ()
    shares: tuple[float, ...] = ()
    casing_m2: float
    bore_m2: float
    casing_bottom_m: float
    rate_m3s: float
    stop_min: float
    begin_min: float = 0.0
    rate_factor: float
    area_factor: float
    reading_error_m: float
    bucket_error: float = 0.02

    @property
    def placed(self) -> tuple[Fracture, ...]:
        """Give the fractures by their depth below the level at rest."""
        pairs = zip(self.fractures_m, self.shares, strict=True)
        return tuple(Fracture(drawdown_m=depth - self.static_m, share=share) for depth, share in pairs)

    def levels_m(self, minutes: tuple[float, ...]) -> Floats:
        """Give the true depth to water at minutes of the test [m]."""
        times_s = (np.array(minutes) - self.begin_min) * S_PER_MIN
        stop_s, rate = (self.stop_min - self.begin_min) * S_PER_MIN, self.rate_m3s * self.rate_factor
        upper, lower = self.casing_m2 * self.area_factor, self.bore_m2 * self.area_factor
        if not self.fractures_m:
            return self.static_m + laplace_well.pumped_drawdown(self.rock, lower, rate, stop_s, times_s)
        change_m = max(0.0, self.casing_bottom_m - self.static_m)
        hole = HoleShape(area_m2=upper, lower_area_m2=lower, change_m=change_m)
        return self.static_m + finite_volume.march_test(self.rock, hole, self.placed, rate, stop_s, times_s)

    def yield_m3s(self, level_m: float, duration_s: float = S_PER_D) -> float:
        """Give the inflow after the level has been held at a depth for so long [m3/s]."""
        drawdown_m = level_m - self.static_m
        if not self.fractures_m:
            return float(laplace_well.held_inflow(self.rock, drawdown_m, np.array([duration_s]))[0])
        return float(finite_volume.held_inflow(self.rock, self.placed, drawdown_m, [duration_s])[0])


def ring_m2(outer: float, inner: float = 0.0) -> float:
    """Give the area between two diameters [m2].

    >>> round(ring_m2(6.0 * M_PER_IN), 6)
    0.018241
    """
    return math.pi / 4.0 * (outer**2 - inner**2)


WEAK_BEFORE = Truth(
    rock=RockTruth(
        transmissivity_m2s=4.3e-7,
        storativity=3.7e-4,
        flow_dimension=1.93,
        skin=2.6,
        well_radius_m=3.0 * M_PER_IN,
    ),
    static_m=41.27 * M_PER_FT,
    fractures_m=(318.0 * M_PER_FT, 396.0 * M_PER_FT),
    shares=(0.36, 0.64),
    casing_m2=ring_m2(6.25 * M_PER_IN, 1.315 * M_PER_IN),
    bore_m2=ring_m2(6.0 * M_PER_IN, 1.315 * M_PER_IN),
    casing_bottom_m=58.0 * M_PER_FT,
    rate_m3s=5.8 * M3S_PER_GPM,
    stop_min=66.0,
    rate_factor=0.974,
    area_factor=1.017,
    reading_error_m=0.12 * M_PER_FT,
)
WEAK_AFTER = replace(
    WEAK_BEFORE,
    rock=RockTruth(
        transmissivity_m2s=2.2e-6,
        storativity=5.3e-3,
        flow_dimension=1.97,
        skin=0.5,
        well_radius_m=3.0 * M_PER_IN,
    ),
    shares=(0.29, 0.71),
    rate_m3s=7.4 * M3S_PER_GPM,
    stop_min=62.0,
    rate_factor=1.021,
    reading_error_m=0.035 * M_PER_FT,
)
TWO_FRACTURES = Truth(
    rock=RockTruth(
        transmissivity_m2s=2.4e-6,
        storativity=8.5e-4,
        flow_dimension=2.08,
        skin=1.4,
        well_radius_m=76.0 * MM,
    ),
    static_m=9.63,
    fractures_m=(36.4, 91.3),
    shares=(0.43, 0.57),
    casing_m2=ring_m2(157.0 * MM, 33.4 * MM),
    bore_m2=ring_m2(152.0 * MM, 33.4 * MM),
    casing_bottom_m=19.2,
    rate_m3s=19.5 * LPM_M3S,
    stop_min=71.0,
    rate_factor=1.034,
    area_factor=0.981,
    reading_error_m=0.011,
)
TWO_LEVELS = Truth(
    rock=RockTruth(
        transmissivity_m2s=1.3e-6,
        storativity=1.6e-3,
        flow_dimension=1.88,
        skin=0.9,
        well_radius_m=3.0 * M_PER_IN,
    ),
    static_m=29.4 * M_PER_FT,
    casing_m2=ring_m2(6.25 * M_PER_IN),
    bore_m2=ring_m2(6.0 * M_PER_IN),
    casing_bottom_m=43.0 * M_PER_FT,
    rate_m3s=6.3 * M3S_PER_GPM,
    begin_min=-54.0,
    stop_min=0.0,
    rate_factor=1.0,
    area_factor=1.022,
    reading_error_m=0.5 * M_PER_FT,
)
TRUTHS: dict[str, dict[str, Truth]] = {
    "weak-well": {"before": WEAK_BEFORE, "after": WEAK_AFTER},
    "two-fractures": {"yield test": TWO_FRACTURES},
    "two-levels": {"two levels": TWO_LEVELS},
}
"""The truth of every test, by file and name of the test."""

PUMPING = (0.5, 1, 2, 3, 4, 5, 7, 10, 13, 16, 20, 25, 30, 37, 45, 52, 60)
RECOVERY = (1, 2, 3, 5, 8, 12, 17, 23, 30, 38, 48, 60, 72, 84)


def cadence(stop_min: float, recovery_min: float) -> tuple[float, ...]:
    """List minutes at which a person alone could read, thinning out after each change of the pump.

    >>> cadence(12, 3)
    (0.5, 1, 2, 3, 4, 5, 7, 10, 12, 13, 14, 15)
    """
    pumping = [minute for minute in PUMPING if minute < stop_min]
    recovery = [stop_min + minute for minute in RECOVERY if minute <= recovery_min]
    return (*pumping, stop_min, *recovery)


@dataclass(frozen=True, slots=True)
class Notebook:
    """One test as it is written down: unit of depth [m], resolution in that unit, digits, seed."""

    truth: Truth
    rng: np.random.Generator
    unit_m: float
    resolution: float
    digits: int

    def read(self, depth_m: float) -> float:
        """Read one level with the crew's error, to the resolution."""
        noisy = (depth_m + self.rng.normal(0.0, self.truth.reading_error_m)) / self.unit_m
        return round(round(noisy / self.resolution) * self.resolution, self.digits)

    def static(self) -> str:
        """Write the level at rest."""
        return f"static_level = {self.read(self.truth.static_m):.{self.digits}f}"

    def levels(self, minutes: tuple[float, ...]) -> list[str]:
        """Write the levels, one a line."""
        true_m = self.truth.levels_m(minutes)
        pairs = zip(minutes, true_m, strict=True)
        lines = [f"  [{minute:g}, {self.read(depth):.{self.digits}f}]," for minute, depth in pairs]
        return ["levels = [", *lines, "]"]

    def bucket_s(self, bucket_m3: float) -> float:
        """Time a bucket, to half a second [s]; its bias is in the truth's rate factor."""
        exact = bucket_m3 / self.truth.rate_m3s
        return round(2.0 * exact * math.exp(self.rng.normal(0.0, self.truth.bucket_error))) / 2.0


def weak_well(truth: Truth, rng: np.random.Generator, *, fine: bool) -> list[str]:
    """Write one test of the weak well: static, rates, buckets, levels."""
    book = Notebook(truth, rng, M_PER_FT, 0.01 if fine else 0.1, 2 if fine else 1)
    static = book.static()
    buckets = [f'[{minute:g}, "5 gal in {book.bucket_s(300.0 * M3S_PER_GPM):g} s"]' for minute in (9, 28, 55)]
    return [
        static,
        f"rates = [[0, {truth.rate_m3s / M3S_PER_GPM:.1f}], [{truth.stop_min:g}, 0]]",
        f"flows = [{', '.join(buckets)}]",
        *book.levels(cadence(truth.stop_min, 84.0)),
    ]


def two_fractures(truth: Truth, rng: np.random.Generator) -> list[str]:
    """Write the test of the well with two fractures, in meters and liters."""
    book = Notebook(truth, rng, 1.0, 0.01, 2)
    rates = f"rates = [[0, {truth.rate_m3s / LPM_M3S:.1f}], [{truth.stop_min:g}, 0]]"
    return [book.static(), rates, *book.levels(cadence(truth.stop_min, 84.0))]


def two_levels(truth: Truth, rng: np.random.Generator) -> list[str]:
    """Write two levels on the clock."""
    book = Notebook(truth, rng, M_PER_FT, 0.5, 1)
    first, second = truth.levels_m((0.0, 48.0))
    return [f'levels = [["15:20", {book.read(first):.1f}], ["16:08", {book.read(second):.1f}]]']


def readings(file: str, test: str) -> list[str]:
    """Make the lines of one test.

    Parameters
    ----------
    file, test
        Keys of `TRUTHS`.

    Returns
    -------
    list of str
        Lines of TOML.
    """
    truth, rng = TRUTHS[file][test], np.random.default_rng([SEED, *f"{file} {test}".encode()])
    if file == "weak-well":
        return weak_well(truth, rng, fine=test == "after")
    return two_fractures(truth, rng) if file == "two-fractures" else two_levels(truth, rng)


def with_readings(file: str, text: str) -> str:
    """Put the readings of every test into the text of a well file.

    Parameters
    ----------
    file
        Key of `TRUTHS`.
    text
        The file, with a pair of marks for every test.

    Returns
    -------
    str
        The file with everything between the marks made anew.

    Raises
    ------
    ValueError
        When a mark is missing.
    """
    for test in TRUTHS[file]:
        begin = f"{BEGIN}{file} {test}\n"
        before, found, rest = text.partition(begin)
        _, ended, after = rest.partition(END + "\n")
        if not (found and ended):
            raise ValueError(f"{file}: no line {begin.strip()!r} with {END!r} after it")
        text = "".join([before, begin, *(line + "\n" for line in readings(file, test)), END, "\n", after])
    return text


def stale_files() -> list[str]:
    """List the well files that do not hold what would be written.

    Returns
    -------
    list of str
        Names of files; none when all are fresh.
    """
    paths = {file: EXAMPLES / f"{file}.toml" for file in TRUTHS}
    texts = {file: path.read_text(encoding="utf-8") for file, path in paths.items()}
    return [paths[file].name for file, text in texts.items() if with_readings(file, text) != text]


def truth_lines() -> list[str]:
    """Write the truths and the yields they give, one test a paragraph."""
    lines = []
    for file, tests in TRUTHS.items():
        for test, truth in tests.items():
            rock = truth.rock
            deepest_m = float(truth.levels_m((truth.stop_min + 1e-6,))[0])
            lines += [
                f"{file}, {test}: T* {rock.transmissivity_m2s:g} m2/s, S* {rock.storativity:g}, "
                f"n {rock.flow_dimension:g}, skin {rock.skin:g}, rate x {truth.rate_factor:g}, "
                f"area x {truth.area_factor:g}",
                f"  held at {deepest_m:.2f} m ({deepest_m / M_PER_FT:.1f} ft), the deepest level: "
                + ", ".join(
                    f"{truth.yield_m3s(deepest_m, hours * S_PER_H) / M3S_PER_GPM:.3f} gpm for {hours} h"
                    for hours in (1, 24)
                ),
            ]
    return lines


def main() -> int:
    """Read the command line and write, check or print.

    Returns
    -------
    int
        1 when a file is stale.
    """
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument(
        "--check", action="store_true", help="write nothing; tell whether the files are fresh"
    )
    parser.add_argument("--truth", action="store_true", help="print the truths")
    given = parser.parse_args()
    if given.truth:
        print("\n".join(truth_lines()))
        return 0
    if given.check:
        stale = stale_files()
        print(f"stale: {', '.join(stale)}" if stale else "fresh", file=sys.stderr)
        return 1 if stale else 0
    for file in TRUTHS:
        path = EXAMPLES / f"{file}.toml"
        path.write_text(with_readings(file, path.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())

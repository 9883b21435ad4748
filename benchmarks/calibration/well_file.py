"""Write a synthetic well as the well file a crew would hand in: only what the crew knows."""

from __future__ import annotations

from benchmarks.calibration.crew import SyntheticWell


def as_well_file(well: SyntheticWell) -> str:
    """Write one synthetic well as a well file (TOML, US units).

    Parameters
    ----------
    well
        A synthetic well.

    Returns
    -------
    Text of the well file. Nothing of `well.truth` is in it.

    >>> from benchmarks.calibration.generator import make_well
    >>> print(as_well_file(make_well(3, "centered")).splitlines()[4])
    name = "synthetic centered 3"
    """
    readings = zip(well.minutes, well.levels_ft, strict=True)
    levels = ",\n".join(f"  [{minute:g}, {level:g}]" for minute, level in readings)
    fractures = "".join(f"\n[[fracture]]\ndepth = {depth:g}\n" for depth in well.fracture_depths_ft)
    return f"""format = 1
units = "us"

[well]
name = "synthetic {well.stratum} {well.seed}"

[[casing]]
top = 0
bottom = {well.casing_bottom_ft:g}
inside_diameter = {well.casing_diameter_in:g}

[[bore]]
top = {well.casing_bottom_ft:g}
bottom = {well.hole_depth_ft:g}
diameter = {well.hole_diameter_in:g}
{fractures}
[[test]]
name = "synthetic"
when = "other"
static_level = {well.static_level_ft:g}
method = "{well.method}"
pump_setting = {well.pump_ft:g}
rates = [[0, {well.rate_gpm:g}], [{well.pump_off_min}, 0]]
levels = [
{levels},
]
"""

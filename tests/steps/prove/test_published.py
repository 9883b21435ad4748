"""Published readings and wells of known truth, through the whole of prove: from a well file to its bands."""

from __future__ import annotations

import numpy as np
import pytest
from benchmarks.calibration.laplace_well import RockTruth, held_inflow
from tests.published.checks import Check, check
from tests.published.factors import DAY, M2_PER_DAY, MINUTE

from ledgewell.record import read_well
from ledgewell.steps.findings import Estimate
from ledgewell.steps.prove.answer import TestFindings, prove_well
from ledgewell.steps.prove.spread import Spread

STATIC_M = 20.0
"""Where the water is taken to stand at rest; the sources give changes of level only."""
CM2 = 1e-4


def found_for(text: str) -> TestFindings:
    """Return what prove finds for the one test of a well file, after a day at the deepest level tested."""
    return prove_well(read_well(text), durations_s=(DAY,)).tests[0]


def parameter(found: TestFindings, name: str) -> Spread:
    """Return the band of a parameter."""
    return dict(found.parameters)[name]


def holds(band: Spread | Estimate, value: float) -> bool:
    """Return whether a band holds a value."""
    return band.low <= value <= band.high


def dawsonville(moved: str) -> str:
    """Return the well file of the float test: the float let in (water put in), or the same told as a bail."""
    readings, volume = check("hydraulics-6b-readings"), check("hydraulics-6b-volume")
    sign = -1 if moved == "poured_in" else 1
    levels = ", ".join(
        f"[{float(time / MINUTE)!r}, {STATIC_M + sign * head:.3f}]"
        for time, head in zip(readings.values("time_s"), readings.values("head_m"), strict=True)
    )
    inside = 20 * readings.given["casing_radius_cm"]
    return (
        f'format = 1\nunits = "si"\n[[casing]]\ntop = 0\nbottom = {readings.given["cased_m"]}\n'
        f"inside_diameter = {inside}\n[[bore]]\ntop = {readings.given['cased_m']}\n"
        f"bottom = {readings.given['depth_m']}\ndiameter = {20 * readings.given['screen_radius_cm']}\n"
        f'[[test]]\nname = "float"\nstatic_level = {STATIC_M}\nmethod = "transducer"\n'
        f"{moved} = [[0, {volume.given['volume_l']}]]\nlevels = [{levels}]\n"
    )


@pytest.mark.published("hydraulics-6b-readings", "hydraulics-6b-printed", "hydraulics-6b-free")
@pytest.mark.parametrize("moved", ["poured_in", "bailed"])
def test_dawsonville(moved: str) -> None:
    printed, free = check("hydraulics-6b-printed"), check("hydraulics-6b-free")
    found = found_for(dawsonville(moved))
    assert found.fit.settled
    assert found.fit.misfit.noise
    assert found.fit.misfit.wrong == ()
    assert len(found.fit.layout.problem.readings) == len(check("hydraulics-6b-readings").values("time_s"))
    assert holds(parameter(found, "transmissivity_at_face"), printed.expected["t_cm2s"] * CM2)
    assert holds(parameter(found, "storativity_at_face"), printed.expected["s"])
    assert holds(parameter(found, "flow_dimension"), 2.0)
    curve = next(each for each in found.checks if each.source == "cooper1967")
    band = curve.value("transmissivity_at_face")
    assert isinstance(band, Spread)
    assert band.mid == pytest.approx(free.expected["t_cm2s"] * CM2, rel=free.relative)
    line = next(each for each in found.checks if each.source == "hvorslev1951")
    assert not line.valid
    assert "water stored in the rock bends it" in line.why


def low_yield(pumped: Check, rested: Check, last_min: float) -> str:
    """Return the well file of scenario A, its levels written to the millimeter, recovery read to a time."""
    stop = pumped.given["pumping_min"]
    during = zip(pumped.inputs("time_min"), pumped.values("drawdown_m"), strict=True)
    after = zip(rested.inputs("time_since_stop_min") + stop, rested.values("residual_m"), strict=True)
    levels = ", ".join(f"[{t:g}, {STATIC_M + s:.3f}]" for t, s in (*during, *after) if t <= stop + last_min)
    return (
        'format = 1\nunits = "si"\n[[bore]]\ntop = 0\nbottom = 60\n'
        f"diameter = {2000 * pumped.given['casing_radius_m']}\n"
        f'[[test]]\nname = "A"\nstatic_level = {STATIC_M}\nmethod = "steel tape"\n'
        f"rates = [[0, {pumped.given['flow_m3d'] / 1.44!r}], [{stop}, 0]]\nlevels = [{levels}]\n"
    )


@pytest.mark.published("hydraulics-3h-pump", "hydraulics-3h-recovery")
@pytest.mark.parametrize("last_min", [60.0, 240.0])
def test_whole_low_yield_well(last_min: float) -> None:
    pumped, rested = check("hydraulics-3h-pump"), check("hydraulics-3h-recovery")
    transmissivity = pumped.given["t_m2d"] * M2_PER_DAY
    found = found_for(low_yield(pumped, rested, last_min))
    assert found.fit.settled
    assert found.fit.misfit.noise
    assert holds(parameter(found, "transmissivity_at_face"), transmissivity)
    assert holds(parameter(found, "flow_dimension"), 2.0)
    rock = RockTruth(
        transmissivity_m2s=transmissivity,
        storativity=pumped.given["s"],
        flow_dimension=2.0,
        skin=pumped.given["skin"],
        well_radius_m=pumped.given["well_radius_m"],
    )
    deepest = float(pumped.values("drawdown_m")[-1])
    truth = float(held_inflow(rock, deepest, np.array([DAY]))[0])
    band = found.yields[0].rate
    assert holds(band, truth)
    assert band.high / band.low < 1.5
    lines = [each for each in found.checks if each.source in ("cooper1946", "theis1935")]
    assert len(lines) == 3  # two straight lines and the specific capacity, all bent by the hole's own water
    assert not any(each.valid or each.value("transmissivity") for each in lines)

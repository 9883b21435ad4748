"""Invented inputs for the chart tests, and a reader that takes an SVG apart without the code under test."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from dataclasses import dataclass

from ledgewell import figures as f

FOOT = 0.3048
GALLON = 231 * 0.0254**3
GPM = GALLON / 60
INCH = 0.0254
SVG = "{http://www.w3.org/2000/svg}"

HOSTILE = '</text><script>alert("x")</script> & \x00\x0b\ud800 \u202e日本 ' + "W" * 90
"""A name with markup, characters XML forbids, a mark that turns writing round, and a very long word."""

MINUTES = [1.0, 2, 5, 8, 10, 15, 20, 30, 40, 50, 60, 62, 64, 68, 75, 80, 85, 92]
STATIC_FT = 38.5
PUMP_OFF_MIN = 61.0


def level_ft(minute: float) -> float:
    """An invented level: falling while pumped, rising afterwards; not a model of anything."""
    if minute <= PUMP_OFF_MIN:
        return STATIC_FT + 249.5 * (1 - math.exp(-minute / 45))
    return STATIC_FT + (level_ft(PUMP_OFF_MIN) - STATIC_FT) * math.exp(-(minute - PUMP_OFF_MIN) / 120)


def readings() -> f.LevelReadings:
    """Levels with a known miss of ±0.5 ft, alternating."""
    misses = [0.5 if index % 2 else -0.5 for index in range(len(MINUTES))]
    depths = [(level_ft(minute) + miss) * FOOT for minute, miss in zip(MINUTES, misses, strict=True)]
    kinds: list[f.levels.ReadingKind] = [
        "pumping" if minute <= PUMP_OFF_MIN else "recovery" for minute in MINUTES
    ]
    return f.LevelReadings(time_s=[60 * minute for minute in MINUTES], depth_m=depths, kinds=kinds)


def fit() -> f.LevelFit:
    """The invented level itself with a band of ±3 ft."""
    minutes = [0.5 * step for step in range(185)]
    mid = [level_ft(minute) * FOOT for minute in minutes]
    return f.LevelFit(
        time_s=[60 * minute for minute in minutes],
        low_m=[value - 3 * FOOT for value in mid],
        mid_m=mid,
        high_m=[value + 3 * FOOT for value in mid],
        at_readings_m=[level_ft(minute) * FOOT for minute in MINUTES],
    )


def heading(name: str = "Lower pasture") -> f.Heading:
    """Words around a chart."""
    return f.Heading(
        well=name,
        test="after",
        sentence="About 4.1 gpm at 290 ft for a day (3.5 to 4.9).",
        notice="Invented data",
        source_note="Levels by electric tape.",
        sources=("barker1988",),
    )


def levels(units: f.System = "us", name: str = "Lower pasture") -> f.Figure:
    """A yield test with everything shown."""
    rate = f.PumpRate(
        set_time_s=[0, 60 * PUMP_OFF_MIN],
        set_m3s=[7 * GPM, 0],
        measured_time_s=[600, 1800],
        measured_m3s=[7.1 * GPM, 6.9 * GPM],
    )
    return f.levels_figure(
        readings(),
        units=units,
        fit=fit(),
        rate=rate,
        static_level_m=STATIC_FT * FOOT,
        pump_intake_m=300 * FOOT,
        pump_off_s=[60 * PUMP_OFF_MIN],
        reading_error_m=0.4 * FOOT,
        heading=heading(name),
    )


def inflow_curve() -> f.InflowCurve:
    """Inflow rising with the level to a fracture at 310 ft, tested to 290 ft."""
    depths = [38.5, 100, 172, 250, 310, 420]
    mid = [0, 1.0, 2.2, 3.5, 4.4, 4.4]
    return f.InflowCurve(
        level_m=[depth * FOOT for depth in depths],
        low_m3s=[0.85 * value * GPM for value in mid],
        mid_m3s=[value * GPM for value in mid],
        high_m3s=[1.2 * value * GPM for value in mid],
        tested_to_m=290 * FOOT,
    )


def inflow(units: f.System = "us", name: str = "Lower pasture") -> f.Figure:
    """Inflow against level."""
    return f.inflow_figure(
        inflow_curve(),
        units=units,
        static_level_m=38.5 * FOOT,
        fractures_m=[172 * FOOT, 310 * FOOT],
        measured_level_m=[250 * FOOT],
        measured_m3s=[3.6 * GPM],
        heading=heading(name),
    )


def duration(units: f.System = "us", name: str = "Lower pasture") -> f.Figure:
    """Yield against duration after a test of three hours."""
    mid = [4.9, 4.5, 4.3, 4.1, 2.9, 2.1]
    data = f.YieldByDuration(
        duration_s=[3600 * hours for hours in (1, 4, 10, 24, 720, 4320)],
        low_m3s=[0.8 * value * GPM for value in mid],
        mid_m3s=[value * GPM for value in mid],
        high_m3s=[1.25 * value * GPM for value in mid],
        level_m=290 * FOOT,
        test_s=3 * 3600,
    )
    return f.duration_figure(data, units=units, heading=heading(name))


def derivative(units: f.System = "us", name: str = "Lower pasture") -> f.Figure:
    """Drawdown and derivative of the pumped part."""
    minutes = [minute for minute in MINUTES if minute <= PUMP_OFF_MIN]
    drawdown = [(level_ft(minute) - STATIC_FT) * FOOT for minute in minutes]
    slope = [249.5 * minute / 45 * math.exp(-minute / 45) * FOOT for minute in minutes]
    times = [60 * minute for minute in minutes]
    return f.derivative_figure(
        f.TimeCurve(time_s=times, value_m=drawdown),
        f.TimeCurve(time_s=times, value_m=[-0.1, *slope[1:]]),
        units=units,
        fitted_drawdown=f.TimeCurve(time_s=times, value_m=drawdown),
        fitted_derivative=f.TimeCurve(time_s=times, value_m=slope),
        storage_ms=5.4 * FOOT / 60,
        heading=heading(name),
    )


def stored(units: f.System = "us", name: str = "Lower pasture") -> f.Figure:
    """Stored water and air-lifted flow."""
    return f.stored_figure(
        f.StoredByDepth(
            depth_m=[38.5 * FOOT, 62 * FOOT, 505 * FOOT], volume_m3=[0, 35 * GALLON, 741 * GALLON]
        ),
        f.AirliftByDepth(bit_depth_m=[180 * FOOT, 320 * FOOT], flow_m3s=[0.25 * GPM, 1.0 * GPM]),
        units=units,
        static_level_m=38.5 * FOOT,
        marked=[(62 * FOOT, "casing shoe 62 ft")],
        heading=heading(name),
    )


def flow_band(low: float, mid: float, high: float) -> f.FlowBand:
    """A band in gpm."""
    return f.FlowBand(low_m3s=low * GPM, mid_m3s=mid * GPM, high_m3s=high * GPM)


def comparison(units: f.System = "us", name: str = "Lower pasture") -> f.Figure:
    """Before and after at three durations."""
    data = f.BeforeAfter(
        level_m=290 * FOOT,
        duration_s=[3600, 36000, 86400],
        before=[flow_band(0.9, 1.2, 1.6), flow_band(0.7, 1.0, 1.4), flow_band(0.5, 0.8, 1.2)],
        after=[flow_band(4.4, 4.9, 5.4), flow_band(3.8, 4.3, 5.0), flow_band(3.5, 4.1, 4.9)],
        chance_rose=0.998,
        factor=(3.1, 4.4, 6.2),
    )
    return f.comparison_figure(data, units=units, heading=heading(name))


BUILDERS = {
    "levels": levels,
    "inflow": inflow,
    "duration": duration,
    "derivative": derivative,
    "stored": stored,
    "comparison": comparison,
}


def section(name: str = "Lower pasture") -> f.SectionSpec:
    """A hole with everything in it."""
    return f.SectionSpec(
        title=name,
        sentence="505 ft in gneiss and granite.",
        notice="Invented data",
        source_note="Driller's log.",
        ground_m=1.5 * FOOT,
        bottom_m=505 * FOOT,
        casings=(
            f.SectionCasing(
                top_m=0.0,
                bottom_m=62 * FOOT,
                inside_diameter_m=6.065 * INCH,
                outside_diameter_m=6.625 * INCH,
                shoe=True,
                annulus="sealed",
            ),
        ),
        bores=(
            f.SectionBore(top_m=1.5 * FOOT, bottom_m=64 * FOOT, diameter_m=10 * INCH),
            f.SectionBore(top_m=64 * FOOT, bottom_m=505 * FOOT, diameter_m=6.25 * INCH),
        ),
        strata=(
            f.SectionStratum(top_m=1.5 * FOOT, bottom_m=14 * FOOT, rock="till, brown"),
            f.SectionStratum(top_m=14 * FOOT, bottom_m=310 * FOOT, rock=name, symbol="708"),
            f.SectionStratum(top_m=310 * FOOT, bottom_m=505 * FOOT, rock="granite, pink", symbol="718"),
        ),
        fractures=(
            f.SectionFracture(
                top_m=172 * FOOT, bottom_m=172 * FOOT, airlift_m3s=0.25 * GPM, bit_depth_m=180 * FOOT
            ),
            f.SectionFracture(top_m=310 * FOOT, bottom_m=318 * FOOT, airlift_m3s=1.0 * GPM),
        ),
        cameras=(f.SectionCamera(top_m=168 * FOOT, bottom_m=176 * FOOT, text=f"inflow, north side, {name}"),),
        seats=(f.SectionSeat(top_m=262 * FOOT, length_m=1.2, label="packer seat, stage 1"),),
        levels=(
            f.SectionLevel(depth_m=38.5 * FOOT, kind="static"),
            f.SectionLevel(depth_m=288 * FOOT, kind="pumping"),
        ),
        pump=f.SectionPump(intake_m=420 * FOOT, diameter_m=3.9 * INCH, pipe_outside_diameter_m=1.315 * INCH),
    )


@dataclass(frozen=True, slots=True)
class Written:
    """A line of text found in an SVG."""

    text: str
    x: float
    y: float
    size: float
    anchor: str
    style: str

    def edges(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom by a rule of its own, rounded up from the advances of Helvetica.

        Adobe Core 14 metrics, from memory: thin letters and spaces 0.22 to 0.33 em, m and w 0.72 to 0.94,
        other capitals up to 0.78, everything else at most 0.556.
        """
        width = self.size * sum(advance(letter) for letter in self.text)
        left = self.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * width
        return left, self.y - 0.72 * self.size, left + width, self.y + 0.2 * self.size


def advance(letter: str) -> float:
    """A letter's width in em, rounded up by kind."""
    if letter in " ijltfI.,:;'|()!/-":
        return 0.33
    if letter in "mwMW%±→−":
        return 0.94
    return 0.78 if letter.isupper() else 0.556


def parsed(svg: str) -> ElementTree.Element:
    """Parse an SVG we made ourselves."""
    return ElementTree.fromstring(svg)


def written(root: ElementTree.Element) -> Iterator[Written]:
    """Find every line of text with its place, size and style."""
    for group in root.iter(f"{SVG}g"):
        for text in group.findall(f"{SVG}text"):
            yield Written(
                text="".join(text.itertext()),
                x=float(text.attrib["x"]),
                y=float(text.attrib["y"]),
                size=float(group.attrib["font-size"]),
                anchor=text.attrib.get("text-anchor", "start"),
                style=group.attrib["class"],
            )


def paths(root: ElementTree.Element, pen: str) -> list[list[tuple[float, float]]]:
    """Find the corners of every path drawn with a pen."""
    found = []
    for group in root.iter(f"{SVG}g"):
        if group.attrib["class"] == f"lw-{pen}":
            for path in group.findall(f"{SVG}path"):
                numbers = [float(number) for number in re.findall(r"-?\d+\.?\d*", path.attrib["d"])]
                found.append(list(zip(numbers[::2], numbers[1::2], strict=True)))
    return found


def circles(root: ElementTree.Element, pen: str) -> list[tuple[float, float]]:
    """Find the centers of every circle drawn with a pen."""
    return [
        (float(circle.attrib["cx"]), float(circle.attrib["cy"]))
        for group in root.iter(f"{SVG}g")
        if group.attrib["class"] == f"lw-{pen}"
        for circle in group.findall(f"{SVG}circle")
    ]

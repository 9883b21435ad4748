"""Charts read back off their own printed axes: points, lines and bands stand where the numbers say.

The reader knows nothing of the layout: it takes the tick marks and their labels from the SVG, draws a straight
(or logarithmic) scale through them as a person with a ruler would, and reads the data back.
Tolerance: coordinates are written to 0.01 units, and a plot is some 300 units across.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from tests.figures import samples as s

from ledgewell import figures as f


def ruler(pairs: list[tuple[float, float]], *, logarithmic: bool = False) -> Callable[[float], float]:
    """Make a scale from (place, value) pairs, held to every one of them."""
    place = [position for position, _ in pairs]
    value = [math.log(number) if logarithmic else number for _, number in pairs]
    slope = (value[-1] - value[0]) / (place[-1] - place[0])
    for at, number in zip(place, value, strict=True):
        assert value[0] + slope * (at - place[0]) == pytest.approx(number, abs=0.03 * abs(slope))

    def read(position: float) -> float:
        number = value[0] + slope * (position - place[0])
        return math.exp(number) if logarithmic else number

    return read


def number(text: str) -> float | None:
    """A tick label as a number, or None."""
    try:
        return float(text.replace("−", "-").replace(",", ""))
    except ValueError:
        return None


def axis_labels(root: s.ElementTree.Element, anchor: str) -> list[tuple[s.Written, float]]:
    """Tick labels with their numbers: those of left axes end at their mark, those of bottom axes center on it."""
    return [
        (label, value)
        for label in s.written(root)
        if label.style == "lw-text-tick"
        and label.anchor == anchor
        and (value := number(label.text)) is not None
    ]


def tick_at(marks: list[float], place: float) -> float:
    """The tick mark nearest a label."""
    return min(marks, key=lambda mark: abs(mark - place))


def rulers(
    root: s.ElementTree.Element, *, logarithmic: bool = False
) -> tuple[Callable[[float], float], list]:
    """The horizontal scale, and a vertical scale for each panel from the top down with its reach."""
    ticks = s.paths(root, "tick")
    upright = [path[0][0] for path in ticks if path[0][0] == path[1][0]]
    level = [path[0][1] for path in ticks if path[0][1] == path[1][1]]
    across = ruler(
        [(tick_at(upright, label.x), value) for label, value in axis_labels(root, "middle")],
        logarithmic=logarithmic,
    )
    boxes = sorted(s.paths(root, "sheet"), key=lambda path: path[0][1])
    panels = []
    for box in boxes:
        top, bottom = box[0][1], box[2][1]
        labels = [
            (label, value) for label, value in axis_labels(root, "end") if top - 3 < label.y < bottom + 8
        ]
        pairs = sorted((tick_at(level, label.y - 4), value) for label, value in labels)
        panels.append((top, bottom, ruler(pairs, logarithmic=logarithmic)))
    return across, panels


@pytest.mark.parametrize("width", [390.0, 720.0])
@pytest.mark.parametrize(("units", "foot"), [("us", 1.0), ("si", s.FOOT)])
def test_levels_and_residuals_read_back(units: f.System, foot: float, width: float) -> None:
    root = s.parsed(f.svg_from_figure(s.levels(units), width=width))
    across, panels = rulers(root)
    (top, bottom, depth), (residual_top, residual_bottom, residual), _ = panels
    pumped = [minute for minute in s.MINUTES if minute <= s.PUMP_OFF_MIN]
    rings = s.circles(root, "measured-ink")
    main = [(x, y) for x, y in rings if top < y < bottom]
    under = [(x, y) for x, y in rings if residual_top < y < residual_bottom]
    assert len(main) == len(under) == len(pumped)
    for index, (minute, (x, y), (rx, ry)) in enumerate(zip(pumped, main, under, strict=True)):
        miss = 0.5 if index % 2 else -0.5
        assert across(x) == pytest.approx(minute, abs=0.02)
        assert across(rx) == pytest.approx(minute, abs=0.02)
        assert depth(y) == pytest.approx((s.level_ft(minute) + miss) * foot, abs=0.1 * foot)
        assert residual(ry) == pytest.approx(miss * foot, abs=0.01 * foot)


def test_depth_runs_down_and_the_band_holds_the_line() -> None:
    root = s.parsed(f.svg_from_figure(s.levels()))
    across, ((_, _, depth), *_) = rulers(root)
    # The first of each is the sample in the key.
    _, line = s.paths(root, "modelled-water")
    _, band = s.paths(root, "band-water")
    out, back = band[: len(line)], band[len(line) :][::-1]
    for (x, y), low, high in zip(line, out, back, strict=True):
        assert low[0] == high[0] == x
        # Shallow is up: the least depth of the band has the smaller height.
        assert low[1] < y < high[1]
        assert depth(y) == pytest.approx(s.level_ft(across(x)), abs=0.15)
        assert depth(high[1]) - depth(low[1]) == pytest.approx(6.0, abs=0.05)


def test_inflow_changes_look_where_testing_ended() -> None:
    root = s.parsed(f.svg_from_figure(s.inflow()))
    across, ((_, _, depth),) = rulers(root)
    tested, untested = s.paths(root, "modelled-water")[-1], s.paths(root, "untested-water")[-1]
    assert tested[-1] == untested[0]
    assert depth(tested[-1][1]) == pytest.approx(290, abs=0.1)
    # By hand: 3.5 gpm at 250 ft and 4.4 gpm at 310 ft, two thirds of the way between.
    assert across(tested[-1][0]) == pytest.approx(3.5 + 0.9 * 40 / 60, abs=0.01)
    assert depth(untested[-1][1]) == pytest.approx(420, abs=0.1)


def test_logarithmic_axes_read_back() -> None:
    root = s.parsed(f.svg_from_figure(s.derivative()))
    across, ((_, _, up),) = rulers(root, logarithmic=True)
    minutes = [minute for minute in s.MINUTES if minute <= s.PUMP_OFF_MIN]
    key, rings = s.circles(root, "measured-ink")[:2], s.circles(root, "measured-ink")[2:]
    assert key[0][1] == key[1][1]
    assert len(rings) == len(minutes)
    for minute, (x, y) in zip(minutes, rings, strict=True):
        assert across(x) == pytest.approx(minute, rel=2e-3)
        assert up(y) == pytest.approx(s.level_ft(minute) - s.STATIC_FT, rel=2e-3)


def test_storage_line_has_slope_one() -> None:
    root = s.parsed(f.svg_from_figure(s.derivative()))
    across, ((_, _, up),) = rulers(root, logarithmic=True)
    line = s.paths(root, "computed-ink")[-1]
    for x, y in line:
        assert up(y) == pytest.approx(5.4 * across(x), rel=5e-3)


def test_before_and_after_bars_read_back() -> None:
    root = s.parsed(f.svg_from_figure(s.comparison()))
    ticks = [path[0][0] for path in s.paths(root, "tick") if path[0][0] == path[1][0]]
    across = ruler([(tick_at(ticks, label.x), value) for label, value in axis_labels(root, "middle")])
    top = min(path[0][1] for path in s.paths(root, "sheet"))
    for pen, bands in (
        ("bar-clay", [(0.9, 1.6), (0.7, 1.4), (0.5, 1.2)]),
        ("bar-water", [(4.4, 5.4), (3.8, 5), (3.5, 4.9)]),
    ):
        bars = sorted((path for path in s.paths(root, pen) if path[0][1] > top), key=lambda path: path[0][1])
        read = [(across(min(x for x, _ in bar)), across(max(x for x, _ in bar))) for bar in bars]
        assert read == [pytest.approx(band, abs=0.01) for band in bands]


def test_durations_are_spaced_by_their_logarithms() -> None:
    root = s.parsed(f.svg_from_figure(s.duration()))
    names = {"1 h": 1, "4 h": 4, "10 h": 10, "24 h": 24, "30 d": 720, "180 d": 4320}
    labels = [label for label in s.written(root) if label.text in names and label.style == "lw-text-tick"]
    assert [label.text for label in labels] == list(names)
    ruler([(label.x, names[label.text]) for label in labels], logarithmic=True)

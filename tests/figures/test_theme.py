"""The palette: readable, apart for color-blind eyes and in grey, and never the only sign."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from tests.figures import samples as s

from ledgewell.figures.canvas import Stroke
from ledgewell.figures.layout import drawing_from_figure
from ledgewell.figures.section.draw import drawing_from_section
from ledgewell.figures.strokes import band_pen, bar_pen, line_pen
from ledgewell.figures.theme import LETTERING, PENS, THEMES, Theme, stylesheet

# Machado, Oliveira & Fernandes (2009), severity 1.0, on linear RGB (from memory).
MACHADO = {
    "protan": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deutan": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "tritan": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}


def linear(color: str) -> np.ndarray:
    """sRGB to linear light (IEC 61966-2-1, from memory)."""
    channels = np.array([int(color[index : index + 2], 16) / 255 for index in (1, 3, 5)])
    return np.where(channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4)


def luminance(color: str) -> float:
    """Relative luminance (WCAG 2, from memory)."""
    return float(np.array([0.2126, 0.7152, 0.0722]) @ linear(color))


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2, from memory)."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def lab(light: np.ndarray) -> np.ndarray:
    """Linear sRGB to CIE L*a*b*, D65 (from memory)."""
    to_xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    ratio = to_xyz @ np.clip(light, 0, 1) / np.array([0.9505, 1.0, 1.089])
    root = np.where(ratio > 0.008856, np.cbrt(ratio), 7.787 * ratio + 16 / 116)
    return np.array([116 * root[1] - 16, 500 * (root[0] - root[1]), 200 * (root[1] - root[2])])


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES)
def test_text_can_be_read(theme: Theme) -> None:
    least = 7.0 if theme.name == "sunlight" else 4.5
    for lettering in LETTERING.values():
        for ground in (theme.paper, theme.sheet):
            assert contrast(theme.color(lettering.role), ground) >= least
    # Labels over a band, notes over patterned ground.
    assert contrast(theme.ink, theme.water_tint) >= 4.5
    assert contrast(theme.ink, theme.ground) >= 4.5


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES)
def test_lines_stand_out(theme: Theme) -> None:
    # WCAG 2.1, 1.4.11: graphical objects need 3 to 1.
    for color in (theme.ink, theme.water, theme.clay, theme.steel, theme.stone):
        assert contrast(color, theme.sheet) >= 3.0
    assert contrast(theme.water, theme.water_tint) >= 3.0


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES)
@pytest.mark.parametrize("eye", ["full", *MACHADO])
def test_colors_stay_apart_for_color_blind_eyes(theme: Theme, eye: str) -> None:
    matrix = np.eye(3) if eye == "full" else np.array(MACHADO[eye])
    seen = {name: lab(matrix @ linear(theme.color(name))) for name in ("ink", "water", "clay")}
    for one, other in itertools.combinations(seen, 2):
        # A difference of 20 is plain to anyone; 2.3 is just noticed.
        assert np.linalg.norm(seen[one] - seen[other]) > 20, (one, other)


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES)
def test_bands_show_in_grey(theme: Theme) -> None:
    assert contrast(theme.water_tint, theme.sheet) >= 1.2
    assert contrast(theme.grid, theme.sheet) >= 1.1


def look(pen: str) -> tuple[object, ...]:
    """What of a pen is left without color."""
    found = PENS[pen]
    return found.width, found.dash, found.fill is not None, found.hatch is not None


def test_status_shows_without_color() -> None:
    for ink in ("ink", "water", "clay"):
        statuses = ("computed", "modelled", "untested", "projection")
        assert len({look(line_pen(status, ink)) for status in statuses}) == 4
        assert look(band_pen("modelled", ink)) != look(band_pen("untested", ink))
        assert look(bar_pen("modelled", ink)) != look(bar_pen("projection", ink))
    # Before and after differ by hatching too.
    assert look(bar_pen("modelled", "clay")) != look(bar_pen("modelled", "water"))


def test_every_pen_in_use_is_in_the_case() -> None:
    drawings = [drawing_from_figure(build()) for build in s.BUILDERS.values()]
    drawings.append(drawing_from_section(s.section(), units="us"))
    used = {shape.pen for drawing in drawings for shape in drawing.shapes if isinstance(shape, Stroke)}
    assert used <= set(PENS)


def test_the_stylesheet_covers_every_pen_in_every_light() -> None:
    rules = stylesheet()
    for theme in THEMES:
        for pen in PENS:
            assert rules.count(f".lw-{theme} .lw-{pen}{{") == 1
        for style in LETTERING:
            assert rules.count(f".lw-{theme} .lw-text-{style}{{") == 1

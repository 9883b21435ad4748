"""From a spec to SVG text in one call, and the name of the file it goes into."""

from __future__ import annotations

import unicodedata

from ledgewell.figures.layout import DEFAULT_WIDTH, drawing_from_figure
from ledgewell.figures.section.draw import drawing_from_section
from ledgewell.figures.section.spec import SectionSpec
from ledgewell.figures.spec import Figure
from ledgewell.figures.svg import svg_from_drawing
from ledgewell.figures.theme import ThemeName
from ledgewell.figures.typeface import FONT_FAMILY
from ledgewell.units import System

LONGEST_PART = 40
NAMELESS = "unnamed"


def svg_from_figure(
    figure: Figure,
    *,
    theme: ThemeName = "day",
    width: float = DEFAULT_WIDTH,
    words: bool = True,
    text_scale: float = 1.0,
    font_family: str = FONT_FAMILY,
) -> str:
    """Draw a chart as SVG.

    Parameters
    ----------
    figure
        What it shows.
    theme
        The light it is seen in: ``day``, ``dark``, ``sunlight`` or ``print``.
    width
        Width [CSS pixels]; under 560 it is laid out for a phone. At least 280.
    words
        Whether title, sentence, caption and source note are part of the drawing.
    text_scale
        Factor on every font size.
    font_family
        CSS list of faces; none wider than DejaVu Sans, or labels may touch.

    Returns
    -------
    str
        A complete SVG document, the same bytes for the same figure.

    Raises
    ------
    RangeError
        When the width is under 280.

    Examples
    --------
    >>> from ledgewell.figures import StoredByDepth, AirliftByDepth, stored_figure
    >>> stored = StoredByDepth(depth_m=[10.0, 100.0], volume_m3=[0.0, 1.64])
    >>> figure = stored_figure(stored, AirliftByDepth(), units="si")
    >>> svg_from_figure(figure, width=390.0).count("<title")
    1
    """
    drawing = drawing_from_figure(figure, width, words=words, text_scale=text_scale)
    return svg_from_drawing(drawing, theme, font_family=font_family)


def svg_from_section(
    spec: SectionSpec,
    *,
    units: System,
    theme: ThemeName = "day",
    width: float = DEFAULT_WIDTH,
    height: float | None = None,
    words: bool = True,
    text_scale: float = 1.0,
    font_family: str = FONT_FAMILY,
) -> str:
    """Draw the section of a hole as SVG.

    Parameters
    ----------
    spec
        The hole.
    units
        Unit system of depths, widths and flows.
    theme
        The light it is seen in: ``day``, ``dark``, ``sunlight`` or ``print``.
    width
        Width [CSS pixels]; under 560 for a phone, under 280 a strip without notes. At least 96.
    height
        Height of the drawn stretch of depth [CSS pixels]; it grows when the notes need more.
    words
        Whether title, sentence, caption and source note are part of the drawing.
    text_scale
        Factor on every font size.
    font_family
        CSS list of faces; none wider than DejaVu Sans, or notes may touch.

    Returns
    -------
    str
        A complete SVG document. ``data-top-m``, ``data-bottom-m``, ``data-top`` and ``data-bottom`` on its
        root say at which heights depths lie.

    Raises
    ------
    RangeError
        When the width is under 96.

    Examples
    --------
    >>> svg_from_section(SectionSpec(bottom_m=154.0), units="si").count('data-bottom-m="154"')
    1
    """
    drawing = drawing_from_section(
        spec, units=units, width=width, height=height, words=words, text_scale=text_scale
    )
    return svg_from_drawing(drawing, theme, font_family=font_family)


def file_name(well: str, test: str, chart: str) -> str:
    """Name the file of a chart, safe on any file system whatever the names hold.

    Parameters
    ----------
    well, test
        Names as typed; an empty test is left out.
    chart
        Key of the chart, such as ``levels``.

    Returns
    -------
    str
        Lower-case ASCII letters, digits and hyphens, ending in ``.svg``. Different names may give the same
        file name; the caller numbers them apart.

    Examples
    --------
    >>> file_name("Lower pasture #2", "after", "levels"), file_name("../../etc", "", "inflow")
    ('lower-pasture-2-after-levels.svg', 'etc-inflow.svg')
    """
    parts = [_plain_name(well) or NAMELESS, _plain_name(test), _plain_name(chart)]
    return "-".join(part for part in parts if part) + ".svg"


def _plain_name(name: str) -> str:
    letters = (
        each for each in unicodedata.normalize("NFKD", name).lower() if not unicodedata.combining(each)
    )
    spaced = "".join(letter if letter.isascii() and letter.isalnum() else " " for letter in letters)
    return "-".join(spaced.split())[:LONGEST_PART].strip("-")

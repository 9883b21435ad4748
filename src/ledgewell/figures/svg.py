"""A drawing written as SVG: the same bytes for the same drawing, safe with any text, readable aloud."""

from __future__ import annotations

import hashlib
import itertools
from xml.sax.saxutils import escape, quoteattr

from ledgewell.figures.canvas import Disc, Drawing, Shape, Stroke, Text, number
from ledgewell.figures.lithology import PATTERNS, Pattern
from ledgewell.figures.theme import HATCH_PITCH, HATCH_WIDTH, LETTERING, PENS, THEMES, Role, Theme, ThemeName
from ledgewell.figures.typeface import FONT_FAMILY

REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
HALO_WIDTH = 3.0


def is_printable(character: str) -> bool:
    """Say whether a character may stand in the drawing.

    Parameters
    ----------
    character
        A single character.

    Returns
    -------
    bool
        False for what XML forbids (control characters, lone surrogates, non-characters) and for the marks
        that turn the direction of writing and could make a number read backwards.

    Examples
    --------
    >>> is_printable("é"), is_printable(chr(0)), is_printable(chr(0x202E))
    (True, False, False)
    """
    code = ord(character)
    if code < 0x20 or 0x7F <= code <= 0x9F or 0xD800 <= code <= 0xDFFF:
        return False
    if code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF:
        return False
    return not (0x202A <= code <= 0x202E or 0x2066 <= code <= 0x2069)


def clean_text(text: str) -> str:
    """Make any text safe to draw: one line, without characters XML forbids.

    Parameters
    ----------
    text
        Text as someone typed it.

    Returns
    -------
    str
        The same, white space made spaces, other unprintable characters shown as U+FFFD. Not escaped.

    Examples
    --------
    >>> clean_text("Smith\\n<well>")
    'Smith <well>'
    """
    spaced = ("\x20" if character in "\t\n\r\x85\u2028\u2029" else character for character in text)
    return "".join(character if is_printable(character) else REPLACEMENT for character in spaced)


def svg_from_drawing(drawing: Drawing, theme: ThemeName = "day", *, font_family: str = FONT_FAMILY) -> str:
    """Write a drawing as SVG text.

    Parameters
    ----------
    drawing
        The shapes.
    theme
        The light it is seen in.
    font_family
        CSS list of faces; none wider than DejaVu Sans, or labels may touch.

    Returns
    -------
    str
        A complete SVG document, ending in a newline. Colors are attributes, so that it prints anywhere; every
        shape has a class too, so that a page can recolor it with the stylesheet.

    Examples
    --------
    >>> drawing = Drawing(name="dot", title="A <dot>", description="One.", width=10, height=10, shapes=())
    >>> svg_from_drawing(drawing).splitlines()[1].partition(">")[2]
    'A &lt;dot&gt;</title>'
    """
    prefix = _prefix(drawing)
    width, height = number(drawing.width), number(drawing.height)
    data = "".join(f" data-{key}={quoteattr(clean_text(value))}" for key, value in drawing.data)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}"'
        f' height="{height}"'
        f' role="img" aria-labelledby="{prefix}-title {prefix}-desc" class="lw-drawing lw-{theme}" lang="en"'
        f" font-family={quoteattr(font_family)}{data}>"
    )
    words = (
        f'<title id="{prefix}-title">{escape(clean_text(drawing.title))}</title>',
        f'<desc id="{prefix}-desc">{escape(clean_text(drawing.description))}</desc>',
    )
    colors = THEMES[theme]
    body = _definitions(drawing, prefix, colors) + _groups(drawing.shapes, prefix, colors)
    return "\n".join((head, *words, *body, "</svg>", ""))


def _prefix(drawing: Drawing) -> str:
    """Make ids that differ between drawings on one page, and never between two runs."""
    mark = hashlib.sha256(
        repr((drawing.title, drawing.description, drawing.shapes)).encode("utf-8", "replace")
    )
    return f"lw-{drawing.name}-{mark.hexdigest()[:8]}"


def _definitions(drawing: Drawing, prefix: str, theme: Theme) -> list[str]:
    strokes = [shape for shape in drawing.shapes if isinstance(shape, Stroke | Disc)]
    hatches = sorted({hatch for shape in strokes if (hatch := PENS[shape.pen].hatch)})
    tiles = sorted({shape.tile for shape in strokes if isinstance(shape, Stroke) and shape.tile})
    if not hatches and not tiles:
        return []
    inner = [_hatch(prefix, role, theme) for role in hatches]
    inner += [_tile(prefix, PATTERNS[code], theme) for code in tiles]
    return ["<defs>", *inner, "</defs>"]


def _hatch(prefix: str, role: Role, theme: Theme) -> str:
    pitch = number(HATCH_PITCH)
    return (
        f'<pattern id="{prefix}-hatch-{role}" width="{pitch}" height="{pitch}" patternUnits="userSpaceOnUse"'
        f' patternTransform="rotate(45)"><path d="M0 0V{pitch}" class="lw-hatch-{role}"'
        f' stroke="{theme.color(role)}" stroke-width="{number(HATCH_WIDTH * 2)}"/></pattern>'
    )


def _tile(prefix: str, pattern: Pattern, theme: Theme) -> str:
    color = theme.color("stone")
    paths = ""
    if pattern.lines:
        drawn = f'class="lw-hatch-stone" fill="none" stroke="{color}" stroke-width="1"'
        paths += f'<path d="{pattern.lines}" {drawn}/>'
    if pattern.solids:
        paths += f'<path d="{pattern.solids}" class="lw-stone" fill="{color}"/>'
    return (
        f'<pattern id="{prefix}-rock-{pattern.code}" width="{number(pattern.width)}"'
        f' height="{number(pattern.height)}" patternUnits="userSpaceOnUse">{paths}</pattern>'
    )


def _groups(shapes: tuple[Shape, ...], prefix: str, theme: Theme) -> list[str]:
    lines = []
    for key, run in itertools.groupby(shapes, key=_group_key):
        inner = [_element(shape, prefix) for shape in run]
        lines += [f"<g {_attributes(key, prefix, theme)}>", *inner, "</g>"]
    return lines


def _group_key(shape: Shape) -> tuple[str, str, float]:
    return ("text", shape.style, shape.size) if isinstance(shape, Text) else ("pen", shape.pen, 0.0)


def _attributes(key: tuple[str, str, float], prefix: str, theme: Theme) -> str:
    family, name, size = key
    if family == "text":
        return _text_attributes(name, size, theme)
    pen = PENS[name]
    parts = [f'class="lw-{name}"']
    if pen.hatch:
        parts.append(f'fill="url(#{prefix}-hatch-{pen.hatch})"')
    else:
        parts.append(f'fill="{theme.color(pen.fill) if pen.fill else "none"}"')
    if pen.stroke:
        parts.append(f'stroke="{theme.color(pen.stroke)}" stroke-width="{number(pen.width * theme.weight)}"')
        parts.append('stroke-linejoin="round" stroke-linecap="round"')
    if pen.dash:
        parts.append(f'stroke-dasharray="{" ".join(number(length) for length in pen.dash)}"')
    return " ".join(parts)


def _text_attributes(style: str, size: float, theme: Theme) -> str:
    lettering = next(value for key, value in LETTERING.items() if key == style)
    weight = ' font-weight="700"' if lettering.bold else ""
    halo = ""
    if lettering.halo:
        halo = (
            f' stroke="{theme.sheet}" stroke-width="{number(HALO_WIDTH)}" stroke-linejoin="round"'
            ' paint-order="stroke"'
        )
    fill = theme.color(lettering.role)
    return f'class="lw-text-{style}" font-size="{number(size)}" fill="{fill}"{weight}{halo}'


def _element(shape: Shape, prefix: str) -> str:
    if isinstance(shape, Text):
        anchor = "" if shape.anchor == "start" else f' text-anchor="{shape.anchor}"'
        x, y = shape.at
        lead = escape(clean_text(shape.text[: shape.lead]))
        rest = escape(clean_text(shape.text[shape.lead :]))
        bold = f'<tspan font-weight="700">{lead}</tspan>' if lead else ""
        return f'<text x="{number(x)}" y="{number(y)}"{anchor}>{bold}{rest}</text>'
    if isinstance(shape, Disc):
        x, y = shape.center
        return f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(shape.radius)}"/>'
    path = "L".join(f"{number(x)} {number(y)}" for x, y in shape.points)
    fill = f' fill="url(#{prefix}-rock-{shape.tile})"' if shape.tile else ""
    return f'<path d="M{path}{"Z" if shape.closed else ""}"{fill}/>'

"""How much room a line of text needs, so that labels can be kept apart without a font at hand.

Advance widths are those of DejaVu Sans, one of the widest common sans-serif faces: text set in a narrower
face takes less room than is reserved for it, never more.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

FONT_FAMILY = "'Source Sans 3', 'Liberation Sans', Arial, Helvetica, sans-serif"
"""Faces asked for, in order. Every one of them is narrower than the widths reserved here."""

ASCENT_EM = 0.80
DESCENT_EM = 0.24
LINE_EM = 1.28
"""Reach of a line above and below its baseline, and from one baseline to the next, in em."""

BOLD_FACTOR = 1.12
"""Bold over regular: the mean ratio of the two DejaVu Sans width tables, rounded up."""

FIRST_CODE = 32
# Advance widths of codes 32..126 in thousandths of an em (DejaVu Sans, table hmtx).
ASCII_WIDTHS = (
    *(318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337),
    *(636, 636, 636, 636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531),
    *(1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863, 748, 787),
    *(603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500),
    *(500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612),
    *(635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838),
)
OTHER_WIDTHS = {
    "–": 500,
    "′": 227,
    "″": 374,
    "·": 318,
    "°": 500,
    "²": 401,
    "³": 401,
    "×": 838,
    "−": 838,
    "•": 590,
}
WIDEST = 1000


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the drawing, in drawing units, y running down."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box, gap: float = 0.0) -> bool:
        """Say whether two boxes come nearer to each other than a gap.

        Parameters
        ----------
        other
            The other box.
        gap
            Room that must stay free between them [drawing units].

        Returns
        -------
        bool
            True when they overlap or stand closer than ``gap``.

        Examples
        --------
        >>> left, right = Box(0, 0, 10, 10), Box(12, 0, 20, 10)
        >>> left.overlaps(right), left.overlaps(right, gap=4)
        (False, True)
        """
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )

    def inside(self, other: Box) -> bool:
        """Say whether this box lies wholly inside another.

        Parameters
        ----------
        other
            The box that should hold this one.

        Returns
        -------
        bool
            True when no edge passes the other's.

        Examples
        --------
        >>> Box(1, 1, 9, 9).inside(Box(0, 0, 10, 10))
        True
        """
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.top >= other.top
            and self.bottom <= other.bottom
        )


def character_width(character: str) -> int:
    """Look up the advance width of one character.

    Parameters
    ----------
    character
        A single character.

    Returns
    -------
    int
        Width [thousandths of an em]; 0 for marks that stand on the letter before, 1000 for anything not
        listed.

    Examples
    --------
    >>> character_width("0"), character_width("é")
    (636, 615)
    """
    if unicodedata.combining(character):
        return 0
    # An accented letter is as wide as the letter under the accent.
    base = unicodedata.normalize("NFD", character)[0]
    index = ord(base) - FIRST_CODE
    if 0 <= index < len(ASCII_WIDTHS):
        return ASCII_WIDTHS[index]
    return OTHER_WIDTHS.get(base, WIDEST)


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Reserve the width of a line of text.

    Parameters
    ----------
    text
        One line.
    size
        Font size [drawing units].
    bold
        Whether it is set bold.

    Returns
    -------
    float
        Width [drawing units], at least what the common sans-serif faces take.

    Notes
    -----
    width = size · Σ advance / 1000, times 1.12 when bold.

    Examples
    --------
    >>> text_width("100", 10.0)
    19.08
    """
    thousandths = sum(character_width(character) for character in text)
    return thousandths * size / 1000 * (BOLD_FACTOR if bold else 1.0)


BOUND_UNITS = frozenset(
    {"ft", "in", "m", "mm", "gpm", "L/min", "gal", "L", "min", "h", "d", "%", "hp", "psi", "kPa"}
)
"""Units that stay on one line with the number before them."""


def wrap_text(
    text: str, size: float, width: float, *, bold: bool = False, indent: float = 0.0
) -> tuple[str, ...]:
    """Break text into lines that fit a width; a word too long for a line is broken inside.

    Parameters
    ----------
    text
        Any text; runs of white space count as one space, and a number keeps its unit beside it.
    size
        Font size [drawing units].
    width
        Room for a line [drawing units].
    bold
        Whether it is set bold.
    indent
        Room the first line has less [drawing units].

    Returns
    -------
    tuple of str
        Lines, none wider than ``width`` unless one character alone is; empty for empty text.

    Examples
    --------
    >>> wrap_text("Depth to water below the measuring point", 10.0, 130.0)
    ('Depth to water below the', 'measuring point')
    """
    lines: list[str] = []
    line = ""
    for word in _bound_words(text):
        candidate = f"{line} {word}" if line else word
        room = width if lines else width - indent
        if text_width(candidate, size, bold=bold) <= room:
            line = candidate
            continue
        if line:
            lines.append(line)
        *whole, line = _broken_word(word, size, width if lines else width - indent, bold)
        lines.extend(whole)
    if line:
        lines.append(line)
    return tuple(lines)


def _bound_words(text: str) -> list[str]:
    words: list[str] = []
    for word in text.split():
        if words and words[-1][-1].isdigit() and word.rstrip(",.;:)") in BOUND_UNITS:
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words


def _broken_word(word: str, size: float, width: float, bold: bool) -> list[str]:
    pieces = [""]
    for character in word:
        longer = pieces[-1] + character
        if pieces[-1] and text_width(longer, size, bold=bold) > width:
            pieces.append(character)
        else:
            pieces[-1] = longer
    return pieces

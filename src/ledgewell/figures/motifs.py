"""Small strokes that rock patterns are made of, as SVG path data inside a repeating tile."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from ledgewell.figures.canvas import number

Spot = tuple[float, float]
Motif = Callable[[float, float], str]


def path(*steps: str | float) -> str:
    """Join path commands and coordinates.

    Parameters
    ----------
    steps
        Commands as letters, coordinates as numbers.

    Returns
    -------
    str
        Path data.

    Examples
    --------
    >>> path("M", 1.0, 2.5, "h", 4.0)
    'M1 2.5h4'
    """
    text = ""
    for step in steps:
        if isinstance(step, str):
            text += step
        else:
            written = number(step)
            text += written if text[-1:].isalpha() else f" {written}"
    return text


def spread(motif: Motif, spots: Iterable[Spot]) -> str:
    """Repeat a motif at several spots of a tile.

    Parameters
    ----------
    motif
        Draws itself at a spot.
    spots
        Spots [tile units].

    Returns
    -------
    str
        Path data.

    Examples
    --------
    >>> spread(dash(3), [(0, 1), (5, 2)])
    'M0 1h3M5 2h3'
    """
    return "".join(motif(x, y) for x, y in spots)


def dot(radius: float) -> Motif:
    """Make a filled grain.

    Parameters
    ----------
    radius
        Its radius [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> dot(1)(5, 5)
    'M4 5a1 1 0 1 0 2 0a1 1 0 1 0 -2 0z'
    """
    return lambda x, y: path(
        "M",
        x - radius,
        y,
        "a",
        radius,
        radius,
        0,
        1,
        0,
        2 * radius,
        0,
        "a",
        radius,
        radius,
        0,
        1,
        0,
        -2 * radius,
        0,
        "z",
    )


def pebble(width: float, height: float) -> Motif:
    """Make a rounded pebble in outline.

    Parameters
    ----------
    width, height
        Its size [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> pebble(4, 2)(5, 5)
    'M3 5a2 1 0 1 0 4 0a2 1 0 1 0 -4 0z'
    """
    rx, ry = width / 2, height / 2
    return lambda x, y: path(
        "M", x - rx, y, "a", rx, ry, 0, 1, 0, 2 * rx, 0, "a", rx, ry, 0, 1, 0, -2 * rx, 0, "z"
    )


def dash(length: float) -> Motif:
    """Make a level dash beginning at the spot.

    Parameters
    ----------
    length
        Its length [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> dash(4)(1, 2)
    'M1 2h4'
    """
    return lambda x, y: path("M", x, y, "h", length)


def stroke(dx: float, dy: float) -> Motif:
    """Make a short straight stroke beginning at the spot.

    Parameters
    ----------
    dx, dy
        Its reach [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> stroke(3, -2)(1, 5)
    'M1 5l3 -2'
    """
    return lambda x, y: path("M", x, y, "l", dx, dy)


def plus(reach: float) -> Motif:
    """Make a plus sign centered on the spot.

    Parameters
    ----------
    reach
        Half its size [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> plus(2)(5, 5)
    'M3 5h4M5 3v4'
    """
    return lambda x, y: path("M", x - reach, y, "h", 2 * reach, "M", x, y - reach, "v", 2 * reach)


def cross(reach: float) -> Motif:
    """Make a slanting cross centered on the spot.

    Parameters
    ----------
    reach
        Half its size [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> cross(1)(5, 5)
    'M4 4l2 2M4 6l2 -2'
    """
    return lambda x, y: path(
        "M",
        x - reach,
        y - reach,
        "l",
        2 * reach,
        2 * reach,
        "M",
        x - reach,
        y + reach,
        "l",
        2 * reach,
        -2 * reach,
    )


def vee(width: float, height: float) -> Motif:
    """Make a V whose point is at the spot.

    Parameters
    ----------
    width, height
        Its size [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> vee(4, 3)(5, 5)
    'M3 2l2 3l2 -3'
    """
    return lambda x, y: path("M", x - width / 2, y - height, "l", width / 2, height, "l", width / 2, -height)


def angle(width: float, height: float) -> Motif:
    """Make an L whose corner is at the spot.

    Parameters
    ----------
    width, height
        Its size [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> angle(4, 3)(5, 5)
    'M5 2v3h4'
    """
    return lambda x, y: path("M", x, y - height, "v", height, "h", width)


def triangle(size: float) -> Motif:
    """Make a triangle in outline, centered on the spot.

    Parameters
    ----------
    size
        Its size [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> triangle(4)(5, 5)
    'M3 7l2 -4l2 4z'
    """
    return lambda x, y: path("M", x - size / 2, y + size / 2, "l", size / 2, -size, "l", size / 2, size, "z")


def box(width: float, height: float, lean: float) -> Motif:
    """Make a leaning box in outline, centered on the spot.

    Parameters
    ----------
    width, height
        Its size [tile units].
    lean
        How far its right side lies lower [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> box(4, 2, 1)(5, 5)
    'M3 4l4 1v2l-4 -1z'
    """
    return lambda x, y: path(
        "M", x - width / 2, y - height / 2, "l", width, lean, "v", height, "l", -width, -lean, "z"
    )


def wave(length: float, height: float) -> Motif:
    """Make one full wave beginning at the spot.

    Parameters
    ----------
    length, height
        Its size [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> wave(8, 3)(0, 4)
    'M0 4q2 -3 4 0t4 0'
    """
    return lambda x, y: path("M", x, y, "q", length / 4, -height, length / 2, 0, "t", length / 2, 0)


def curl(size: float) -> Motif:
    """Make a small hook beginning at the spot.

    Parameters
    ----------
    size
        Its size [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> curl(10)(0, 0)
    'M0 0q2 -10 10 -7q3 3 0 5'
    """
    return lambda x, y: path(
        "M", x, y, "q", size * 0.2, -size, size, -size * 0.7, "q", size * 0.3, size * 0.3, 0, size * 0.5
    )


def tuft(size: float) -> Motif:
    """Make a tuft of three blades standing on the spot.

    Parameters
    ----------
    size
        Its height [tile units].

    Returns
    -------
    Motif
        Path data for a spot of the tile.

    Examples
    --------
    >>> tuft(10)(5, 10)
    'M5 10l-6 -7M5 10v-10M5 10l6 -7'
    """
    return lambda x, y: path(
        "M",
        x,
        y,
        "l",
        -size * 0.6,
        -size * 0.7,
        "M",
        x,
        y,
        "v",
        -size,
        "M",
        x,
        y,
        "l",
        size * 0.6,
        -size * 0.7,
    )


def courses(width: float, height: float, rows: Sequence[float], lean: float = 0.0) -> str:
    """Lay courses of blocks across a tile, joints staggered from course to course.

    Parameters
    ----------
    width, height
        Size of the tile.
    rows
        Height of the bed joint above each course.
    lean
        How far a joint leans from the upright.

    Returns
    -------
    str
        Path data; an even number of courses repeats without a seam.

    Examples
    --------
    >>> courses(20, 10, [0, 5])
    'M0 0h20M5 0l0 5M0 5h20M15 5l0 5'
    """
    text = ""
    step = height / len(rows)
    for index, row in enumerate(rows):
        joint = width * (0.25 if index % 2 == 0 else 0.75)
        text += path("M", 0.0, row, "h", width, "M", joint, row, "l", lean, step)
    return text

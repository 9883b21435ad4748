"""Notes beside the drawing, each as near its depth as the others allow, tied to it by a thin line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledgewell.figures.canvas import Point, Shape, Stroke, Text, block_height
from ledgewell.figures.typeface import ASCENT_EM, DESCENT_EM, LINE_EM, text_width, wrap_text

NOTE_GAP = 5.0
LEADER_GAP = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A few words that belong to a depth.

    Parameters
    ----------
    depth_m
        Where it belongs [m].
    lead
        The depth in words, set bold.
    text
        What is there.
    from_x
        Where its line starts on the drawing [drawing units].
    """

    depth_m: float
    lead: str
    text: str
    from_x: float


@dataclass(frozen=True, slots=True)
class SetNote:
    """A note broken into lines, and the height its line starts at."""

    lines: tuple[str, ...]
    lead: int
    start: Point
    height: float


def set_note(note: Note, y: float, width: float, size: float) -> SetNote:
    """Break a note into lines of a width.

    Parameters
    ----------
    note
        The note.
    y
        Height of its depth [drawing units].
    width
        Room for a line [drawing units].
    size
        Font size [drawing units].

    Returns
    -------
    SetNote
        Its lines.

    Examples
    --------
    >>> set_note(Note(depth_m=94.5, lead="310 ft", text="fracture", from_x=0.0), 10.0, 200.0, 10.0).lines
    ('310 ft fracture',)
    """
    heavier = text_width(note.lead, size, bold=True) - text_width(note.lead, size)
    lines = wrap_text(f"{note.lead} {note.text}", size, width, indent=heavier)
    lead = min(len(note.lead), len(lines[0])) if lines else 0
    return SetNote(lines, lead, (note.from_x, y), block_height(len(lines), size))


def spread_tops(wanted: Sequence[float], heights: Sequence[float], low: float, gap: float) -> list[float]:
    """Move blocks as little as possible so that none overlaps another or starts above a limit.

    Parameters
    ----------
    wanted
        Where each block would like its top [drawing units], rising.
    heights
        Their heights [drawing units].
    low
        No block starts above this [drawing units].
    gap
        Room between blocks [drawing units].

    Returns
    -------
    list of float
        Tops, in the same order.

    Notes
    -----
    Least squares under tops[i+1] ≥ tops[i] + heights[i] + gap: blocks that would overlap are pooled and the
    pool moves to the mean of what its members want (pool adjacent violators).

    Examples
    --------
    >>> spread_tops([0.0, 10.0, 100.0], [20.0, 20.0, 20.0], -50.0, 0.0)
    [-5.0, 15.0, 100.0]
    """
    offsets = [0.0]
    for height in heights[:-1]:
        offsets.append(offsets[-1] + height + gap)
    # Each pool: sum of wanted first tops, how many blocks.
    pools: list[list[float]] = []
    for want, offset in zip(wanted, offsets, strict=True):
        pools.append([want - offset, 1.0])
        while len(pools) > 1 and pools[-2][0] / pools[-2][1] > pools[-1][0] / pools[-1][1]:
            total, count = pools.pop()
            pools[-1][0] += total
            pools[-1][1] += count
    firsts = [max(total / count, low) for total, count in pools for _ in range(int(count))]
    return [first + offset for first, offset in zip(firsts, offsets, strict=True)]


@dataclass(frozen=True, slots=True)
class NoteColumn:
    """Notes set in a column, and where it ends."""

    shapes: tuple[Shape, ...]
    bottom: float


def note_column(
    notes: Sequence[SetNote],
    *,
    left: float,
    edge: float,
    low: float,
    high: float,
    size: float,
    flip: bool = False,
) -> NoteColumn:
    """Set notes in a column, in order of depth, with lines from their places.

    Parameters
    ----------
    notes
        Notes in order of depth.
    left
        Where text begins; with ``flip``, where it ends [drawing units].
    edge
        Where the drawn ground ends; lines run level up to it [drawing units].
    low, high
        Top and, where it can be held, bottom of the column [drawing units].
    size
        Font size [drawing units].
    flip
        Whether the column stands left of the ground, its text ending at ``left``.

    Returns
    -------
    NoteColumn
        Shapes, and the bottom, which lies below ``high`` only when the notes need more room.

    Examples
    --------
    >>> note = set_note(Note(depth_m=50.0, lead="50 m", text="bottom", from_x=0.0), 100.0, 200.0, 10.0)
    >>> column = note_column([note, note], left=40.0, edge=20.0, low=0.0, high=300.0, size=10.0)
    >>> [round(shape.at[1], 1) for shape in column.shapes if isinstance(shape, Text)]
    [93.9, 111.7]
    """
    heights = [note.height for note in notes]
    if not heights:
        return NoteColumn((), low)
    needed = sum(heights) + NOTE_GAP * (len(heights) - 1)
    # A block that wants to hang below the end is asked to end there instead.
    latest, wants = max(high, low + needed), []
    for note in notes:
        want = note.start[1] - LINE_EM * size / 2
        wants.append(min(want, latest - note.height))
    tops = spread_tops(wants, heights, low, NOTE_GAP)
    overrun = max(0.0, tops[-1] + heights[-1] - latest)
    tops = _lifted(tops, heights, overrun, low)
    shapes: list[Shape] = []
    for note, top in zip(notes, tops, strict=True):
        shapes += _leader(note, top, left, edge, size, flip)
    for note, top in zip(notes, tops, strict=True):
        shapes += _lines(note, top, left, size, flip)
    return NoteColumn(tuple(shapes), max(high, tops[-1] + heights[-1]))


def _lifted(tops: list[float], heights: list[float], overrun: float, low: float) -> list[float]:
    """Lift the last blocks by an overrun, pushing those above only as far as needed."""
    limit = tops[-1] + heights[-1] - overrun
    lifted = []
    for top, height in zip(reversed(tops), reversed(heights), strict=True):
        placed = max(min(top, limit - height), low)
        lifted.append(placed)
        limit = placed - NOTE_GAP
    return lifted[::-1]


def _leader(note: SetNote, top: float, left: float, edge: float, size: float, flip: bool) -> list[Shape]:
    x, y = note.start
    sign = -1 if flip else 1
    middle = top + LINE_EM * size / 2
    end = left + LEADER_GAP if flip else left - LEADER_GAP
    corners = ((x, y), (edge + sign * 4, y), (end - sign * 5, middle), (end, middle))
    return [Stroke(corners, "leader")]


def _lines(note: SetNote, top: float, left: float, size: float, flip: bool) -> list[Shape]:
    first = top + (ASCENT_EM + (LINE_EM - ASCENT_EM - DESCENT_EM) / 2) * size
    shapes: list[Shape] = []
    for index, line in enumerate(note.lines):
        lead = note.lead if index == 0 else 0
        at = (left, first + index * LINE_EM * size)
        shapes.append(Text(line, at, "note", size, "end" if flip else "start", lead))
    return shapes


def widest_line(notes: Sequence[SetNote], size: float) -> float:
    """Give the width of the widest line of notes.

    Parameters
    ----------
    notes
        Notes, set.
    size
        Font size [drawing units].

    Returns
    -------
    float
        Width [drawing units].

    Examples
    --------
    >>> widest_line([], 10.0)
    0.0
    """
    return max((text_width(line, size, bold=True) for note in notes for line in note.lines), default=0.0)

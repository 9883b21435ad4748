"""The inside of the hole from casing and bore: intervals that touch, gaps and overlaps that are said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from ledgewell.record.doubt import Doubt


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A casing or bore placed in meters below the measuring point.

    Parameters
    ----------
    where
        Place in the record.
    kind
        ``"casing"``, ``"liner"``, ``"screen"`` or ``"bore"``.
    top_m, bottom_m
        Depths [m]; bottom below top.
    inside_m
        Inside diameter [m], or the diameter of a bore; None when not known.
    outside_m
        Outside diameter of a casing [m].
    annulus
        ``"sealed"``, ``"open"`` or None.
    shoe
        Whether it ends in a shoe.
    """

    where: str
    kind: str
    top_m: float
    bottom_m: float
    inside_m: float | None = None
    outside_m: float | None = None
    annulus: str | None = None
    shoe: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleInterval:
    """A length of the hole with one inside.

    Parameters
    ----------
    top_m, bottom_m
        Depths below the measuring point [m].
    diameter_m
        Inside diameter [m]; None when not known.
    kind
        ``"casing"`` (liner and screen too) or ``"bore"``.
    annulus
        ``"sealed"``, ``"open"`` or None when not known; None in open bore.
    annulus_inner_m, annulus_outer_m
        Diameters between which the annulus lies [m]; None when not known.
    where
        Place in the record of what forms the inside.
    """

    top_m: float
    bottom_m: float
    diameter_m: float | None
    kind: Literal["casing", "bore"]
    annulus: str | None
    annulus_inner_m: float | None
    annulus_outer_m: float | None
    where: str


def line_hole(
    casings: Sequence[Span], bores: Sequence[Span]
) -> tuple[tuple[HoleInterval, ...], tuple[tuple[float, float], ...], tuple[Doubt, ...]]:
    """Find the inside of the hole from its top to its bottom.

    Parameters
    ----------
    casings
        Casings, liners and screens.
    bores
        Drilled lengths.

    Returns
    -------
    tuple
        Intervals in order, gaps as (top, bottom) [m], and what is doubtful.

    Notes
    -----
    Where casings stand inside each other the innermost counts; where bores overlap, the widest does, because
    a hole is at least as wide as the widest bit that passed.

    Examples
    --------
    >>> casing = Span(where="casing[0]", kind="casing", top_m=0.0, bottom_m=12.0, inside_m=0.154)
    >>> bore = Span(where="bore[0]", kind="bore", top_m=12.0, bottom_m=120.0, inside_m=0.152)
    >>> intervals, gaps, _ = line_hole([casing], [bore])
    >>> [(each.top_m, each.bottom_m, each.kind) for each in intervals], gaps
    ([(0.0, 12.0, 'casing'), (12.0, 120.0, 'bore')], ())
    """
    cuts = sorted({depth for span in (*casings, *bores) for depth in (span.top_m, span.bottom_m)})
    intervals: list[HoleInterval] = []
    gaps: list[tuple[float, float]] = []
    for top_m, bottom_m in pairwise(cuts):
        inside = _inside(
            _covering(casings, top_m, bottom_m), _covering(bores, top_m, bottom_m), top_m, bottom_m
        )
        if inside is not None:
            _extend(intervals, inside)
        elif gaps and gaps[-1][1] == top_m:
            gaps[-1] = (gaps[-1][0], bottom_m)
        else:
            gaps.append((top_m, bottom_m))
    doubts = [*_overlaps(casings), *_overlaps(bores)]
    doubts += [_gap_doubt(top_m, bottom_m) for top_m, bottom_m in gaps]
    doubts += [_unknown_diameter(each) for each in intervals if each.diameter_m is None]
    return tuple(intervals), tuple(gaps), tuple(doubts)


def _covering(spans: Sequence[Span], top_m: float, bottom_m: float) -> list[Span]:
    return [span for span in spans if span.top_m <= top_m and span.bottom_m >= bottom_m]


def _innermost_first(span: Span) -> tuple[int, float]:
    return (1 if span.kind == "casing" else 0, span.inside_m if span.inside_m is not None else float("inf"))


def _inside(casings: list[Span], bores: list[Span], top_m: float, bottom_m: float) -> HoleInterval | None:
    bore = max(bores, key=lambda span: span.inside_m or 0.0, default=None)
    if casings:
        inner, *outer = sorted(casings, key=_innermost_first)
        around = outer[0] if outer else bore
        return HoleInterval(
            top_m=top_m,
            bottom_m=bottom_m,
            diameter_m=inner.inside_m,
            kind="casing",
            annulus=inner.annulus,
            annulus_inner_m=inner.outside_m,
            annulus_outer_m=around.inside_m if around is not None else None,
            where=inner.where,
        )
    if bore is None:
        return None
    return HoleInterval(
        top_m=top_m,
        bottom_m=bottom_m,
        diameter_m=bore.inside_m,
        kind="bore",
        annulus=None,
        annulus_inner_m=None,
        annulus_outer_m=None,
        where=bore.where,
    )


def _extend(intervals: list[HoleInterval], inside: HoleInterval) -> None:
    last = intervals[-1] if intervals else None
    if last is not None and last.bottom_m == inside.top_m:
        joined = replace(last, bottom_m=inside.bottom_m)
        if joined == replace(inside, top_m=last.top_m):
            intervals[-1] = joined
            return
    intervals.append(inside)


def _overlaps(spans: Sequence[Span]) -> list[Doubt]:
    doubts = []
    for i, span in enumerate(spans):
        for other in spans[:i]:
            top_m, bottom_m = max(span.top_m, other.top_m), min(span.bottom_m, other.bottom_m)
            if bottom_m <= top_m or _nested(span, other):
                continue
            say = (
                f"this overlaps {other.where} from {top_m:.2f} to {bottom_m:.2f} m below the measuring point"
            )
            ask = "Which of the two is the hole there, or when did one take the place of the other?"
            doubts.append(Doubt(where=span.where, say=say, ask=ask))
    return doubts


def _nested(span: Span, other: Span) -> bool:
    """A casing that fits inside another is no overlap."""
    if span.kind == "bore" or span.inside_m is None or other.inside_m is None:
        return span.kind != other.kind
    inner, outer = sorted((span, other), key=lambda each: each.inside_m or 0.0)
    return (inner.outside_m or inner.inside_m or 0.0) < (outer.inside_m or 0.0)


def _gap_doubt(top_m: float, bottom_m: float) -> Doubt:
    say = f"neither casing nor bore is known from {top_m:.2f} to {bottom_m:.2f} m below the measuring point"
    return Doubt(where="bore", say=say, ask="What is the hole there?")


def _unknown_diameter(interval: HoleInterval) -> Doubt:
    return Doubt(
        where=interval.where,
        say=f"its diameter is not known from {interval.top_m:.2f} to {interval.bottom_m:.2f} m",
        ask="What is its inside diameter?",
    )

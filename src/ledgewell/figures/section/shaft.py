"""The hole cut into stretches of one width: what is open in it at every depth, and what water fills."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from ledgewell.figures.section.scale import NOMINAL_DIAMETER_M, inner_diameter, outer_diameter
from ledgewell.figures.section.spec import SectionBore, SectionCasing, SectionSpec


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A stretch of hole of one make-up.

    Parameters
    ----------
    top_m, bottom_m
        Its ends [m].
    bore_m
        Diameter of the drilled hole [m].
    inside_m
        Diameter of the open way inside casing and liner [m].
    known
        Whether the width is recorded.
    cased
        Whether casing or liner stands in it.
    open_annulus
        Whether water can stand between casing and bore.
    """

    top_m: float
    bottom_m: float
    bore_m: float
    inside_m: float
    known: bool
    cased: bool
    open_annulus: bool


def stretches_of(spec: SectionSpec) -> tuple[Stretch, ...]:
    """Cut the hole wherever a bore, a casing or the hole itself begins or ends.

    Parameters
    ----------
    spec
        The section.

    Returns
    -------
    tuple of Stretch
        From the top down, without gaps from the highest bore or casing (or the ground) to the bottom.

    Examples
    --------
    >>> upper = SectionBore(top_m=0.0, bottom_m=20.0, diameter_m=0.25)
    >>> lower = SectionBore(top_m=20.0, bottom_m=90.0)
    >>> stretches = stretches_of(SectionSpec(bores=(upper, lower)))
    >>> [(each.top_m, each.bottom_m, each.bore_m, each.known) for each in stretches]
    [(0.0, 20.0, 0.25, True), (20.0, 90.0, 0.25, False)]
    """
    parts: tuple[SectionBore | SectionCasing, ...] = (*spec.bores, *spec.casings)
    top = min((part.top_m for part in parts), default=spec.ground_m)
    bottom = max([spec.depth_m(), *(part.bottom_m for part in parts)])
    cuts = {top, bottom}
    for part in parts:
        cuts |= {part.top_m, part.bottom_m}
    ordered = sorted(cuts)
    found: list[Stretch] = []
    last_known = _first_width(spec)
    for upper, lower in itertools.pairwise(ordered):
        stretch = _stretch(spec, upper, lower, last_known)
        last_known = stretch.bore_m
        found.append(stretch)
    return tuple(found)


def _first_width(spec: SectionSpec) -> float:
    widths = [bore.diameter_m for bore in spec.bores if bore.diameter_m is not None]
    return widths[0] if widths else NOMINAL_DIAMETER_M


def _stretch(spec: SectionSpec, upper: float, lower: float, last_known: float) -> Stretch:
    middle = (upper + lower) / 2
    casings = [casing for casing in spec.casings if casing.top_m <= middle <= casing.bottom_m]
    recorded = [
        bore.diameter_m
        for bore in spec.bores
        if bore.top_m <= middle <= bore.bottom_m and bore.diameter_m is not None
    ]
    outside = [outer_diameter(casing) for casing in casings]
    if recorded:
        bore = max(recorded)
    else:
        bore = max(outside, default=last_known)
    inside = min([inner_diameter(casing) for casing in casings], default=bore)
    return Stretch(
        top_m=upper,
        bottom_m=lower,
        bore_m=bore,
        inside_m=inside,
        known=bool(recorded or casings),
        cased=bool(casings),
        open_annulus=bool(casings) and all(_lets_water_behind(casing) for casing in casings),
    )


def _lets_water_behind(casing: SectionCasing) -> bool:
    return casing.annulus == "open" or casing.kind == "screen"


def inside_at(stretches: tuple[Stretch, ...], depth_m: float) -> float:
    """Give the diameter of the open way at a depth.

    Parameters
    ----------
    stretches
        The hole.
    depth_m
        Depth [m].

    Returns
    -------
    float
        Diameter [m], of the nearest stretch above or below the hole.

    Examples
    --------
    >>> bore = SectionBore(top_m=0.0, bottom_m=20.0, diameter_m=0.25)
    >>> inside_at(stretches_of(SectionSpec(bores=(bore,))), 50.0)
    0.25
    """
    for stretch in stretches:
        if depth_m <= stretch.bottom_m:
            return stretch.inside_m
    return stretches[-1].inside_m


def bore_at(stretches: tuple[Stretch, ...], depth_m: float) -> float:
    """Give the diameter of the drilled hole at a depth.

    Parameters
    ----------
    stretches
        The hole.
    depth_m
        Depth [m].

    Returns
    -------
    float
        Diameter [m], of the nearest stretch above or below the hole.

    Examples
    --------
    >>> bore = SectionBore(top_m=0.0, bottom_m=20.0, diameter_m=0.25)
    >>> bore_at(stretches_of(SectionSpec(bores=(bore,))), 5.0)
    0.25
    """
    for stretch in stretches:
        if depth_m <= stretch.bottom_m:
            return stretch.bore_m
    return stretches[-1].bore_m

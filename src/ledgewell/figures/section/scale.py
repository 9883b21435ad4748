"""The two scales of a section: depth down the page, and width, exaggerated by a stated round factor."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ledgewell.figures.section.spec import SectionCasing, SectionSpec

WIDEST_SHARE = 0.42
"""Most of the drawn ground that the widest part of the hole may take."""
ROUND_FACTORS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)
NOMINAL_DIAMETER_M = 0.1524
"""Width drawn where no diameter is recorded: 6 in (common practice, no source); the drawing says so."""
WALL_SHARE = 0.04
"""Wall of a casing of which only one diameter is known, as a share of that diameter (common practice, no
source: 0.25 in on 6 5/8 in casing)."""


@dataclass(frozen=True, slots=True)
class SectionScale:
    """Where depths and widths lie on the drawing.

    Parameters
    ----------
    top_m, bottom_m
        Depths at the ends of the drawn stretch [m].
    top, bottom
        Their heights on the drawing [drawing units].
    center
        Middle of the hole [drawing units].
    exaggeration
        How many times as wide as deep a length is drawn.
    """

    top_m: float
    bottom_m: float
    top: float
    bottom: float
    center: float
    exaggeration: float

    @property
    def per_meter(self) -> float:
        """Drawing units for a meter of depth."""
        return (self.bottom - self.top) / (self.bottom_m - self.top_m)

    def y(self, depth_m: float) -> float:
        """Place a depth.

        Parameters
        ----------
        depth_m
            Depth below the datum [m].

        Returns
        -------
        float
            Drawing units from the top.

        Examples
        --------
        >>> SectionScale(0.0, 100.0, 50.0, 250.0, 90.0, 40.0).y(25.0)
        100.0
        """
        return self.top + (depth_m - self.top_m) * self.per_meter

    def half(self, diameter_m: float) -> float:
        """Give half the drawn width of a diameter.

        Parameters
        ----------
        diameter_m
            Diameter [m].

        Returns
        -------
        float
            Drawing units.

        Examples
        --------
        >>> SectionScale(0.0, 100.0, 50.0, 250.0, 90.0, 40.0).half(0.15)
        6.0
        """
        return diameter_m / 2 * self.per_meter * self.exaggeration


def round_factor(most: float) -> float:
    """Find the greatest round factor that does not pass a limit.

    Parameters
    ----------
    most
        The limit, above zero.

    Returns
    -------
    float
        1, 1.5, 2, 2.5, 3, 4, 5, 6 or 8 times a power of ten.

    Examples
    --------
    >>> round_factor(57.0), round_factor(0.7)
    (50.0, 0.6)
    """
    power = math.floor(math.log10(most))
    # Read from text, so that 0.6 is the nearest number to 0.6 and not 6 times a tenth.
    candidates = [float(f"{lead}e{exponent}") for exponent in (power - 1, power) for lead in ROUND_FACTORS]
    return max(value for value in candidates if value <= most * (1 + 1e-9))


def outer_diameter(casing: SectionCasing) -> float:
    """Give the outside diameter of a casing, worked out from the inside one where only that is known.

    Parameters
    ----------
    casing
        The casing.

    Returns
    -------
    float
        Diameter [m]; nominal when neither is known.

    Examples
    --------
    >>> outer_diameter(SectionCasing(top_m=0.0, bottom_m=19.0, outside_diameter_m=0.168))
    0.168
    """
    if casing.outside_diameter_m is not None:
        return casing.outside_diameter_m
    if casing.inside_diameter_m is not None:
        return casing.inside_diameter_m * (1 + 2 * WALL_SHARE)
    return NOMINAL_DIAMETER_M * (1 + 2 * WALL_SHARE)


def inner_diameter(casing: SectionCasing) -> float:
    """Give the inside diameter of a casing, worked out from the outside one where only that is known.

    Parameters
    ----------
    casing
        The casing.

    Returns
    -------
    float
        Diameter [m]; nominal when neither is known.

    Examples
    --------
    >>> inner_diameter(SectionCasing(top_m=0.0, bottom_m=19.0, inside_diameter_m=0.154))
    0.154
    """
    if casing.inside_diameter_m is not None:
        return casing.inside_diameter_m
    return outer_diameter(casing) * (1 - 2 * WALL_SHARE)


def widest_m(spec: SectionSpec) -> float:
    """Find the widest diameter in a section.

    Parameters
    ----------
    spec
        The section.

    Returns
    -------
    float
        Diameter [m]; nominal when none is recorded.

    Examples
    --------
    >>> widest_m(SectionSpec())
    0.1524
    """
    widths = [bore.diameter_m for bore in spec.bores if bore.diameter_m is not None]
    widths += [outer_diameter(casing) for casing in spec.casings]
    return max(widths, default=NOMINAL_DIAMETER_M)


def has_width(spec: SectionSpec) -> bool:
    """Say whether any diameter of hole or casing is recorded.

    Parameters
    ----------
    spec
        The section.

    Returns
    -------
    bool
        False when the drawn width is only nominal.

    Examples
    --------
    >>> has_width(SectionSpec())
    False
    """
    bored = any(bore.diameter_m is not None for bore in spec.bores)
    return bored or any(
        casing.inside_diameter_m is not None or casing.outside_diameter_m is not None
        for casing in spec.casings
    )


def scale_of(spec: SectionSpec, *, top: float, height: float, left: float, width: float) -> SectionScale:
    """Choose the scales of a section.

    Parameters
    ----------
    spec
        The section.
    top, height
        Where the drawn stretch begins and how high it is [drawing units].
    left, width
        Where the ground begins and how wide it is drawn [drawing units].

    Returns
    -------
    SectionScale
        With the greatest round exaggeration that keeps the hole within 42 % of the ground.

    Examples
    --------
    >>> from ledgewell.figures.section.spec import SectionBore
    >>> bore = SectionBore(top_m=0.0, bottom_m=100.0, diameter_m=0.15)
    >>> scale_of(SectionSpec(bores=(bore,)), top=0.0, height=500.0, left=0.0, width=200.0).exaggeration
    100.0
    """
    top_m, bottom_m = spec.extent_m()
    per_meter = height / (bottom_m - top_m)
    exaggeration = round_factor(WIDEST_SHARE * width / (widest_m(spec) * per_meter))
    return SectionScale(top_m, bottom_m, top, top + height, left + width / 2, exaggeration)

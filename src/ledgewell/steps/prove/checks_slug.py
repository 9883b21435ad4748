"""Cross-checks of a bail or slug: a volume moved at once, and the level that comes back."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np

from ledgewell.errors import RangeError
from ledgewell.steps.prove.crosscheck import CrossCheck
from ledgewell.steps.prove.layout import Layout


def slug_checks(layout: Layout) -> tuple[CrossCheck, ...]:
    """Return the curve of Cooper, Bredehoeft and Papadopulos and the line of Hvorslev, for a test that only moved water.

    Parameters
    ----------
    layout
        The test.

    Notes
    -----
    H₀ is the volume moved over the free area. Source: cooper1967, hvorslev1951.
    """
    stretches = layout.timeline.stretches
    moved = [s for s in stretches if s.taken_m3 != 0.0]
    if len(moved) != 1 or any(s.pumping for s in stretches) or not layout.static_known:
        return ()
    start, volume = moved[0].start_min, moved[0].taken_m3
    area = layout.shape.area_at(layout.static_m)
    first = volume / area
    levels = [v for v in layout.levels if v.minute > start and not v.deeper]
    time = np.array([(v.minute - start) * 60.0 for v in levels])
    ratio = np.array([(v.depth_m - layout.static_m) / first for v in levels])
    sound = ratio > 0.01
    if sound.sum() < 3:
        return ()
    time, ratio = time[sound], ratio[sound]
    casing = sqrt(area / pi)
    return _curve(layout, time, ratio, casing) + _line(layout, time, ratio, casing)


def _curve(layout: Layout, time, ratio, casing: float) -> tuple[CrossCheck, ...]:  # type: ignore[no-untyped-def]
    from ledgewell.physics.closed_forms.slug import slug_fit, slug_validity

    fit = slug_fit(time, ratio, layout.problem.radius_m, casing)
    valid = slug_validity(fit, float(ratio.min()))
    return (
        CrossCheck(
            method="slug curve (Cooper, Bredehoeft and Papadopulos)",
            valid=valid.valid,
            why=valid.why,
            values=(("T", (fit.transmissivity_m2s, "m²/s")), ("S, order of magnitude", (fit.storativity, ""))),
            window=f"{fit.count} levels, {fit.window_s[0]:g} to {fit.window_s[1]:g} s",
            source="cooper1967",
        ),
    )


def _line(layout: Layout, time, ratio, casing: float) -> tuple[CrossCheck, ...]:  # type: ignore[no-untyped-def]
    from ledgewell.physics.closed_forms.slug_line import basic_time_lag_fit, hvorslev_conductivity, hvorslev_validity

    bottom, shoe = layout.hole.bottom_m, layout.hole.shoe_m or 0.0
    length = (bottom or 0.0) - max(shoe, layout.static_m)
    if length <= 0:
        return ()
    try:
        lag = basic_time_lag_fit(time, ratio)
    except RangeError:
        return ()
    radius = layout.problem.radius_m
    conductivity = hvorslev_conductivity(lag.basic_time_lag_s, casing, length, radius)
    valid = hvorslev_validity(length, radius, lag.ratio_at_start)
    return (
        CrossCheck(
            method="slug line (Hvorslev)",
            valid=valid.valid,
            why=valid.why,
            values=(("T = K L", (conductivity * length, "m²/s")), ("T₀", (lag.basic_time_lag_s, "s"))),
            window=f"H/H₀ {lag.line.window[0]:.2f} to {lag.line.window[1]:.2f}",
            source="hvorslev1951",
        ),
    )

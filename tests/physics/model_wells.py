"""Wells and schedules to march, drawn at random and made by hand; shared by the tests of the march."""

from __future__ import annotations

from math import exp, log, pi

from hypothesis import strategies as st

from ledgewell.physics.hole import HoleShape, area_from_diameter
from ledgewell.physics.model_well import Fracture, ModelWell, RockAtFace
from ledgewell.physics.schedule import Span

SIX_INCH_M2 = area_from_diameter(0.1524)
GPM = 6.30901964e-5
"""One US gallon per minute [m³/s], to the digits a test needs."""
STRAIGHT = HoleShape((0.0, 100.0), (SIX_INCH_M2,))
"""A 6 in hole of one area, 100 m deep."""


def plain_well(
    transmissivity_m2s: float = 1e-6,
    storativity: float = 1e-4,
    *,
    dimension: float = 2.0,
    skin: float = 0.0,
    loss_s2_m5: float = 0.0,
    fractures: tuple[Fracture, ...] = (Fracture(depth_m=95.0, head_m=0.0),),
    shape: HoleShape = STRAIGHT,
    **more: float,
) -> ModelWell:
    """Make a well from T* and S* at the face of a 6 in bore; 100 m deep and at rest at 0 m unless said otherwise."""
    rock = RockAtFace(
        resistance_s_m2=1 / (2 * pi * transmissivity_m2s),
        time_constant_s=storativity * 0.0762**2 / transmissivity_m2s,
        dimension=dimension,
        skin=skin,
        loss_s2_m5=loss_s2_m5,
    )
    return ModelWell(shape=shape, fractures=fractures, rock=rock, **more)


def log_uniform(low: float, high: float) -> st.SearchStrategy[float]:
    """Draw a number whose logarithm is uniform."""
    return st.floats(log(low), log(high)).map(exp)


@st.composite
def shapes(draw: st.DrawFn) -> HoleShape:
    """Draw a hole of one to three areas, 20 to 250 m deep."""
    count = draw(st.integers(1, 3))
    lengths = [draw(st.floats(20.0 / count, 80.0)) for _ in range(count)]
    bounds = [0.0]
    for length in lengths:
        bounds.append(bounds[-1] + length)
    areas = [draw(log_uniform(0.006, 0.08)) for _ in range(count)]
    return HoleShape(tuple(bounds), tuple(areas))


@st.composite
def rocks(draw: st.DrawFn) -> RockAtFace:
    """Draw a rock over the whole range served."""
    transmissivity = draw(log_uniform(1e-7, 1e-4))
    return RockAtFace(
        resistance_s_m2=1 / (2 * pi * transmissivity),
        time_constant_s=draw(log_uniform(1e-6, 1.0)) * 0.0762**2 / transmissivity,
        dimension=draw(st.floats(1.0, 3.0)),
        skin=draw(st.one_of(st.just(0.0), st.floats(0.0, 20.0))),
        loss_s2_m5=draw(st.one_of(st.just(0.0), log_uniform(1e4, 1e9))),
    )


@st.composite
def wells(draw: st.DrawFn) -> ModelWell:
    """Draw a well of one to three fractures, with heads of their own, perhaps flowing, perhaps a shallow intake."""
    shape = draw(shapes())
    bottom = shape.bottom_m
    count = draw(st.integers(1, 3))
    places = draw(st.lists(st.integers(4, 96), min_size=count, max_size=count, unique=True))
    parts = [draw(st.floats(0.05, 1.0)) for _ in places]
    rest = draw(st.floats(-0.05, 0.5)) * bottom
    spread = draw(st.sampled_from([0.0, 0.15])) * bottom
    heads = [rest + spread * draw(st.floats(-1.0, 1.0)) for _ in places]
    fractures = tuple(
        Fracture(depth_m=bottom * place / 100, head_m=head, share=part / sum(parts))
        for place, part, head in zip(sorted(places), parts, heads, strict=True)
    )
    return ModelWell(
        shape=shape,
        fractures=fractures,
        rock=draw(rocks()),
        start_level_m=rest if spread == 0 and draw(st.booleans()) else draw(st.floats(0.0, 0.5)) * bottom,
        intake_m=draw(st.sampled_from([0.5, 0.8])) * bottom,
        spill_m=draw(st.sampled_from([-1e3, 0.0, 1.0])),
    )


@st.composite
def spans(draw: st.DrawFn, well: ModelWell) -> Span:
    """Draw one stretch: pumped, injected into or at rest, begun with a bail or a drained pipe, or a held level."""
    seconds = draw(log_uniform(30.0, 1e6))
    bottom = well.shape.bottom_m
    kind = draw(
        st.sampled_from(["pumped", "injected", "rest", "bailed", "poured", "drained", "held", "ramp"])
    )
    part = draw(st.floats(0.01, 1.0))
    if kind == "pumped":
        return Span(seconds=seconds, rate_m3s=part * 1e-3)
    if kind == "injected":
        return Span(seconds=seconds, rate_m3s=-part * 1e-4)
    if kind in ("bailed", "poured"):
        volume = 0.04 * part * well.shape.volume_between(0.0, bottom)
        return Span(seconds=seconds, taken_m3=volume if kind == "bailed" else -volume)
    if kind == "drained":
        return Span(seconds=seconds, drain_m2=1e-3 * part)
    if kind == "held":
        return Span(seconds=seconds, level_m=(0.9 * part * bottom, 0.9 * part * bottom))
    if kind == "ramp":
        return Span(seconds=seconds, level_m=(0.9 * part * bottom, 0.9 * draw(st.floats(0.0, 1.0)) * bottom))
    return Span(seconds=seconds)


@st.composite
def wells_and_spans(draw: st.DrawFn) -> tuple[ModelWell, list[Span]]:
    """Draw a well and one to six stretches of what is done to it."""
    well = draw(wells())
    return well, draw(st.lists(spans(well), min_size=1, max_size=6))

"""The answer of the hole step in one or two sentences a crew can act on."""

from __future__ import annotations

from collections.abc import Sequence

from ledgewell.record import HoleOnDay
from ledgewell.steps.findings import Amount, Estimate, Warned
from ledgewell.steps.hole.airlift import Blown
from ledgewell.steps.hole.shape import SLACK_M, HoleInside
from ledgewell.steps.hole.standing import Standing
from ledgewell.steps.hole.stored import stored_estimate
from ledgewell.steps.hole.widths import Length
from ledgewell.units import System


def hole_words(hole: HoleOnDay, lengths: Sequence[Length], system: System) -> str:
    """Say how deep, how wide and how far cased the hole is.

    Parameters
    ----------
    hole
        The hole as it stood on a day.
    lengths
        Its lengths, from the top down.
    system
        Unit system.

    Returns
    -------
    str

    Examples
    --------
    >>> from ledgewell.record import Well, hole_on
    >>> hole_words(hole_on(Well()), (), "us")
    'The depth of the hole is not recorded.'
    """
    if hole.bottom_m is None:
        return "The depth of the hole is not recorded."
    widths = _widths([each for each in lengths if each.kind == "bore"], system)
    depth = f"{Amount(hole.bottom_m, 'depth').show(system)} hole"
    if hole.shoe_m is None:
        return f"{depth}, {widths or 'width not known'}, no casing recorded."
    cased = f"{Amount(hole.shoe_m, 'depth').show(system)} of casing"
    if not widths:
        to_bottom = hole.shoe_m >= hole.bottom_m - SLACK_M
        return f"{depth}, cased to the bottom." if to_bottom else f"{depth} with {cased}."
    return f"{depth}, {widths} below {cased}."


def _widths(bores: Sequence[Length], system: System) -> str:
    """The widths of the open bore from the top down, each with the depth to which it goes."""
    runs: list[tuple[str, str]] = []
    for each in bores:
        width = each.inside_text(system) or "width not known"
        if runs and runs[-1][0] == width:
            runs.pop()
        runs.append((width, each.bottom.show(system)))
    if len(runs) < 2:
        return runs[0][0] if runs else ""
    upper = [f"{width} to {depth}" for width, depth in runs[:-1]]
    return f"{', then '.join(upper)}, then {runs[-1][0]},"


def stored_now(inside: HoleInside, standing: Standing) -> Estimate | None:
    """Find the water stored below the level.

    Parameters
    ----------
    inside
        What is known of its inside.
    standing
        Its water.

    Returns
    -------
    Estimate or None
        Nothing in a dry hole; all of the hole when it flows; None when a level or a width is not known.

    Examples
    --------
    >>> from ledgewell.record import hole_on, read_well
    >>> from ledgewell.steps.hole.shape import inside_of
    >>> from ledgewell.steps.hole.standing import standing_water
    >>> well = read_well('''
    ... format = 1
    ... units = "us"
    ... bore = [{top = 0, bottom = 400, diameter = 6}]
    ... level = [{depth = 100}]
    ... ''')
    >>> hole = hole_on(well)
    >>> str(stored_now(inside_of(hole), standing_water(hole)).show("us"))  # 300 ft of 1.469 gal/ft
    '440 gal (420 to 460)'
    """
    if standing.state == "dry":
        return stored_estimate(0.0)
    from_m = water_top_m(inside, standing)
    if from_m is None or inside.shape is None or _unknown_below(inside, from_m):
        return None
    return stored_estimate(inside.shape.volume_between(from_m, inside.shape.bottom_m))


def water_top_m(inside: HoleInside, standing: Standing) -> float | None:
    """Find the depth from which the hole is full [m]: its level, or its top when it flows.

    Parameters
    ----------
    inside
        What is known of its inside.
    standing
        Its water.

    Returns
    -------
    float or None
        None when the level is not known.

    Examples
    --------
    >>> nothing = HoleInside(shape=None, known_from_m=None, unknown=(), uncounted=())
    >>> water_top_m(nothing, Standing(state="standing", level=Amount(11.7, "depth")))
    11.7
    """
    if standing.level is None:
        return None
    return hole_top_m(inside) if standing.state == "flowing" else standing.level.si


def hole_top_m(inside: HoleInside) -> float:
    """Find the top of the hole [m]: the measuring point, or the top of a casing that stands above it.

    Parameters
    ----------
    inside
        What is known of its inside.

    Returns
    -------
    float

    Examples
    --------
    >>> from ledgewell.physics.hole import HoleShape
    >>> hole_top_m(HoleInside(shape=HoleShape((-0.3, 90.0), (0.018,)), known_from_m=-0.3, unknown=(), uncounted=()))
    -0.3
    """
    return min(inside.known_from_m or 0.0, 0.0)


def _unknown_below(inside: HoleInside, from_m: float) -> bool:
    return any(each.bottom_m > from_m + SLACK_M for each in inside.unknown)


def water_words(inside: HoleInside, standing: Standing, system: System) -> str:
    """Say where the water stands and how much of it there is.

    Parameters
    ----------
    inside
        What is known of its inside.
    standing
        Its water.
    system
        Unit system.

    Returns
    -------
    str

    Examples
    --------
    >>> nothing = HoleInside(shape=None, known_from_m=None, unknown=(), uncounted=())
    >>> water_words(nothing, Standing(state="unknown"), "us")
    'No water level is recorded.'
    """
    if standing.state == "dry":
        return "It is dry: no water stands in it."
    stored = stored_now(inside, standing)
    shown = f"{stored.show(system)} stored" if stored is not None else _known_part(inside, standing, system)
    if standing.level is None:
        return f"No water level is recorded{_if_full(inside, system)}."
    if standing.state == "flowing":
        height = Amount(-standing.level.si, "depth", standing.level.resolution_si).show(system)
        return f"It flows: the level stands {height} above the measuring point, the hole is full, {shown}."
    noted = " when it was drilled" if standing.while_drilling else ""
    verb = "Water stood" if standing.while_drilling else "Water stands"
    return f"{verb} at {standing.level.show(system)}{noted}: {shown}."


def _known_part(inside: HoleInside, standing: Standing, system: System) -> str:
    """The part of the stored water that lies where the hole is known."""
    top_m = water_top_m(inside, standing)
    shape, known_m = inside.shape, inside.known_from_m
    if shape is None or known_m is None or top_m is None or shape.bottom_m <= max(top_m, known_m) + SLACK_M:
        return "how much is stored is not known"
    from_m = max(top_m, known_m)
    known = stored_estimate(shape.volume_between(from_m, shape.bottom_m)).show(system)
    return f"{known} below {Amount(from_m, 'depth').show(system)}, above which the hole is not known"


def _if_full(inside: HoleInside, system: System) -> str:
    full = Standing(state="standing", level=Amount(hole_top_m(inside), "depth"))
    stored = stored_now(inside, full)
    return f"; full to the top it would hold {stored.show(system)}" if stored is not None else ""


def airlift_words(blown: Sequence[Blown], system: System) -> str:
    """Say what was blown while drilling, and between which depths most of it came in.

    Parameters
    ----------
    blown
        The notes, from the top down.
    system
        Unit system.

    Returns
    -------
    str
        Empty without a note.

    Examples
    --------
    >>> one = Blown(bit_depth_m=121.92, above_m=0.0, total_m3s=2.524e-4, gain_m3s=2.524e-4, where="fracture[0]")
    >>> airlift_words([one], "us")
    '4 gpm was blown by air with the bit at 400 ft.'
    """
    if not blown:
        return ""
    last = blown[-1]
    bit = Amount(last.bit_depth_m, "depth").show(system)
    if all(each.total_m3s == 0 for each in blown):
        return f"Air blew no water with the bit at {bit}."
    total = f"{Amount(last.total_m3s, 'flow').show(system)} was blown by air with the bit at {bit}"
    best = max(blown, key=lambda each: each.gain_m3s)
    if len(blown) == 1 or any(each.falls for each in blown):
        return f"{total}."
    gain, top = Amount(best.gain_m3s, "flow").show(system), Amount(best.above_m, "depth").show(system)
    stretch = f"between {top} and {Amount(best.bit_depth_m, 'depth').show(system)}"
    share = "all" if best.gain_m3s == last.total_m3s else gain
    return f"{total}, {share} of it coming in {stretch}."


def doubt_words(missing: Sequence[Warned], contradictions: Sequence[Warned]) -> str:
    """Say how many things are not known or do not fit.

    Parameters
    ----------
    missing, contradictions
        What they are.

    Returns
    -------
    str
        Empty when there are none.

    Examples
    --------
    >>> doubt_words([Warned("casing", "no casing is recorded")], [])
    '1 thing is not known.'
    """
    said = []
    if contradictions:
        many = len(contradictions) > 1
        said.append(f"{len(contradictions)} thing{'s do' if many else ' does'} not fit")
    if missing:
        many = len(missing) > 1
        noun = "" if said else (" things" if many else " thing")
        said.append(f"{len(missing)}{noun} {'are' if many else 'is'} not known")
    return f"{' and '.join(said)}." if said else ""

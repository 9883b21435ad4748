"""Where the water comes in: the recorded fractures, their shares as airlift flows tell them, or one unknown mouth."""

from __future__ import annotations

from dataclasses import dataclass
from math import log

from ledgewell.record import HoleFracture, HoleOnDay
from ledgewell.steps.findings import Warned
from ledgewell.steps.prove.laws import Law, Normal
from ledgewell.steps.prove.priors import Priors

UNKNOWN_MOUTH_M = 1e9
"""Depth that stands for a mouth below every level of the test [m]."""
MOST_MOUTHS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Mouths:
    """The fractures of a fit, from the top down.

    Parameters
    ----------
    depths_m
        Their depths [m]; one far below when none is recorded.
    spare_heads_m
        Their static levels less the well's [m].
    share_laws
        Law of ln share over the last one's, for each above it.
    recorded
        True when the depths come from the record.
    warned
        What was assumed or left out.
    """

    depths_m: tuple[float, ...]
    spare_heads_m: tuple[float, ...]
    share_laws: tuple[Law, ...]
    recorded: bool
    warned: tuple[Warned, ...]


def mouths_of(hole: HoleOnDay, static_m: float, deepest_m: float, priors: Priors) -> Mouths:
    """Return the fractures of a hole as the fit takes them.

    Parameters
    ----------
    hole
        The hole as it stood.
    static_m, deepest_m
        Static level and deepest level tested [m].
    priors
        What is believed of shares.

    Notes
    -----
    Airlift totals blown at growing depth give each fracture's flow as the rise of the total; where the totals say
    nothing (missing, or falling) any fracture may carry most.
    """
    warned: list[Warned] = []
    found = []
    for fracture in hole.fractures:
        depth = fracture.depth_m if fracture.depth_m is not None else fracture.bit_depth_m
        if depth is None:
            warned.append(Warned(where=fracture.where, say="no depth is written; left out of the fit"))
        elif depth <= static_m:
            warned.append(
                Warned(where=fracture.where, say="lies above the static level; left out of the fit")
            )
        else:
            found.append((depth, fracture))
    found.sort(key=lambda each: each[0])
    if len(found) > MOST_MOUTHS:
        warned.append(
            Warned(where="fracture", say=f"only the {MOST_MOUTHS} with the most airlift flow are fitted")
        )
        flows = _rises([fracture for _, fracture in found])
        order = sorted(range(len(found)), key=lambda i: -(flows[i] or 0.0))[:MOST_MOUTHS]
        found = [found[i] for i in sorted(order)]
    if not found:
        return Mouths(
            depths_m=(UNKNOWN_MOUTH_M,),
            spare_heads_m=(0.0,),
            share_laws=(),
            recorded=False,
            warned=tuple(warned),
        )
    if found[-1][0] < deepest_m:
        say = "the level went below every recorded fracture: inflow can only have come from above it, as far as recorded"
        warned.append(Warned(where="fracture", say=say))
    fractures = [fracture for _, fracture in found]
    heads = tuple(0.0 if f.static_level_m is None else f.static_level_m - static_m for f in fractures)
    return Mouths(
        depths_m=tuple(depth for depth, _ in found),
        spare_heads_m=heads,
        share_laws=_share_laws(_rises(fractures), priors),
        recorded=True,
        warned=tuple(warned),
    )


def _rises(fractures: list[HoleFracture]) -> list[float | None]:
    """Return the rise of the blown total at each fracture [m³/s], None where the notes do not tell."""
    rises: list[float | None] = []
    before = 0.0
    for fracture in fractures:
        total = fracture.airlift_m3s
        rises.append(total - before if total is not None and total > before else None)
        before = max(before, total or 0.0)
    return rises


def _share_laws(rises: list[float | None], priors: Priors) -> tuple[Law, ...]:
    last = rises[-1]
    laws: list[Law] = []
    for rise in rises[:-1]:
        told = rise is not None and last is not None
        laws.append(
            Normal(log(rise / last), priors.airlift_spread) if told and rise and last else priors.log_share
        )
    return tuple(laws)

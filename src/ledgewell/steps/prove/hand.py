"""The trade's hand figure: volume refilled over the time between two levels, and why it differs from the engine's."""

from __future__ import annotations

from dataclasses import dataclass

from ledgewell.physics.hole import hand_rate
from ledgewell.physics.problem import FLOW_READ
from ledgewell.steps.findings import Amount, Finding, JsonTable, Phrase
from ledgewell.steps.prove.layout import Layout
from ledgewell.steps.prove.levels import PlacedLevel
from ledgewell.steps.prove.timeline import MINUTE_S, Stretch
from ledgewell.units import System

HALF = 0.5
"""Share of the drawdown that may refill before a mean says little. Source: common practice, no source."""
LEAST_RISE_SIGMAS = 2.0
"""How clear of the error of its two levels a change must be to be counted. Source: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HandFigure:
    """Volume refilled over time, as it is reckoned on the tailgate.

    Parameters
    ----------
    rate
        The rate as measured.
    scaled
        The rate scaled by drawdown to the level asked; None when the levels used or the level asked are not below
        the static level.
    start, end
        The level at which the count begins, and at which it ends.
    minutes
        Time between them.
    why
        Why it differs from the engine's figure.

    Notes
    -----
    Q = V(upper, lower)/t, or Q_pump less that while pumping. Scaled: Q (level − static)/(middle of the two levels −
    static), as if inflow grew in proportion to drawdown. Source: common practice, no source.
    """

    rate: Amount
    scaled: Amount | None
    start: Amount
    end: Amount
    minutes: float
    why: Phrase

    def to_json(self, system: System) -> JsonTable:
        """Write rate, scaled rate, both levels, minutes and the reason, numbers not rounded.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"rate", "scaled", "from", "to", "minutes", "why"}``.
        """
        return {
            "rate": self.rate.to_json(system),
            "scaled": None if self.scaled is None else self.scaled.to_json(system),
            "from": self.start.to_json(system),
            "to": self.end.to_json(system),
            "minutes": self.minutes,
            "why": self.why.text(system),
        }


def hand_figure(layout: Layout, level_m: float) -> HandFigure | None:
    """Reckon the hand figure of a test.

    Parameters
    ----------
    layout
        The test.
    level_m
        Level asked, depth below the measuring point [m].

    Returns
    -------
    HandFigure or None
        From the recovery when there is one, else from the level held by throttling, else from the end of pumping
        at a known rate; None when none of them can be had.
    """
    return _from_recovery(layout, level_m) or _from_held(layout, level_m) or _from_pumping(layout, level_m)


def refill_minute(layout: Layout) -> float | None:
    """Return the minute at which the hole was last left to refill: pump off, or the last bail; None when it never was.

    Parameters
    ----------
    layout
        The test.
    """
    stretches = layout.timeline.stretches
    bails = [s.start_min for s in stretches if s.taken_m3 > 0 and not s.pumping]
    stops = [
        *bails,
        *([] if layout.timeline.last_pump_off_min is None else [layout.timeline.last_pump_off_min]),
    ]
    return max(stops, default=None)


def _from_recovery(layout: Layout, level_m: float) -> HandFigure | None:
    stop = refill_minute(layout)
    if stop is None:
        return None
    drains = any(span.drain_m2 > 0 for span in layout.problem.steps.spans)
    levels = [level for level in layout.levels if not level.deeper and level.minute >= stop]
    if drains and len(levels) > 2 and levels[0].minute == stop:
        levels = levels[1:]
    if len(levels) < 2:
        return None
    start, end = levels[0], _end_of_refill(levels, layout.static_m)
    if start.depth_m - end.depth_m <= LEAST_RISE_SIGMAS * (start.error_m**2 + end.error_m**2) ** 0.5:
        return None
    seconds = (end.minute - start.minute) * MINUTE_S
    rate = hand_rate(layout.shape, start.depth_m, end.depth_m, seconds)
    parts = ["it counts the hole refilling"]
    if drains:
        parts.append("water that drains back from the drop pipe would count as inflow")
    return _figure(layout, level_m, rate, start, end, parts, {})


def _end_of_refill(levels: list[PlacedLevel], static_m: float) -> PlacedLevel:
    """Return the last level before half the drawdown is refilled, else the first one after it."""
    half = static_m + HALF * (levels[0].depth_m - static_m)
    within = [level for level in levels[1:] if level.depth_m >= half]
    return within[-1] if within else levels[1]


def _from_held(layout: Layout, level_m: float) -> HandFigure | None:
    held = next((s for s in reversed(layout.timeline.stretches) if s.held_m is not None), None)
    if held is None or held.held_m is None:
        return None
    begin, end = (layout.timeline.seconds_at(minute) for minute in (held.start_min, held.end_min))
    flows = [r.value for r in layout.problem.readings if r.kind == FLOW_READ and begin < r.at_s <= end + 1e-6]
    if not flows:
        return None
    standing = PlacedLevel(
        minute=held.start_min, depth_m=held.held_m, deeper=False, error_m=0.0, where=layout.where
    )
    later = PlacedLevel(
        minute=held.end_min, depth_m=held.held_m, deeper=False, error_m=0.0, where=layout.where
    )
    parts = ["it is the mean outflow while the level was held"]
    return _figure(layout, level_m, sum(flows) / len(flows), standing, later, parts, {})


def _from_pumping(layout: Layout, level_m: float) -> HandFigure | None:
    pumped = [s for s in layout.timeline.stretches if s.end_min > 0 and s.rate_m3s and s.held_m is None]
    if not pumped or pumped[-1].rate_m3s is None:
        return None
    pair = _last_pair(layout, pumped[-1])
    if pair is None:
        return None
    start, end = pair
    given = layout.shape.volume_between(start.depth_m, end.depth_m) / ((end.minute - start.minute) * MINUTE_S)
    rate = pumped[-1].rate_m3s - given
    if not rate > 0:
        return None
    parts = [
        "it is {pump} less {given} that the hole itself gave up, a small difference when the hole gives most"
    ]
    findings: dict[str, Finding] = {
        "pump": Amount(pumped[-1].rate_m3s, "flow"),
        "given": Amount(given, "flow"),
    }
    return _figure(layout, level_m, rate, start, end, parts, findings)


def _last_pair(layout: Layout, stretch: Stretch) -> tuple[PlacedLevel, PlacedLevel] | None:
    """Return the last level while pumping, and the one nearest to half that time before it."""
    during = [
        level
        for level in layout.levels
        if not level.deeper and stretch.start_min < level.minute <= stretch.end_min + 1e-9
    ]
    if len(during) < 2 or during[0].minute == during[-1].minute:
        return None
    end = during[-1]
    middle = (stretch.start_min + end.minute) / 2
    earlier = [level for level in during if level.minute < end.minute]
    return min(earlier, key=lambda level: abs(level.minute - middle)), end


def _figure(
    layout: Layout,
    level_m: float,
    rate_m3s: float,
    start: PlacedLevel,
    end: PlacedLevel,
    parts: list[str],
    findings: dict[str, Finding],
) -> HandFigure:
    middle = (start.depth_m + end.depth_m) / 2
    minutes = end.minute - start.minute
    drawdown, asked = middle - layout.static_m, level_m - layout.static_m
    can_scale = drawdown > 0 and asked > 0
    said = [*parts, *_reasons(middle, level_m, minutes)]
    if can_scale and abs(asked - drawdown) > 0.01 * drawdown:
        said.append(
            "the scaled figure takes inflow to grow with drawdown, and a drained fracture gives no more"
        )
    named = {"middle": Amount(middle, "depth"), "asked": Amount(level_m, "depth")} | findings
    return HandFigure(
        rate=Amount(rate_m3s, "flow"),
        scaled=Amount(rate_m3s * asked / drawdown, "flow") if can_scale else None,
        start=Amount(start.depth_m, "depth"),
        end=Amount(end.depth_m, "depth"),
        minutes=minutes,
        why=Phrase("; ".join(said), tuple(named.items())),
    )


def _reasons(middle_m: float, level_m: float, minutes: float) -> list[str]:
    """Return why a mean between two levels is not the yield at another level for a longer time."""
    reasons = []
    if level_m - middle_m > 0.01:
        reasons.append(
            "the water stood at {middle} in the middle, shallower than {asked}, and drew less from the rock"
        )
    elif middle_m - level_m > 0.01:
        reasons.append(
            "the water stood at {middle} in the middle, deeper than {asked}, and drew more from the rock"
        )
    reasons.append(f"it holds for {minutes:.3g} min, and inflow fades the longer a level is held")
    return reasons

"""Every string the charts and the section print, in one catalogue, so that a translation is another one."""

from __future__ import annotations

from typing import Final

ENGLISH: Final[dict[str, str]] = {
    # shared
    "band": "{percent} % band",
    "band.untested": "{percent} % band, not tested",
    "band.projection": "{percent} % band, projection",
    "if_modelled": "Bands hold only if the rock behaves as modelled.",
    "time": "Time since pumping started",
    "level": "Depth to water",
    "title.of": "{title}: {names}",
    "thinned": "{drawn} of {total} readings are drawn; all were used.",
    # levels
    "levels.title": "Levels and fit",
    "levels.pumping": "read while pumping",
    "levels.recovery": "read while recovering",
    "levels.deeper": "at least this deep",
    "levels.doubted": "in doubt, little weight",
    "levels.fit": "fitted level",
    "levels.residual": "Reading minus fit, deeper is down",
    "levels.error": "reading error ±{error}",
    "levels.rate": "Pump rate",
    "levels.rate.set": "rate as set",
    "levels.rate.measured": "rate as measured",
    "levels.static": "static {depth}",
    "levels.setting": "pump intake {depth}",
    "levels.off": "pump off, {time}",
    "levels.alt": (
        "Depth to water against time over {span}. {count} readings, from {first} to {deepest} at the "
        "deepest and {last} at the end."
    ),
    "levels.alt.fit": "The fitted line has a {percent} % band; the largest miss of a reading is {residual}.",
    "levels.alt.none": "No readings yet.",
    # inflow
    "inflow.title": "Inflow against level",
    "inflow.flow": "Inflow after the level is held {held}",
    "inflow.tested": "inflow, tested",
    "inflow.untested": "inflow, not tested",
    "inflow.region": "not tested below {depth}",
    "inflow.measured": "measured while holding the level",
    "inflow.fracture": "fracture {depth}",
    "inflow.alt": "Inflow against level, which runs down. At {depth}, as tested, it is {flow}.",
    "inflow.alt.untested": "Below {depth} nothing was tested; there the figure is dotted and hatched.",
    # yield against duration
    "duration.title": "Rock yield by how long it is drawn",
    "duration.flow": "Rock yield with the level held at {depth}",
    "duration.time": "How long the level is held",
    "duration.estimate": "yield with its {percent} % band",
    "duration.projection": "projection, {percent} % band",
    "duration.region": "projection",
    "duration.caption": (
        "Between the durations marked, bands are joined by straight lines. Beyond ten times the test's "
        "{length} a figure is a projection and is shown apart."
    ),
    "duration.alt": "Rock yield at {depth} by duration: {list}.",
    "duration.alt.projection": "{duration} is a projection: {flow}",
    "duration.alt.estimate": "{duration}: {flow}",
    # log-log drawdown and derivative
    "derivative.title": "Drawdown and its derivative",
    "derivative.axis": "Drawdown and derivative",
    "derivative.drawdown": "drawdown, read",
    "derivative.slope": "derivative of the readings",
    "derivative.fit": "drawdown, fitted",
    "derivative.fit.slope": "derivative, fitted",
    "derivative.storage": "hole storage alone",
    "derivative.caption": (
        "Derivative with respect to the natural logarithm of time (Bourdet). Slope 1 on both is the hole "
        "emptying, not the rock."
    ),
    "derivative.dropped": "Not drawn, being at or below zero: {count}.",
    "derivative.alt": (
        "Drawdown and its logarithmic derivative against time, both axes logarithmic, from {first} to "
        "{last}. Drawdown ends at {drawdown}; the derivative ends at {slope}."
    ),
    # hole: storage and yield by depth
    "stored.title": "Stored water and yield by depth",
    "stored.depth": "Depth",
    "stored.volume": "Water stored down to this depth",
    "stored.line": "stored, from the hole's dimensions",
    "stored.yield": "Flow blown by air, all fractures so far",
    "stored.airlift": "flow while drilling, measured",
    "stored.stairs": "held to the next reading",
    "stored.static": "static {depth}",
    "stored.caption": (
        "Stored water is counted from the static level down and is not yield. Air-lifted flow is what was "
        "blown with the bit at that depth; it is usually more than the rock sustains."
    ),
    "stored.alt": "Down to {depth} the hole stores {volume}. {airlift}",
    "stored.alt.airlift": "Air-lifted flow was {flow} with the bit at {depth}.",
    "stored.alt.dry": "No air-lifted flow was recorded.",
    # before and after
    "comparison.title": "Before and after",
    "comparison.flow": "Rock yield",
    "comparison.rows": "Level held at {depth}",
    "comparison.before": "before, {percent} % band",
    "comparison.after": "after, {percent} % band",
    "comparison.row.before": "{duration} before",
    "comparison.row.after": "{duration} after",
    "comparison.chance": "The chance that the yield rose is {chance}.",
    "comparison.factor": "It rose {mid} times ({low} to {high}).",
    "comparison.alt": "Rock yield before and after at {depth}: {list}.",
    "comparison.alt.row": "{duration} {before} before, {after} after",
    "chance.high": "over 99 %",
    "chance.low": "under 1 %",
    "chance": "{percent} %",
    # section
    "section.title": "Section of the hole",
    "section.depth": "Depth below {datum}",
    "section.datum.ground": "ground",
    "section.datum.measuring point": "the measuring point",
    "section.exaggeration": "Widths are drawn {times} times as wide as depths; both are to scale.",
    "section.exaggeration.none": "Widths and depths are drawn to one scale.",
    "section.no_width": "No diameter is recorded; the width of the hole is not to scale.",
    "section.symbolic": "Not to scale: {names}.",
    "section.patterns": "Rock patterns after FGDC-STD-013, redrawn.",
    "section.patterns.unknown": "No pattern is known for the code {codes}.",
    "section.bottom": "bottom of hole",
    "section.static": "static level",
    "section.flowing": "static level, above {datum}: the well flows",
    "section.pumping": "pumping level",
    "section.dry": "No water level is recorded.",
    "section.ends": "{name} ends",
    "section.casing.sealed": "annulus sealed",
    "section.casing.open": "annulus open",
    "section.shoe": "with drive shoe",
    "section.bore": "{diameter} bore, {top} to {bottom}",
    "section.fracture": "fracture",
    "section.airlift": "air-lifted {flow}",
    "section.airlift.bit": "air-lifted {flow} in all, bit at {depth}",
    "section.camera": "camera: {text}",
    "section.seat": "packer seat",
    "section.pump": "pump intake",
    "section.symbol.pump": "pump",
    "section.symbol.seats": "packer seats",
    "section.symbol.flows": "arrows of inflow, longer for more",
    "section.pipe": "drop pipe",
    "section.stratum.unnamed": "not described",
    "section.width_bar": "{width} across",
    "section.alt": "Section of the hole, drawn to scale to {depth}.",
    "section.alt.strata": "Rock: {list}.",
    "section.alt.stratum": "{name} {top} to {bottom}",
    "section.alt.notes": "Beside it: {list}.",
    "section.alt.note": "{depth} {text}",
}


def say(key: str, **fields: object) -> str:
    """Fill in a sentence of the catalogue.

    Parameters
    ----------
    key
        Its name.
    fields
        What it speaks of.

    Returns
    -------
    str
        The sentence.

    Raises
    ------
    KeyError
        When there is no such sentence or a field is missing.

    Examples
    --------
    >>> say("inflow.region", depth="290 ft")
    'not tested below 290 ft'
    """
    return ENGLISH[key].format(**fields)

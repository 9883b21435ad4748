"""The drawings of the hole step: the section, and stored water beside flow by depth."""

from __future__ import annotations

from dataclasses import replace

from ledgewell.cli.drawing import Drawing
from ledgewell.cli.section import section_of
from ledgewell.figures import (
    AirliftByDepth,
    Figure,
    Heading,
    StoredByDepth,
    stored_figure,
    svg_from_figure,
    svg_from_section,
)
from ledgewell.steps.hole import HoleFindings
from ledgewell.units import System


def hole_drawings(found: HoleFindings, system: System) -> tuple[Drawing, ...]:
    """Draw the hole.

    Parameters
    ----------
    found
        Findings of the hole step.
    system
        Unit system.

    Returns
    -------
    tuple of Drawing
        The section where anything is known below ground, and the chart of stored water where there is any.

    Examples
    --------
    >>> from ledgewell.record import Well
    >>> from ledgewell.steps.hole import describe_hole
    >>> [each.chart for each in hole_drawings(describe_hole(Well()), "us")]
    ['section']
    """
    name = found.well.well.name or ""
    section = section_of(found, system)
    section = replace(section, title=f"The hole: {name}" if name else "")
    drawings: list[Drawing] = []
    if section.bores or section.casings or section.depth_m() > section.ground_m:
        svg = svg_from_section(section, units=system)
        drawings.append(Drawing(test="", chart="section", svg=svg))
    stored = stored_chart(found, system)
    if stored is not None:
        drawings.append(Drawing(test="", chart="stored", svg=svg_from_figure(stored)))
    return tuple(drawings)


def stored_chart(found: HoleFindings, system: System) -> Figure | None:
    """Chart stored water by depth beside the flow blown while drilling.

    Parameters
    ----------
    found
        Findings of the hole step.
    system
        Unit system.

    Returns
    -------
    Figure or None
        None when the hole holds no water, or how much is not known.
    """
    rows = found.stored_rows(system)
    if not rows:
        return None
    stored = StoredByDepth(depth_m=[row.depth.si for row in rows], volume_m3=[row.above.si for row in rows])
    airlift = AirliftByDepth(
        bit_depth_m=[each.bit_depth_m for each in found.airlift],
        flow_m3s=[each.total_m3s for each in found.airlift],
    )
    level = found.standing.level
    shoe_m = found.hole.shoe_m
    return stored_figure(
        stored,
        airlift,
        units=system,
        static_level_m=level.si if level is not None else None,
        marked=[(shoe_m, "casing ends")] if shoe_m is not None else [],
        heading=Heading(
            well=found.well.well.name or "",
            sentence=found.sentence(system),
            notice=found.well.well.note or "",
            sources=tuple(dict.fromkeys(each.source for each in found.workings)),
        ),
    )

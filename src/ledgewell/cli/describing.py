"""What ``ledgewell hole`` does: ask the hole step, and draw the answer."""

from __future__ import annotations

from ledgewell.cli.answering import Step
from ledgewell.cli.drawing import Drawing
from ledgewell.cli.progress import Progress
from ledgewell.record import Well
from ledgewell.steps.hole import HoleFindings, describe_hole
from ledgewell.units import System


def hole_step() -> Step[HoleFindings]:
    """Ask the hole step.

    Returns
    -------
    Step
    """
    return Step(find=_hole, draw=_hole_drawings)


def _hole(well: Well, _progress: Progress) -> HoleFindings:
    return describe_hole(well)


def _hole_drawings(found: HoleFindings, system: System) -> tuple[Drawing, ...]:
    from ledgewell.cli.hole_drawings import hole_drawings

    return hole_drawings(found, system)

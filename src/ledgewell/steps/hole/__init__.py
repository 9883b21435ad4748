"""Hole: what is in the ground, how much water stands in it, and what does not fit."""

from __future__ import annotations

from ledgewell.steps.hole.describe import HoleFindings, describe_hole
from ledgewell.steps.hole.shape import HoleInside, inside_of, shape_on

__all__ = ["HoleFindings", "HoleInside", "describe_hole", "inside_of", "shape_on"]

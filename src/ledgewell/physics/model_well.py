"""A well as the march knows it: the hole, the fractures that open into it and the rock behind them."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from math import inf, isclose

from ledgewell.errors import RangeError
from ledgewell.physics.hole import HoleShape
from ledgewell.physics.rock import DIMENSION_HIGH, DIMENSION_LOW


@dataclass(frozen=True, slots=True, kw_only=True)
class Fracture:
    """One fracture that opens into the hole.

    Parameters
    ----------
    depth_m
        Depth of its mouth [m].
    head_m
        Level at which it alone would stand, as a depth [m].
    share
        Its share of the whole rock [–]; the shares of a well sum to 1.
    """

    depth_m: float
    head_m: float
    share: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RockAtFace:
    """The whole rock as seen from the face of the well.

    Parameters
    ----------
    resistance_s_m2
        R [s/m²]; 1/(2πT) for n = 2.
    time_constant_s
        tc = Ss rw²/K [s]; S rw²/T for n = 2.
    dimension
        Flow dimension n, 1 to 3.
    skin
        Skin σ ≥ 0 [–].
    loss_s2_m5
        Quadratic loss C ≥ 0 [s²/m⁵]: C·Q² is lost when all fractures are alike.

    Raises
    ------
    RangeError
        When a value is out of range.

    Examples
    --------
    >>> RockAtFace(resistance_s_m2=15915.5, time_constant_s=0.058).dimension
    2.0
    """

    resistance_s_m2: float
    time_constant_s: float
    dimension: float = 2.0
    skin: float = 0.0
    loss_s2_m5: float = 0.0

    def __post_init__(self) -> None:
        for name in ("resistance_s_m2", "time_constant_s"):
            if not 0 < getattr(self, name) < inf:
                raise RangeError(name, getattr(self, name), "a positive number")
        for name in ("skin", "loss_s2_m5"):
            if not 0 <= getattr(self, name) < inf:
                raise RangeError(name, getattr(self, name), "zero or a positive number")
        if not DIMENSION_LOW <= self.dimension <= DIMENSION_HIGH:
            raise RangeError("dimension", self.dimension, "between 1 and 3")


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelWell:
    """A hole, its fractures and the rock.

    Parameters
    ----------
    shape
        Free area of the hole by depth.
    fractures
        From the top down, no two at one depth; shares sum to 1.
    rock
        The rock.
    start_level_m
        Depth to water when the march begins [m]; the one head of all fractures when not given.
    intake_m
        Level below which the pump breaks suction [m]; the bottom of the hole when not given.
    spill_m
        Level above which the well overflows [m]; none when not given.

    Raises
    ------
    RangeError
        When fractures are out of order, shares do not sum to 1, or the start is not given and not to be had.

    Notes
    -----
    With unequal heads the rest level is an equilibrium to be marched to: begin with a long span at rate 0.

    Examples
    --------
    >>> rock = RockAtFace(resistance_s_m2=15915.5, time_constant_s=0.058)
    >>> shape = HoleShape((0.0, 100.0), (0.01824,))
    >>> well = ModelWell(shape=shape, fractures=(Fracture(depth_m=60.0, head_m=10.0),), rock=rock)
    >>> well.start_level_m, well.intake_m
    (10.0, 100.0)
    """

    shape: HoleShape
    fractures: tuple[Fracture, ...]
    rock: RockAtFace
    start_level_m: float = field(default=inf)
    intake_m: float = field(default=inf)
    spill_m: float = -inf

    def __post_init__(self) -> None:
        if not self.fractures:
            raise RangeError("fractures", 0, "at least one fracture")
        for above, below in pairwise(self.fractures):
            if not below.depth_m > above.depth_m:
                raise RangeError("depth_m", below.depth_m, "deeper than the fracture before it")
        shares = [fracture.share for fracture in self.fractures]
        if not (min(shares) > 0 and isclose(sum(shares), 1.0, rel_tol=1e-9)):
            raise RangeError("share", min(shares), "positive, and all shares must sum to 1")
        if self.start_level_m == inf:
            heads = {fracture.head_m for fracture in self.fractures}
            if len(heads) > 1:
                raise RangeError("start_level_m", inf, "given when the fractures' heads are not all equal")
            object.__setattr__(self, "start_level_m", heads.pop())
        if self.intake_m == inf:
            object.__setattr__(self, "intake_m", self.shape.bottom_m)

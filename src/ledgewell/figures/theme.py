"""Paper, ink and water: the palette in four lights, and the pens every drawing is made with.

Blue against orange-brown stays apart for the common kinds of color blindness, and no meaning hangs on color
alone: what was measured is a hand-plotted ring, what is modelled a smooth line, what was not tested is dotted
and hatched.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

ThemeName = Literal["day", "dark", "sunlight", "print"]
Role = Literal[
    "paper",
    "sheet",
    "ink",
    "soft",
    "grid",
    "faint",
    "water",
    "water_tint",
    "clay",
    "clay_tint",
    "stone",
    "ground",
    "steel",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Theme:
    """Colors of one light, and how much thicker lines are drawn in it."""

    name: ThemeName
    paper: str
    sheet: str
    ink: str
    soft: str
    grid: str
    faint: str
    water: str
    water_tint: str
    clay: str
    clay_tint: str
    stone: str
    ground: str
    steel: str
    weight: float = 1.0

    def color(self, role: Role) -> str:
        """Look up the color of a role.

        Parameters
        ----------
        role
            What is drawn.

        Returns
        -------
        str
            ``#rrggbb``.

        Examples
        --------
        >>> THEMES["day"].color("water")
        '#17608f'
        """
        value: str = getattr(self, role)
        return value


THEMES: dict[ThemeName, Theme] = {
    "day": Theme(
        name="day",
        paper="#faf7ef",
        sheet="#fffdf8",
        ink="#1b2a33",
        soft="#4f5d65",
        grid="#d9d2c2",
        faint="#ece7db",
        water="#17608f",
        water_tint="#c3dbe9",
        clay="#a34d1a",
        clay_tint="#f1d6c2",
        stone="#7a6d5b",
        ground="#f4eddf",
        steel="#35424a",
    ),
    "dark": Theme(
        name="dark",
        paper="#12191e",
        sheet="#172026",
        ink="#efe8d8",
        soft="#b3bdc0",
        grid="#33424b",
        faint="#222e35",
        water="#74bde8",
        water_tint="#234d67",
        clay="#f2a770",
        clay_tint="#5c3722",
        stone="#a89b85",
        ground="#24211c",
        steel="#c9d2d6",
    ),
    "sunlight": Theme(
        name="sunlight",
        paper="#ffffff",
        sheet="#ffffff",
        ink="#000000",
        soft="#1f2a30",
        grid="#b4b4b4",
        faint="#dedede",
        water="#003b66",
        water_tint="#aed0e6",
        clay="#702a00",
        clay_tint="#f3c9ab",
        stone="#4a4032",
        ground="#f7f2e6",
        steel="#1d262b",
        weight=1.4,
    ),
    "print": Theme(
        name="print",
        paper="#ffffff",
        sheet="#ffffff",
        ink="#111111",
        soft="#3a3a3a",
        grid="#cccccc",
        faint="#e6e6e6",
        water="#0d4f7b",
        water_tint="#cbdfeb",
        clay="#8c3f12",
        clay_tint="#f3dccb",
        stone="#6e6557",
        ground="#f6f3ec",
        steel="#2c363c",
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """How a shape is drawn: line color, thickness and dashes, and its fill, flat or hatched."""

    stroke: Role | None = None
    width: float = 1.0
    dash: tuple[float, ...] = ()
    fill: Role | None = None
    hatch: Role | None = None
    rounded: bool = True


PENS: dict[str, Pen] = {
    # the sheet
    "page": Pen(fill="paper"),
    "sheet": Pen(fill="sheet"),
    "grid": Pen(stroke="grid", width=0.8),
    "grid-minor": Pen(stroke="faint", width=0.7),
    "axis": Pen(stroke="ink", width=1.3),
    "tick": Pen(stroke="ink", width=1.0),
    # measured: plotted by hand, ink on paper
    "measured-ink": Pen(stroke="ink", width=1.4, fill="sheet"),
    "measured-clay": Pen(stroke="clay", width=1.4, fill="sheet"),
    "measured-water": Pen(stroke="water", width=1.4, fill="sheet"),
    "solid-ink": Pen(stroke="ink", width=1.2, fill="ink"),
    "solid-clay": Pen(stroke="clay", width=1.2, fill="clay"),
    "solid-water": Pen(stroke="water", width=1.2, fill="water"),
    "stem": Pen(stroke="soft", width=1.0),
    # lines, by what stands behind them
    **{f"computed-{ink}": Pen(stroke=ink, width=1.6) for ink in ("ink", "water", "clay")},
    **{f"modelled-{ink}": Pen(stroke=ink, width=2.4) for ink in ("ink", "water", "clay")},
    **{f"untested-{ink}": Pen(stroke=ink, width=2.2, dash=(0.1, 5.0)) for ink in ("ink", "water", "clay")},
    **{f"projection-{ink}": Pen(stroke=ink, width=2.0, dash=(9.0, 6.0)) for ink in ("ink", "water", "clay")},
    # bands
    "band-water": Pen(fill="water_tint"),
    "band-clay": Pen(fill="clay_tint"),
    "band-ink": Pen(fill="grid"),
    "band-untested-water": Pen(stroke="water", width=0.8, dash=(2.0, 3.0), hatch="water"),
    "band-untested-clay": Pen(stroke="clay", width=0.8, dash=(2.0, 3.0), hatch="clay"),
    "band-untested-ink": Pen(stroke="ink", width=0.8, dash=(2.0, 3.0), hatch="ink"),
    "bar-water": Pen(stroke="water", width=1.2, fill="water_tint"),
    "bar-clay": Pen(stroke="clay", width=1.2, hatch="clay"),
    "bar-ink": Pen(stroke="ink", width=1.2, fill="grid"),
    "bar-apart-water": Pen(stroke="water", width=1.2, dash=(4.0, 3.0), fill="sheet"),
    "bar-apart-clay": Pen(stroke="clay", width=1.2, dash=(4.0, 3.0), fill="sheet"),
    "bar-apart-ink": Pen(stroke="ink", width=1.2, dash=(4.0, 3.0), fill="sheet"),
    # limits and notes
    "limit": Pen(stroke="ink", width=1.1, dash=(7.0, 3.0, 1.5, 3.0)),
    "limit-faint": Pen(stroke="soft", width=0.9, dash=(3.0, 4.0)),
    "region": Pen(hatch="grid"),
    "region-edge": Pen(stroke="soft", width=1.0, dash=(3.0, 3.0)),
    "leader": Pen(stroke="soft", width=0.8),
    # the hole
    "ground": Pen(fill="ground"),
    "stratum": Pen(),
    "contact": Pen(stroke="stone", width=1.0),
    "hachure": Pen(stroke="ink", width=0.9),
    "surface": Pen(stroke="ink", width=2.0),
    "hole": Pen(fill="sheet"),
    "wall": Pen(stroke="ink", width=1.2),
    "wall-unknown": Pen(stroke="ink", width=1.2, dash=(5.0, 4.0)),
    "casing": Pen(stroke="steel", width=0.6, fill="steel"),
    "screen": Pen(stroke="steel", width=1.6, dash=(2.0, 2.0)),
    "seal": Pen(stroke="steel", width=0.6, hatch="steel"),
    "water": Pen(fill="water_tint"),
    "water-drawn": Pen(hatch="water"),
    "level": Pen(stroke="water", width=1.6, fill="sheet"),
    "level-line": Pen(stroke="water", width=1.6),
    "level-solid": Pen(stroke="water", width=1.6, fill="water"),
    "fracture": Pen(stroke="ink", width=1.6),
    "flow": Pen(stroke="water", width=1.6, fill="water"),
    "seat": Pen(stroke="clay", width=1.6, fill="sheet"),
    "pipe": Pen(stroke="steel", width=1.0, fill="sheet"),
    "pump": Pen(stroke="steel", width=1.2, fill="steel"),
    "slot": Pen(stroke="sheet", width=1.0),
    "camera": Pen(stroke="ink", width=1.2, fill="sheet"),
}

TextStyle = Literal["title", "sentence", "heading", "tick", "label", "note", "caption", "notice"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lettering:
    """How a kind of text is set: its size on a wide and on a narrow drawing, color and weight."""

    wide: float
    narrow: float
    role: Role = "ink"
    bold: bool = False
    halo: bool = False

    def size(self, narrow: bool) -> float:
        """Give the font size.

        Parameters
        ----------
        narrow
            Whether the drawing is a narrow one.

        Returns
        -------
        float
            Size [drawing units].

        Examples
        --------
        >>> LETTERING["tick"].size(narrow=True)
        12.5
        """
        return self.narrow if narrow else self.wide


LETTERING: dict[TextStyle, Lettering] = {
    "title": Lettering(wide=19, narrow=17, bold=True),
    "sentence": Lettering(wide=15, narrow=14),
    "heading": Lettering(wide=13.5, narrow=13, bold=True),
    "tick": Lettering(wide=13, narrow=12.5, role="soft"),
    "label": Lettering(wide=13, narrow=12.5, halo=True),
    "note": Lettering(wide=13, narrow=12.5),
    "caption": Lettering(wide=12.5, narrow=12.5, role="soft"),
    "notice": Lettering(wide=13, narrow=12.5, role="clay", bold=True),
}

HATCH_PITCH = 6.0
HATCH_WIDTH = 1.1


def stylesheet() -> str:
    """Write the palette as CSS, so that a page can change the light of a drawing it holds.

    Returns
    -------
    str
        Rules ``.lw-THEME .lw-PEN``; they outrank the colors written in the drawing itself.

    Examples
    --------
    >>> ".lw-dark .lw-modelled-water{stroke:#74bde8;fill:none;stroke-width:2.4}" in stylesheet()
    True
    """
    rules = []
    for theme in THEMES.values():
        for name, pen in PENS.items():
            stroke = theme.color(pen.stroke) if pen.stroke else "none"
            declarations = f"stroke:{stroke};"
            if pen.hatch is None:
                declarations += f"fill:{theme.color(pen.fill) if pen.fill else 'none'};"
            rules.append(
                f".lw-{theme.name} .lw-{name}{{{declarations}stroke-width:{pen.width * theme.weight:g}}}"
            )
        hatched: set[Role] = {"stone", *(pen.hatch for pen in PENS.values() if pen.hatch)}
        rules += [
            f".lw-{theme.name} .lw-hatch-{role}{{stroke:{theme.color(role)}}}" for role in sorted(hatched)
        ]
        for style, lettering in LETTERING.items():
            halo = f";stroke:{theme.sheet}" if lettering.halo else ""
            rules.append(f".lw-{theme.name} .lw-text-{style}{{fill:{theme.color(lettering.role)}{halo}}}")
    return "\n".join(rules) + "\n"

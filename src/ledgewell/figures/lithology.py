"""Rock patterns by the code numbers of FGDC-STD-013, each drawn here anew.

The code numbers and what they stand for are the standard's; the tiles are our own drawings in its manner
(grains for sand, dashes for clay and shale, blocks for limestone, waves for foliation, crosses for
granite), not tracings.

Source: fgdc2006.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledgewell.figures import motifs as m


@dataclass(frozen=True, slots=True)
class Pattern:
    """A repeating tile: its code, what it stands for, its size, lines to stroke and shapes to fill."""

    code: str
    name: str
    width: float
    height: float
    lines: str = ""
    solids: str = ""


FIVE = ((4, 4), (17, 6), (10, 14), (3, 21), (20, 20))
NINE = ((3, 3), (11, 6), (19, 2), (6, 11), (15, 13), (22, 10), (2, 19), (11, 21), (19, 19))
SLANTS = ((3, 6), (14, 4), (22, 9), (8, 14), (18, 17), (2, 21), (12, 23))
"""Spots on a tile of 24 by 24, scattered by hand so that no row shows."""


def _rows(
    step: float, length: float, pitch: float, width: float = 24.0, height: float = 24.0
) -> list[m.Spot]:
    """Lay spots in rows, every second row set over by half a pitch."""
    spots: list[m.Spot] = []
    for row in range(round(height / step)):
        start = pitch / 2 if row % 2 else 0.0
        columns = range(round(width / pitch))
        spots += [((start + column * pitch) % width, step * (row + 0.5)) for column in columns]
    # What runs over the right edge of the tile comes in again at the left.
    return spots + [(x - width, y) for x, y in spots if x + length > width]


def _scatter(code: str, name: str, lines: str = "", solids: str = "") -> Pattern:
    return Pattern(code, name, 24.0, 24.0, lines, solids)


def _unconsolidated() -> list[Pattern]:
    gravel = m.spread(m.pebble(6, 4.5), ((5, 5), (17, 4), (11, 12), (20, 15), (4, 17), (13, 21)))
    coarse = m.spread(m.pebble(9, 7), ((7, 7), (18, 18))) + m.spread(m.pebble(4, 3), ((18, 5), (6, 19)))
    slant = m.spread(m.stroke(9, -4), ((2, 11), (13, 23)))
    triangles = m.spread(m.triangle(5), ((5, 6), (17, 9), (9, 18), (20, 20)))
    mixed = m.spread(m.triangle(4), ((5, 5), (18, 18))) + m.spread(m.pebble(4, 3), ((18, 6), (7, 19)))
    grains, fine = m.spread(m.dot(0.9), FIVE), m.spread(m.dot(0.7), NINE)
    short = m.spread(m.dash(4), ((9, 8), (14, 16), (2, 12)))
    upright = m.spread(m.stroke(0, 5), ((4, 3), (16, 3), (10, 11), (22, 11), (4, 18), (16, 18)))
    bed = m.path("M", 0.0, 12.0, "h", 24.0)
    return [
        _scatter("601", "gravel", gravel),
        _scatter("602", "gravel", coarse),
        _scatter("603", "cross-bedded gravel", coarse + slant),
        _scatter("605", "breccia", triangles),
        _scatter("606", "breccia", triangles + m.spread(m.pebble(3, 3), ((11, 9), (3, 19)))),
        _scatter("607", "massive sand", solids=fine),
        _scatter("608", "bedded sand", bed, fine),
        _scatter("609", "cross-bedded sand", slant, fine),
        _scatter("610", "cross-bedded sand", slant + bed, fine),
        _scatter("681", "till", mixed, grains),
        _scatter("682", "till", mixed + short, grains),
        _scatter("683", "diamicton", mixed + short, fine),
        _scatter("684", "loess", upright),
        _scatter("685", "loess", upright, grains),
        _scatter("686", "loess", upright, fine),
        _scatter("657", "peat", m.spread(m.tuft(5), ((6, 8), (18, 12), (8, 21)))),
    ]


def _bedded() -> list[Pattern]:
    dashes = m.spread(m.dash(7), _rows(6, 7, 12))
    long = m.spread(m.dash(9), _rows(6, 9, 12))
    silt = m.spread(m.dash(4), _rows(6, 4, 12))
    between = m.spread(m.dot(0.8), [((x + 8) % 24, y) for x, y in _rows(6, 4, 12)])
    over = m.spread(m.dot(0.8), [(x + 3, y - 2) for x, y in _rows(12, 7, 12)])
    bars = m.path(
        "M",
        0.0,
        3.0,
        "h",
        24.0,
        "v",
        4.0,
        "h",
        -24.0,
        "z",
        "M",
        0.0,
        15.0,
        "h",
        24.0,
        "v",
        4.0,
        "h",
        -24.0,
        "z",
    )
    sandy = m.spread(m.dot(0.8), ((3, 3), (9, 5), (15, 3), (21, 5), (6, 9), (12, 9), (18, 9)))
    shaly = m.spread(m.dash(7), ((2, 16), (14, 16), (8, 21)))
    beds = m.path("M", 0.0, 0.4, "h", 24.0, "M", 0.0, 12.4, "h", 24.0)
    return [
        _scatter(
            "612",
            "shaly sandstone",
            m.spread(m.dash(6), ((2, 5), (14, 12), (6, 20))),
            m.spread(m.dot(0.7), NINE),
        ),
        _scatter("616", "silt", silt, between),
        _scatter("619", "sandy or silty shale", dashes, over),
        _scatter("620", "clay or clay shale", long),
        Pattern("627", "limestone", 24.0, 16.0, m.courses(24, 16, (0.5, 8.5))),
        Pattern("642", "dolostone", 24.0, 16.0, m.courses(24, 16, (0.5, 8.5), lean=-4)),
        _scatter("658", "coal", solids=bars),
        _scatter(
            "662",
            "bentonite",
            m.spread(m.vee(5, 3), ((5, 6), (17, 6), (11, 14), (23, 14), (5, 22), (17, 22))),
        ),
        _scatter("667", "gypsum", m.spread(m.stroke(5, -5), ((2, 9), (13, 9), (8, 20), (19, 20)))),
        _scatter("670", "sandstone and shale", shaly + beds, sandy),
    ]


def _metamorphic() -> list[Pattern]:
    waves = m.spread(m.wave(11, 3), ((0, 4), (13, 8), (2, 13), (12, 17), (0, 22)))
    tight = m.spread(m.wave(8, 7), ((1, 7), (13, 5), (7, 15), (15, 18), (0, 21)))
    banded = m.spread(m.wave(24, 4), ((0, 6), (0, 18)))
    strokes = m.spread(m.dash(6), ((3, 12), (14, 12), (8, 23), (17, 23)))
    folds = m.spread(m.wave(24, 11), ((0, 7), (0, 19)))
    steep = m.spread(m.stroke(6, -10), ((1, 11), (9, 11), (17, 11), (5, 23), (13, 23)))
    grains = m.spread(m.dot(0.9), FIVE)
    marks = m.spread(m.plus(2.5), ((5, 5), (17, 17))) + m.spread(m.wave(9, 3), ((11, 7), (3, 18)))
    return [
        _scatter("702", "quartzite", m.spread(m.vee(4, 3), ((5, 7), (18, 10), (9, 20))), grains),
        _scatter("703", "slate", steep),
        _scatter("704", "gneissoid granite", marks),
        _scatter("705", "schist", waves),
        _scatter("706", "contorted schist", tight),
        _scatter("707", "schist and gneiss", banded + m.spread(m.wave(9, 3), ((3, 12), (13, 23)))),
        _scatter("708", "gneiss", banded + strokes),
        _scatter("709", "contorted gneiss", folds + m.spread(m.dash(5), ((4, 13), (15, 22)))),
        _scatter(
            "710", "soapstone or serpentine", m.spread(m.curl(6), ((3, 8), (14, 12), (6, 20), (16, 22)))
        ),
    ]


def _igneous() -> list[Pattern]:
    pluses = m.spread(m.plus(3), ((6, 6), (18, 18)))
    ticks = m.spread(m.stroke(4, -2), ((3, 5), (15, 9), (7, 17))) + m.spread(
        m.stroke(2, 4), ((11, 3), (20, 15), (3, 12))
    )
    tuff = m.spread(m.vee(4, 3), ((6, 7), (18, 19)))
    corners = m.spread(m.angle(6, 5), ((3, 8), (14, 10), (6, 20), (16, 22)))
    beds = m.path("M", 0.0, 0.5, "h", 24.0, "M", 0.0, 12.5, "h", 24.0)
    crystals = m.spread(m.box(6, 3.5, 2), ((7, 6), (17, 16)))
    igneous = [
        m.spread(m.cross(2.2), ((5, 6), (18, 6), (11, 15), (22, 18), (4, 20))),
        m.spread(m.vee(5, 4), ((5, 8), (18, 8), (11, 17), (21, 22))),
        m.spread(m.stroke(4, -4), SLANTS),
        m.spread(m.stroke(4, 4), ((3, 3), (14, 2), (8, 10), (18, 13), (2, 17), (12, 19))),
        m.spread(m.stroke(0, 5), ((4, 3), (14, 2), (20, 9), (9, 11), (3, 16), (16, 17))),
        m.spread(m.angle(4, 4), ((4, 7), (15, 7), (9, 15), (19, 17), (4, 22))),
        m.spread(m.plus(2), ((5, 5), (17, 7), (11, 14), (4, 20), (19, 20))),
        m.spread(m.cross(1.8), ((5, 6), (17, 18))) + m.spread(m.plus(1.8), ((17, 6), (5, 18))),
    ]
    vein = m.path("M", 0.0, 20.0, "L", 8.0, 12.0, "L", 14.0, 14.0, "L", 24.0, 2.0)
    return [
        _scatter("711", "tuff", tuff, m.spread(m.dot(0.8), NINE)),
        _scatter("717", "basaltic flows", corners + beds),
        _scatter("718", "granite", ticks + m.spread(m.cross(1.8), ((18, 4), (14, 20)))),
        _scatter("719", "granite", pluses + m.spread(m.plus(2), ((18, 6), (6, 18)))),
        _scatter("720", "banded igneous rock", beds + m.spread(m.plus(2.2), ((6, 6), (18, 6), (12, 18)))),
        *(_scatter(str(721 + index), "igneous rock", lines) for index, lines in enumerate(igneous)),
        _scatter("729", "porphyritic rock", crystals + m.spread(m.stroke(3, -2), ((15, 6), (4, 18)))),
        _scatter("730", "porphyritic rock", crystals, m.spread(m.dot(0.8), FIVE)),
        _scatter("732", "quartz vein", vein + m.spread(m.plus(1.6), ((6, 5), (18, 19)))),
        _scatter("733", "ore", solids=m.spread(m.pebble(6, 4), ((6, 6), (18, 10), (9, 19)))),
    ]


PATTERNS: dict[str, Pattern] = {
    pattern.code: pattern
    for family in (_unconsolidated(), _bedded(), _metamorphic(), _igneous())
    for pattern in family
}
"""Patterns by code."""

ROCK_CODES: tuple[tuple[str, str], ...] = (
    ("contorted gneiss", "709"),
    ("contorted schist", "706"),
    ("schist and gneiss", "707"),
    ("granite gneiss", "704"),
    ("granitic gneiss", "704"),
    ("gneiss", "708"),
    ("schist", "705"),
    ("phyllite", "705"),
    ("slate", "703"),
    ("quartzite", "702"),
    ("marble", "627"),
    ("serpentin", "710"),
    ("soapstone", "710"),
    ("granodiorite", "718"),
    ("granit", "718"),
    ("quartz vein", "732"),
    ("basalt", "717"),
    ("tuff", "711"),
    ("porphyr", "729"),
    ("dolost", "642"),
    ("dolomit", "642"),
    ("limestone", "627"),
    ("sandstone and shale", "670"),
    ("shaly sandstone", "612"),
    ("sandstone", "608"),
    ("sandy shale", "619"),
    ("silty shale", "619"),
    ("siltstone", "616"),
    ("shale", "620"),
    ("mudstone", "620"),
    ("coal", "658"),
    ("gypsum", "667"),
    ("peat", "657"),
    ("loess", "684"),
    ("hardpan", "681"),
    ("boulder", "681"),
    ("till", "681"),
    ("gravel", "601"),
    ("breccia", "605"),
    ("sand", "607"),
    ("silt", "616"),
    ("clay", "620"),
    ("diorite", "721"),
    ("gabbro", "722"),
)
"""Words of a driller's log and the nearest code, particular words first (common practice, no source).

Marble and phyllite have no code of their own in the list and take the nearest; their name stands beside
them."""


def code_of_rock(rock: str, symbol: str = "") -> str:
    """Choose a pattern for a rock: the code given, else the nearest to its name.

    Parameters
    ----------
    rock
        Name as the driller wrote it.
    symbol
        FGDC code, when one was given.

    Returns
    -------
    str
        A code of :data:`PATTERNS`, or nothing when neither says which.

    Examples
    --------
    >>> code_of_rock("pink granite, hard"), code_of_rock("bedrock"), code_of_rock("ledge", "708")
    ('718', '', '708')
    """
    given = symbol.strip()
    if given in PATTERNS:
        return given
    name = rock.casefold()
    return next((code for word, code in ROCK_CODES if word in name), "")

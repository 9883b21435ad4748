"""What is believed of a weak rock well before its test: the one place where priors stand, in words, with sources.

They were fixed, with their date, in docs/decisions/0006-priors.md, before any calibration run, and are not the
ranges of the calibration's generator. `--working` prints `in_words`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

from ledgewell.steps.prove.laws import HalfNormal, Law, Normal

_DECADE = log(10.0)
_FT = 0.3048


@dataclass(frozen=True, slots=True, kw_only=True)
class Priors:
    """Laws of what every rock well has; ln is natural, units SI.

    Parameters
    ----------
    log_transmissivity, log_storativity
        ln T* [ln m²/s] and ln S*, apparent at the face.
    dimension
        Flow dimension n.
    skin
        Skin σ.
    log_loss_middle, log_loss
        ln of the quadratic loss C [ln s²/m⁵]: its middle and its law.
    rate_error, area_error
        Standard deviation of ln(true/recorded) of pump rate and of hole area.
    log_scatter
        ln of the true reading error over the method's.
    log_share
        ln of a fracture's share over the last one's, when no airlift flow was noted.
    airlift_spread
        Standard deviation of ln share about what the airlift flows say.
    """

    log_transmissivity: Law = Normal(log(3e-6), 1.25 * _DECADE)
    log_storativity: Law = Normal(log(1e-3), 1.75 * _DECADE)
    dimension: Law = Normal(2.0, 0.35, 1.0, 3.0)
    skin: Law = HalfNormal(4.0)
    log_loss_middle: float = log(5 / _FT**5)
    log_loss: Law = Normal(log(5 / _FT**5), 2.0)
    rate_error: float = 0.04
    area_error: float = 0.03
    log_scatter: Law = Normal(0.0, 0.5)
    log_share: Law = Normal(0.0, 1.5)
    airlift_spread: float = 1.0


READING_ERROR_M: dict[str, float] = {
    "steel tape": 0.02 * _FT,
    "electric tape": 0.04 * _FT,
    "transducer": 0.05 * _FT,
    "acoustic": 0.15 * _FT,
    "air line": 0.6 * _FT,
    "estimate": 2.0 * _FT,
}
"""One standard deviation of a level by method [m]. Source: cunningham2011 for tapes; air line ±1 ft and acoustic
0.02 to 0.1 ft and temperature error from memory; the rest common practice, no source. Hand work on a running test
is worse than a careful static reading, so the tapes' best figure is not used."""
UNSTATED_ERROR_M = 0.15 * _FT
"""When no method is stated. Source: common practice, no source."""
STATIC_UNREST_M = 0.3 * _FT
"""How far a recorded static level may stand from rest, one standard deviation. Source: common practice, no source."""


@dataclass(frozen=True, slots=True)
class InWords:
    """One prior as `--working` prints it."""

    what: str
    say: str
    source: str


IN_WORDS: tuple[InWords, ...] = (
    InWords(
        "transmissivity T*",
        "about 3e-6 m²/s (0.26 m²/day), two thirds of wells within a factor of 18 either way",
        "banks2010: Fennoscandian crystalline rock, bulk 0.56 ± 0.30 m²/day; halved, since only weak wells come "
        "here, and widened for what drilling leaves",
    ),
    InWords(
        "storativity S*, apparent at the face",
        "about 1e-3, two thirds within a factor of 56; values up to 10 stand for a stimulated face",
        "common practice, no source: confined fractures 1e-6 to 1e-3, weathered or stimulated rock far above",
    ),
    InWords(
        "flow dimension n",
        "2 (radial) ± 0.35, never under 1 or over 3",
        "barker1988 for the range; from memory",
    ),
    InWords("skin", "none to about 8, small more likely", "common practice, no source"),
    InWords(
        "quadratic loss C",
        "about 5 s²/ft⁵, within a factor of 7",
        "walton1962: under 5 is a good well; from memory",
    ),
    InWords(
        "pump rate", "true over recorded, ± 4 %, one error for the whole test", "common practice, no source"
    ),
    InWords("hole area", "true over recorded, ± 3 %: bit wear and washout", "common practice, no source"),
    InWords(
        "reading error",
        "the method's own, within a factor of 1.6 either way; two readings in a hundred are taken to be wrong",
        "cunningham2011 for tapes; common practice for the rest",
    ),
    InWords(
        "shares of fractures",
        "as the airlift flows say, within a factor of 2.7; without them any of them may carry most",
        "common practice, no source: flows blown while drilling are rough",
    ),
)
"""Every prior, in words, with its source."""

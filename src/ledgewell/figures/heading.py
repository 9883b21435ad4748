"""The words that stand around any chart, and small readings of SI values in the unit system asked for."""

from __future__ import annotations

from dataclasses import dataclass

from ledgewell.figures.quantity import display_unit, plain_text
from ledgewell.figures.spec import Arrangement, Axis, Figure, Panel
from ledgewell.figures.words import say
from ledgewell.units import System, show, show_estimate

UNDER_ONE_PERCENT = 0.01
OVER_NINETY_NINE_PERCENT = 0.99


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """Whose chart it is, the sentence under its title, and where its data come from.

    Parameters
    ----------
    well, test
        Names, as typed; may be empty.
    sentence
        The sentence a crew can act on.
    source_note
        Where data and method come from, in words.
    notice
        What must stand on every showing, such as that the data are invented.
    sources
        Citation keys.
    """

    well: str = ""
    test: str = ""
    sentence: str = ""
    source_note: str = ""
    notice: str = ""
    sources: tuple[str, ...] = ()

    def title(self, title: str) -> str:
        """Put the names behind a title.

        Parameters
        ----------
        title
            What the chart shows.

        Returns
        -------
        str
            Title and names.

        Examples
        --------
        >>> Heading(well="Lower pasture", test="after").title("Levels and fit")
        'Levels and fit: Lower pasture, after'
        """
        names = ", ".join(name for name in (self.well, self.test) if name)
        return say("title.of", title=title, names=names) if names else title


def headed_figure(
    heading: Heading | None,
    *,
    name: str,
    title: str,
    alt: str,
    caption: str,
    units: System,
    shared: Axis,
    panels: tuple[Panel, ...],
    arrangement: Arrangement = "stacked",
) -> Figure:
    """Put the words of a heading around panels.

    Parameters
    ----------
    heading
        Words around the chart; none when nobody gave any.
    name, title, alt, caption, units, shared, panels, arrangement
        What the chart itself says and shows.

    Returns
    -------
    Figure
        The chart.

    Examples
    --------
    >>> axis = Axis(kind="flow", title="Yield", unit="gpm", scale="linear", low=0.0, high=5.0, ticks=())
    >>> panel = Panel(name="yield", role="main", axis=axis, marks=())
    >>> words = {"name": "yield", "title": "Yield", "alt": "Nothing yet.", "caption": ""}
    >>> headed_figure(Heading(well="A1"), units="us", shared=axis, panels=(panel,), **words).title
    'Yield: A1'
    """
    heading = heading or Heading()
    return Figure(
        name=name,
        title=heading.title(title),
        sentence=heading.sentence,
        alt=alt,
        caption=caption,
        source_note=heading.source_note,
        notice=heading.notice,
        sources=heading.sources,
        units=units,
        arrangement=arrangement,
        shared=shared,
        panels=panels,
    )


def depth_text(depth_m: float, units: System) -> str:
    """Write a depth or height with its unit.

    Parameters
    ----------
    depth_m
        Depth [m].
    units
        Unit system.

    Returns
    -------
    str
        To a tenth, without a trailing zero.

    Examples
    --------
    >>> depth_text(88.392, "us"), depth_text(88.392, "si")
    ('290 ft', '88.4 m')
    """
    unit = display_unit("depth", units)
    return f"{plain_text(unit.from_si(depth_m))} {unit.symbol}"


def flow_text(flow_m3s: float, units: System) -> str:
    """Write a measured flow with its unit.

    Parameters
    ----------
    flow_m3s
        Flow [m³/s].
    units
        Unit system.

    Returns
    -------
    str
        The flow.

    Examples
    --------
    >>> flow_text(2.6e-4, "us"), flow_text(2.6e-4, "si")
    ('4.12 gpm', '15.6 L/min')
    """
    return show(flow_m3s, "flow", units)


def flow_estimate_text(low_m3s: float, mid_m3s: float, high_m3s: float, units: System) -> str:
    """Write an estimated flow with its band.

    Parameters
    ----------
    low_m3s, mid_m3s, high_m3s
        The estimate [m³/s].
    units
        Unit system.

    Returns
    -------
    str
        Middle, unit and band.

    Examples
    --------
    >>> flow_estimate_text(2.2e-4, 2.6e-4, 3.1e-4, "us")
    '4.1 gpm (3.5 to 4.9)'
    """
    return str(show_estimate(low_m3s, mid_m3s, high_m3s, "flow", units))


def duration_text(duration_s: float) -> str:
    """Name a length of time.

    Parameters
    ----------
    duration_s
        Length of time [s].

    Returns
    -------
    str
        In the unit of time it reads naturally in.

    Examples
    --------
    >>> duration_text(2700.0), duration_text(86400.0), duration_text(15552000.0)
    ('45 min', '24 h', '180 d')
    """
    return show(duration_s, "duration", "us")


def percent_text(probability: float) -> str:
    """Write a probability as a whole percent, without the sign.

    Parameters
    ----------
    probability
        Between 0 and 1.

    Returns
    -------
    str
        The percent.

    Examples
    --------
    >>> percent_text(0.9)
    '90'
    """
    return plain_text(100 * probability)


def chance_text(probability: float) -> str:
    """Write a chance, never as certain as 0 or 100 %.

    Parameters
    ----------
    probability
        Between 0 and 1.

    Returns
    -------
    str
        The chance.

    Examples
    --------
    >>> chance_text(0.974), chance_text(0.999)
    ('97 %', 'over 99 %')
    """
    if probability > OVER_NINETY_NINE_PERCENT:
        return say("chance.high")
    if probability < UNDER_ONE_PERCENT:
        return say("chance.low")
    return say("chance", percent=f"{100 * probability:.0f}")


def sentences(*parts: str) -> str:
    """Join sentences, leaving out empty ones.

    Parameters
    ----------
    parts
        Sentences.

    Returns
    -------
    str
        One paragraph.

    Examples
    --------
    >>> sentences("One.", "", "Two.")
    'One. Two.'
    """
    return " ".join(part.strip() for part in parts if part.strip())

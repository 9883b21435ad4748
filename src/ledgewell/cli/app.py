"""The commands. Each says what it takes and hands on; what it needs is imported only when it runs."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Annotated

from cyclopts import App, CycloptsError, Parameter

from ledgewell import __version__
from ledgewell.cli.faults import ANSWERED, INPUT_WRONG, STOPPED
from ledgewell.cli.options import DEFAULTS, File, StepOptions, checked_files, quantities_from
from ledgewell.cli.printing import print_json, print_lines
from ledgewell.errors import InputError
from ledgewell.units import parse_quantity

app = App(
    name="ledgewell",
    help="The field book and the engineer for weak wells in hard rock.",
    version=__version__,
    help_format="plaintext",
    suppress_keyboard_interrupt=False,
)
_SHARED = ("--json", "--units", "--seed", "--figures", "--working", "--help")


@app.command(usage="Usage: ledgewell hole [OPTIONS] FILE...")
def hole(*file: File, options: StepOptions = DEFAULTS) -> int:
    """Say what the hole is: stored water, level at rest, flow by depth, what does not fit.

    Parameters
    ----------
    file
        Well files, or - for standard input.
    """
    files = checked_files(file, _SHARED)
    from ledgewell.cli.answering import answer_files
    from ledgewell.cli.describing import hole_step

    return answer_files(files, options, hole_step())


@app.command(usage="Usage: ledgewell prove [OPTIONS] FILE...")
def prove(
    *file: File,
    level: Annotated[tuple[str, ...], Parameter(negative="", show_default=False)] = (),
    duration: Annotated[tuple[str, ...], Parameter(negative="", show_default=False)] = (),
    decline: Annotated[str | None, Parameter(show_default=False)] = None,
    plan: Annotated[bool, Parameter(negative="", show_default=False)] = False,
    options: StepOptions = DEFAULTS,
) -> int:
    """Say what the well makes, at what level, how surely, and whether testing may stop.

    Parameters
    ----------
    file
        Well files, or - for standard input.
    level
        Depth to water below the measuring point to answer for, such as 290ft; may be repeated.
    duration
        How long the level is held, such as 24h; may be repeated.
    decline
        How far the static level falls in a dry season, such as 12ft or 0ft; projections take it in.
    plan
        Plan the next yield test instead of answering from those on record.
    """
    files = checked_files(file, ("--level", "--duration", "--decline", "--plan", *_SHARED))
    levels_m, wrong_levels = quantities_from(level, "depth", "--level", options.units)
    durations_s, wrong_durations = quantities_from(duration, "duration", "--duration", options.units)
    decline_m = (
        None
        if decline is None
        else parse_quantity(decline, "length", system=options.units, where="--decline").si
    )
    if wrong_levels or wrong_durations:
        raise InputError([*wrong_levels, *wrong_durations])
    from ledgewell.cli.answering import answer_files
    from ledgewell.cli.proving import plan_step, prove_step

    if plan:
        return answer_files(files, options, plan_step(levels_m, options.seed))
    return answer_files(files, options, prove_step(levels_m, durations_s, options.seed, decline_m))


@app.command(usage="Usage: ledgewell schema [--company]")
def schema(*, company: Annotated[bool, Parameter(negative="", show_default=False)] = False) -> int:
    """Print the JSON Schema of the well file.

    Parameters
    ----------
    company
        Print that of the company's own record instead.
    """
    from ledgewell.record import company_schema
    from ledgewell.record import schema as well_schema

    print_json(company_schema() if company else well_schema())
    return ANSWERED


def run(arguments: Sequence[str]) -> int:
    """Run one command.

    Parameters
    ----------
    arguments
        What stands after ``ledgewell``.

    Returns
    -------
    int
        Exit code: 0 answered, 2 the input is wrong, 130 stopped by Ctrl-C. A fault of ours is raised.

    Examples
    --------
    >>> run(["--version"])
    0.1.0
    0
    """
    try:
        code = app(list(arguments), exit_on_error=False, print_error=False, result_action="return_value")
    except InputError as error:
        for each in error.problems:
            print_lines(
                [f"{each.where}: {each.say}", f"  given  {each.given}", f"  right  {each.right}"], sys.stderr
            )
        return INPUT_WRONG
    except CycloptsError as error:
        print_lines([str(error).strip(), "ledgewell --help tells what can be asked."], sys.stderr)
        return INPUT_WRONG
    except KeyboardInterrupt:
        print_lines(["", "Stopped. Nothing was left half written."], sys.stderr)
        return STOPPED
    return code if isinstance(code, int) else ANSWERED

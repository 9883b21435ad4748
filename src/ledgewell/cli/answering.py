"""Answer for one file after another: the good ones answer, the bad ones say what is wrong, nothing is half done."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from ledgewell.cli.drawing import Drawing, DrawingFolder
from ledgewell.cli.faults import ANSWERED, INPUT_WRONG, OUR_FAULT, fault_lines, faults_to_json
from ledgewell.cli.opening import Opened, open_well
from ledgewell.cli.options import StepOptions
from ledgewell.cli.printing import print_json, print_lines
from ledgewell.cli.progress import Progress
from ledgewell.errors import InputError, LedgewellError, Problem
from ledgewell.record import Well
from ledgewell.steps.findings import JsonTable, chosen_system
from ledgewell.units import System


class Findings(Protocol):
    """What a step answers."""

    def to_json(self, system: System) -> JsonTable:
        """Write everything as a JSON object, numbers not rounded."""

    def say(self, system: System) -> str:
        """Write the answer for a terminal, its sentence first."""

    def working_lines(self, system: System) -> Iterable[str]:
        """Write the working for reading."""


Found = TypeVar("Found", bound=Findings)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step(Generic[Found]):
    """One step as a command.

    Parameters
    ----------
    find
        From a record to its findings; it may say how far it has come.
    draw
        The charts of its findings.
    """

    find: Callable[[Well, Progress], Found]
    draw: Callable[[Found, System], Sequence[Drawing]]


def answer_files(files: Sequence[str], options: StepOptions, step: Step[Found]) -> int:
    """Answer for every file, in order.

    Parameters
    ----------
    files
        Paths, or ``-`` for standard input.
    options
        What was asked for.
    step
        The step.

    Returns
    -------
    int
        Exit code: 0 when all answered, 2 when a file was wrong, 1 when a fault is ours.
    """
    answers: list[JsonTable] = []
    codes: set[int] = set()
    with Progress(sys.stderr, files=len(files)) as progress:
        run = _Run(options, step, progress, many=len(files) > 1)
        for given in files:
            code, answer = run.answer(given)
            codes.add(code)
            answers += [answer] if answer is not None else []
            progress.next_file()
    if options.json:
        print_json(answers if len(files) > 1 else answers[0])
    return OUR_FAULT if OUR_FAULT in codes else max(codes)


class _Run(Generic[Found]):
    """One run of a step over its files."""

    def __init__(self, options: StepOptions, step: Step[Found], progress: Progress, *, many: bool) -> None:
        self.options, self.step, self.progress, self.many = options, step, progress, many
        self.folder = DrawingFolder(options.figures) if options.figures is not None else None
        self.begun = False

    def answer(self, given: str) -> tuple[int, JsonTable | None]:
        """Answer for one file: exit code, and what goes into the JSON when that was asked for."""
        try:
            opened = open_well(given)
        except InputError as error:
            return INPUT_WRONG, self._failed(given, error.problems, "read")
        try:
            findings = self.step.find(opened.well, self.progress)
            system = chosen_system(self.options.units, opened.well.units)
            answer = _with_warnings(findings.to_json(system), opened, system) if self.options.json else None
            lines = [] if self.options.json else self._lines(findings, opened, system)
            drawings = self.step.draw(findings, system) if self.folder is not None else ()
        except InputError as error:
            return INPUT_WRONG, self._failed(given, error.problems, "answered")
        except LedgewellError as error:
            right = "please report this: the file may well be right"
            problem = Problem(where="ledgewell", given=repr(given), say=str(error), right=right)
            return OUR_FAULT, self._failed(given, [problem], "answered")
        self.progress.wipe()
        print_lines(lines)
        return self._draw(opened, drawings), answer

    def _failed(self, given: str, problems: Sequence[Problem], failed: str) -> JsonTable | None:
        self.progress.wipe()
        if self.options.json:
            return faults_to_json(given, problems)
        print_lines([*self._gap(), *fault_lines(given, problems, failed)], sys.stderr)
        return None

    def _gap(self) -> list[str]:
        """An empty line between the answers of two files."""
        gap = [""] if self.begun else []
        self.begun = True
        return gap

    def _lines(self, findings: Findings, opened: Opened, system: System) -> list[str]:
        lines = [*self._gap(), f"{opened.given}: {opened.name}"] if self.many else []
        lines.append(findings.say(system))
        if opened.warned:
            lines += ["", "The file", *(f"  {each.where}: {each.text(system)}" for each in opened.warned)]
        if self.options.working:
            lines += ["", "The working", *(f"  {line}" for line in findings.working_lines(system))]
        return lines

    def _draw(self, opened: Opened, drawings: Sequence[Drawing]) -> int:
        """Write the drawings; a folder that cannot be written is the input's fault, and the answer stands."""
        if self.folder is None:
            return ANSWERED
        try:
            written = self.folder.write(opened.name, drawings)
        except InputError as error:
            print_lines(fault_lines(opened.given, error.problems, "drawn"), sys.stderr)
            return INPUT_WRONG
        if not self.options.json:
            print_lines(["", *(f"Drawn: {path}" for path in written)])
        return ANSWERED


def _with_warnings(answer: JsonTable, opened: Opened, system: System) -> JsonTable:
    if not opened.warned:
        return answer
    own = answer.get("warnings")
    warnings = [each.to_json(system) for each in opened.warned] + (own if isinstance(own, list) else [])
    return {**answer, "warnings": warnings}

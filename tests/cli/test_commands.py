"""The commands in one process: what they print, and their exit codes."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ledgewell.cli import answering, app, describing, proving, run
from ledgewell.errors import LedgewellError, NotSettledError
from ledgewell.record import Well
from ledgewell.steps.hole import HoleFindings

ANSWER = "400 ft hole, 6 1/4 in below 40 ft of casing. Water stands at 38.5 ft: 580 gal (550 to 610) stored."


def test_the_answer_comes_first(well: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["hole", well]) == 0
    printed = capsys.readouterr()
    assert printed.out.startswith(ANSWER)
    assert printed.err == ""


def test_one_file_answers_an_object(well: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["hole", well, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["say"].startswith(ANSWER)
    assert (answer["format"], answer["well"], answer["bottom"]["unit"]) == (1, "Upper field", "ft")


def test_several_files_answer_in_order_and_a_bad_one_in_its_place(
    well: str, faulty: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    gone = str(tmp_path / "gone.toml")
    assert run(["hole", well, faulty, gone, well, "--json"]) == 2
    first, bad, missing, last = json.loads(capsys.readouterr().out)
    assert first == last
    assert first["say"].startswith(ANSWER)
    assert (bad["file"], missing["file"]) == (faulty, gone)
    assert [set(each) for each in (bad, missing)] == [{"file", "errors"}] * 2
    assert [error["where"] for error in bad["errors"]] == ["bore[0].bottom", "bore[0].diametre"]
    assert {"where", "given", "say", "right"} == set(bad["errors"][0])
    assert missing["errors"][0]["say"] == "there is no such file"


def test_several_files_in_words(well: str, faulty: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["hole", faulty, well]) == 2
    printed = capsys.readouterr()
    assert f"{well}: Upper field\n{ANSWER}" in printed.out
    lines = printed.err.strip().split("\n")
    assert lines[0] == f"{faulty} cannot be read; 2 things are wrong:"
    assert lines[1:4] == [
        "  bore[0].bottom: there is no number",
        "    given  'deep'",
        "    right  a depth, such as 46 ft 3 in or 14.1 m",
    ]


def test_one_bad_file_is_an_object_too(faulty: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["hole", faulty, "--json"]) == 2
    assert set(json.loads(capsys.readouterr().out)) == {"file", "errors"}


def test_units_asked_for_rule(well: str, capsys: pytest.CaptureFixture[str]) -> None:
    run(["hole", "--units", "si", well])
    assert capsys.readouterr().out.startswith("122 m hole, 159 mm below 12.2 m of casing.")


def test_standard_input(give_input: Callable[[bytes], None], capsys: pytest.CaptureFixture[str]) -> None:
    give_input(b'format = 1\nunits = "us"\nbore = [{top = 0, bottom = 90, diameter = 6}]')
    assert run(["hole", "-"]) == 0
    assert capsys.readouterr().out.startswith("90 ft hole, 6 in, no casing recorded.")


def test_the_working_names_formula_and_source(well: str, capsys: pytest.CaptureFixture[str]) -> None:
    run(["hole", well, "--working"])
    out = capsys.readouterr().out
    assert "  Water held by bore[0]\n    V/L = π/4 D²\n" in out
    assert "MIL-HDBK-1164" in out


def test_an_old_encoding_is_said_in_words_and_in_json(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "old.toml"
    path.write_bytes('format = 1\n[well]\nname = "Érable"\n'.encode("cp1252"))
    assert run(["hole", str(path)]) == 0
    assert "The file\n  file: this is not UTF-8 and was read as Windows-1252" in capsys.readouterr().out
    run(["hole", str(path), "--json"])
    assert json.loads(capsys.readouterr().out)["warnings"][0]["where"] == "file"


def test_a_name_cannot_make_the_terminal_do_anything(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "upper\x1b[2J\x07.toml"
    path.write_text("format = 0")
    run(["hole", str(path)])
    err = capsys.readouterr().err
    assert "upper�[2J�.toml cannot be read" in err
    assert "\x1b" not in err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["hole"], "no well file was named"),
        (["hole", "--unit", "us"], "right  --units"),
        (["hole", "--units", "uk", "a.toml"], "--units"),
        (["hole", "--seed", "one", "a.toml"], "--seed"),
        (["hole", "--seed", "-1", "a.toml"], "right  a whole number from 0 to 9223372036854775807"),
        (["prove", "--seed", "9223372036854775808", "a.toml"], "--seed: no random numbers begin here"),
        (["holes", "a.toml"], 'Did you mean "hole"?'),
        (["prove", "a.toml", "--level", "290"], "the number has no unit"),
        (["prove", "a.toml", "--level", "deep"], "--level: there is no number"),
        (["prove", "a.toml", "--level", "0 ft"], "this depth is zero"),
        (["prove", "a.toml", "--duration", "24 gpm"], "--duration"),
        (["schema", "--well"], "--well"),
    ],
)
def test_what_was_asked_wrongly_is_told_on_standard_error(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(arguments) == 2
    printed = capsys.readouterr()
    assert said in printed.err
    assert printed.out == ""


def test_every_wrong_option_is_told_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    run(["prove", "a.toml", "--level", "deep", "--level", "290 ft", "--duration", "long"])
    err = capsys.readouterr().err
    assert "--level: there is no number" in err
    assert "--duration: there is no number" in err


def test_help_tells_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([]) == run(["--help"]) == 0
    out = capsys.readouterr().out
    commands = [name for name in app if not name.startswith("-")]
    assert set(commands) >= {"hole", "prove", "schema"}
    assert all(len(re.findall(rf"^\W*{name}  ", out, re.MULTILINE)) == 2 for name in commands)


def test_schema_describes_the_well_file(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["schema"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert {"format", "well", "casing", "bore", "test"} <= set(printed["properties"])
    run(["schema", "--company"])
    assert "company" in json.loads(capsys.readouterr().out)["properties"]


def test_figures_are_drawn_and_named(well: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "new" / "out"
    assert run(["hole", well, well, "--figures", str(folder)]) == 0
    names = sorted(path.name for path in folder.iterdir())
    assert names == [
        "upper-field-section-2.svg",
        "upper-field-section.svg",
        "upper-field-stored-2.svg",
        "upper-field-stored.svg",
    ]
    out = capsys.readouterr().out
    assert all(f"Drawn: {folder / name}" in out for name in names)
    assert (folder / "upper-field-section.svg").read_text(encoding="utf-8").rstrip().endswith("</svg>")


def test_a_folder_that_cannot_be_written_is_told_and_the_answer_stands(
    well: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["hole", well, "--figures", f"{well}/out"]) == 2
    printed = capsys.readouterr()
    assert printed.out.startswith(ANSWER)
    assert f"{well} cannot be drawn; 1 thing is wrong:" in printed.err
    assert "--figures: it cannot be written: not a directory" in printed.err


def test_a_fault_of_ours_is_no_fault_of_the_file(
    well: str, faulty: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def unsettled(_well: Well) -> HoleFindings:
        raise NotSettledError(1.2, 40.0)

    monkeypatch.setattr(describing, "describe_hole", unsettled)
    assert run(["hole", well, faulty, "--json"]) == 1
    ours, theirs = json.loads(capsys.readouterr().out)
    assert ours["errors"][0]["where"] == "ledgewell"
    assert theirs["errors"][0]["where"] == "bore[0].bottom"


def test_an_error_that_is_not_ours_is_not_hidden(well: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_well: Well) -> HoleFindings:
        raise ZeroDivisionError("a fault")

    monkeypatch.setattr(describing, "describe_hole", broken)
    assert not issubclass(ZeroDivisionError, LedgewellError)
    with pytest.raises(ZeroDivisionError):
        run(["hole", well])


def test_control_c_ends_without_a_trace(
    well: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(_given: str) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(answering, "open_well", interrupted)
    assert run(["hole", well, "--json"]) == 130
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "Stopped." in printed.err


def test_prove_is_asked_for_the_levels_and_times_typed(well: str, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: dict[str, Any] = {}

    def proved(_well: Well, **options: Any) -> None:
        asked.update(options)
        raise KeyboardInterrupt

    monkeypatch.setattr(proving, "prove_well", proved)
    arguments = [
        "--level",
        "290ft",
        "--duration",
        "24h",
        "--level",
        "100 m",
        "--duration",
        "30 d",
        "--seed",
        "7",
    ]
    assert run(["prove", well, *arguments]) == 130
    assert asked["levels_m"] == pytest.approx((290 * 0.3048, 100.0))
    assert asked["durations_s"] == (86_400.0, 2_592_000.0)
    assert asked["seed"] == 7
    run(["prove", well, "--level", "290", "--units", "us"])
    assert asked["levels_m"] == pytest.approx((290 * 0.3048,))
    assert (asked["durations_s"], asked["seed"]) == ((), 1)


def test_a_plan_is_made_for_each_level_asked(well: str, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[float | None, int]] = []

    def planned(_well: Well, *, level_m: float | None, seed: int) -> None:
        asked.append((level_m, seed))

    monkeypatch.setattr(proving, "plan_test", planned)
    with pytest.raises(AttributeError):  # nothing was planned that could be printed
        run(["prove", well, "--plan", "--level", "50 m", "--level", "60 m", "--seed", "3"])
    assert asked == [(50.0, 3), (60.0, 3)]


def test_a_well_without_a_test_is_told_to_plan_one(well: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["prove", well]) == 2
    err = capsys.readouterr().err
    assert err.startswith(f"{well} cannot be answered; 1 thing is wrong:\n")
    assert "no yield test is recorded" in err

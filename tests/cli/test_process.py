"""The program as a process: exit codes, streams, pipes, signals."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from ledgewell import __version__

PROGRAM = [sys.executable, "-c", "from ledgewell.cli import main; main()"]


def ledgewell(*arguments: str, data: bytes = b"", **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [*PROGRAM, *arguments],
        input=data,
        capture_output=True,
        check=False,
        env={**os.environ, **environment},
    )


def test_answered(well: str) -> None:
    done = ledgewell("hole", well, "--json")
    assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(done.stdout)["stored"]["unit"] == "gal"


def test_wrong_input(faulty: str) -> None:
    done = ledgewell("hole", faulty)
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.decode().startswith(f"{faulty} cannot be read; 2 things are wrong:")


def test_wrong_option() -> None:
    done = ledgewell("hole", "--color", "red")
    assert (done.returncode, done.stdout) == (2, b"")


def test_version() -> None:
    assert ledgewell("--version").stdout.decode().strip() == __version__


def test_text_is_utf_8_whatever_the_locale() -> None:
    data = 'format = 1\n[well]\nname = "Érable"\n'.encode()
    done = ledgewell("hole", "-", "-", "--json", data=data, PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    first, second = json.loads(done.stdout.decode("utf-8"))
    assert first["well"] == "Érable"
    assert second["errors"][0]["say"] == "there is nothing in it"


def test_a_reader_that_goes_away_is_no_error(well: str) -> None:
    command = [*PROGRAM, "hole", *([well] * 200)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.readline()
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait(timeout=60) == 0


def test_a_fault_of_ours_says_so_and_exits_1(well: str) -> None:
    code = (
        "import ledgewell.cli.opening as opening\n"
        "def broken(text): raise ZeroDivisionError('a fault')\n"
        "opening.read_well = broken\n"
        "from ledgewell.cli import main\n"
        "main()\n"
    )
    done = subprocess.run([sys.executable, "-c", code, "hole", well], capture_output=True, check=False)
    assert done.returncode == 1
    assert b"ZeroDivisionError: a fault" in done.stderr
    assert b"This is a fault of Ledgewell, not of the well file." in done.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_control_c_while_waiting_for_input() -> None:
    with subprocess.Popen(
        [*PROGRAM, "hole", "-"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        _wait_until_reading(process.pid)
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=60)
    assert (process.returncode, out) == (130, b"")
    assert b"Stopped." in err
    assert b"Traceback" not in err


def _wait_until_reading(pid: int) -> None:
    """Wait until the process sleeps in a read of standard input."""
    deadline = time.monotonic() + 60
    waiting = Path(f"/proc/{pid}/wchan")
    while time.monotonic() < deadline:
        if "pipe" in waiting.read_text():
            return
        time.sleep(0.02)
    raise TimeoutError("the program never read standard input")


def test_a_progress_bar_stays_off_standard_output(well: str) -> None:
    done = ledgewell("hole", well, LEDGEWELL_PROGRESS="always")
    assert b"\r" not in done.stdout


@pytest.mark.slow
def test_prove_answers_with_the_names_of_the_contract() -> None:
    example = Path(__file__).resolve().parents[2] / "docs" / "wells" / "tutorial.toml"
    done = ledgewell("prove", str(example), "--json", "--level", "220ft", "--duration", "24h", "--seed", "2")
    assert (done.returncode, done.stderr) == (0, b"")
    answer = json.loads(done.stdout)
    assert {
        "format",
        "engine",
        "record_mark",
        "seed",
        "say",
        "tests",
        "comparisons",
        "warnings",
        "sources",
    } <= set(answer)
    [test] = answer["tests"]
    assert answer["seed"] == 2
    [found] = test["yield"]
    assert found["level"] == {"value": pytest.approx(220), "unit": "ft"}
    assert found["duration"] == "24 h"
    assert 0 <= found["low"] <= found["mid"] <= found["high"]
    again = ledgewell("prove", str(example), "--json", "--level", "220ft", "--duration", "24h", "--seed", "2")
    assert again.stdout == done.stdout


def test_schema_reads_the_examples_keys() -> None:
    """Every table of the wells in the documents is a property of the printed schema."""
    import tomllib

    properties = set(json.loads(ledgewell("schema").stdout)["properties"])
    wells = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.toml"))
    assert wells
    for path in wells:
        keys = {key for key in tomllib.loads(path.read_text(encoding="utf-8")) if not key.startswith("x_")}
        assert keys <= properties


@pytest.mark.parametrize("asked", [["--help"], ["prove", "--help"], ["schema"]])
def test_help_and_schema_wait_for_no_heavy_import(asked: list[str]) -> None:
    """What makes a start slow is loaded only by the step that needs it."""
    code = (
        "import sys\n"
        "from ledgewell.cli import run\n"
        "assert run(sys.argv[1:]) == 0\n"
        "print(sorted({'numpy', 'scipy', 'numba'} & set(sys.modules)), file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", code, *asked], capture_output=True, check=True)
    assert done.stderr.decode().strip() == "[]"

"""The drill: a device that sends until it is told kept, and a world that kills, drops and repeats."""

from __future__ import annotations

import json
import os
import random
import signal
import socket
import subprocess
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.store.sent import entry, named, reading

from ledgewell.record import Entry, entry_to_json, fold
from ledgewell.store import Store

ROOT = Path(__file__).resolve().parents[2]
_PATIENCE_S = 60


def posts_of(count: int, chance: random.Random) -> list[list[Entry]]:
    """Posts as crews send them: single taps, pastes of one act, corrections; some of two wells at once."""
    posts, number = [], 0
    for place in range(count):
        well = f"w{place % 7}"
        many = chance.choice((1, 1, 1, 2, 5))
        made = [reading(number + i, number + i, "47 ft", well=well, change=f"p{place}") for i in range(many)]
        if place % 11 == 0:
            made.append(
                named(number + many, f"field {place}", well=f"w{(place + 1) % 7}", change=f"p{place}")
            )
        if place % 13 == 0 and number:
            made.append(entry(number + many + 1, typed=f"{place} ft", well=well, change=f"q{place}"))
        posts.append(made)
        number += many + 2
    return posts


@dataclass(slots=True)
class Yard:
    """The process that makes writers: started once, since loading everything takes longer than a hundred posts."""

    path: str
    process: subprocess.Popen[bytes]

    @classmethod
    def open(cls, folder: Path) -> Yard:
        path = str(folder / "writers")
        process = subprocess.Popen([sys.executable, "-m", "tests.faults.store_writer", path], cwd=ROOT)
        end = time.monotonic() + _PATIENCE_S
        while not Path(path).exists():
            assert process.poll() is None
            assert time.monotonic() < end, "the writers' process did not start"
            time.sleep(0.02)
        return cls(path, process)

    def close(self) -> None:
        self.process.kill()
        self.process.wait(_PATIENCE_S)

    def writer(self, url: str, most_bytes: int | None = None) -> Writer:
        """A new process that writes to a store; no file of it may grow beyond so many bytes."""
        called = socket.socket(socket.AF_UNIX)
        called.settimeout(_PATIENCE_S)
        while called.connect_ex(self.path) != 0:  # the socket is there a moment before it is listened on
            time.sleep(0.01)
        return Writer(called, {"url": url, "most_bytes": most_bytes})


class Writer:
    """The process that writes, as seen by the device that sends."""

    def __init__(self, called: socket.socket, asked: dict[str, Any]) -> None:
        self._called, self._lines = called, called.makefile("rwb")
        self._say(asked)
        self.process = int(self._heard()["process"])

    def send(self, post: list[Entry]) -> None:
        self._say([entry_to_json(each) for each in post])

    def answer(self) -> dict[str, Any]:
        """What it says to the post: ``answers`` or ``failed``."""
        return self._heard()

    def _say(self, given: Any) -> None:
        self._lines.write(json.dumps(given).encode() + b"\n")
        self._lines.flush()

    def _heard(self) -> dict[str, Any]:
        line = self._lines.readline()
        assert line.endswith(b"\n"), "the writer died without being told to"
        heard: dict[str, Any] = json.loads(line)
        return heard

    def kill(self) -> None:
        """Kill it as nothing can refuse, and wait until it is gone."""
        os.kill(self.process, signal.SIGKILL)
        end = time.monotonic() + _PATIENCE_S
        while _is_there(self.process):
            assert time.monotonic() < end
            time.sleep(0.001)
        self.stop()

    def stop(self) -> None:
        """Hang up; it ends by itself."""
        self._lines.close()
        self._called.close()


def _is_there(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


@dataclass(slots=True)
class Drill:
    """What was sent, what was acknowledged, and what became of the posts that were cut off."""

    yard: Yard
    url: str
    chance: random.Random
    sent: dict[str, Entry] = field(default_factory=dict)
    acknowledged: set[str] = field(default_factory=set)
    tally: Counter[str] = field(default_factory=Counter)

    def run(self, posts: list[list[Entry]], *, kills: int, dropped: float) -> None:
        """Send every post until all of it is answered kept; kill the writer so many times while it works."""
        doomed = set(self.chance.sample(range(len(posts)), kills))
        writer, took_s = self.yard.writer(self.url), 0.004
        for place, post in enumerate(posts):
            self.sent.update({each.id: each for each in post})
            while True:
                writer.send(post)
                if place in doomed:
                    doomed.discard(place)
                    time.sleep(self.chance.uniform(0, 1.5 * took_s))
                    writer.kill()
                    self._look(post)
                    writer = self.yard.writer(self.url)
                    continue
                start = time.perf_counter()
                answer = writer.answer()
                took_s = 0.9 * took_s + 0.1 * (time.perf_counter() - start)
                if self.chance.random() < dropped:
                    self.tally["answers dropped"] += 1
                    continue
                assert [said for _, said in answer["answers"]] == ["kept"] * len(post)
                self.acknowledged.update(id_ for id_, _ in answer["answers"])
                break
        writer.stop()

    def _look(self, post: list[Entry]) -> None:
        """Note whether the kill came before the commit or after it; half of an act is never there."""
        with Store.open(self.url) as store:
            there = {each.entry.id for well in {one.well for one in post} for each in store.journal(well)}
        for change in {each.change for each in post}:
            act = {each.id for each in post if each.change == change}
            assert act <= there or not act & there, "half an act was kept"
        self.tally["killed after the commit" if post[0].id in there else "killed before the commit"] += 1

    def check(self) -> None:
        """Every acknowledged entry is there once, as it was sent; none is there that was not sent."""
        with Store.open(self.url) as store:
            kept = [each.entry for each in store.journal(None)]
            positions = [each.position for each in store.journal(None)]
            assert positions == list(range(1, len(kept) + 1))
            assert max(Counter(each.id for each in kept).values(), default=0) <= 1
            found = {each.id: each for each in kept}
            assert self.acknowledged <= found.keys(), "an acknowledged entry is lost"
            assert found.keys() <= self.sent.keys(), "an entry was invented"
            assert all(found[id_] == self.sent[id_] for id_ in found), "an entry was changed"
            for shown in store.wells():
                mine = [each for each in kept if each.well == shown.id]
                assert shown.entries == len(mine)
                assert shown.name == fold(mine).well.well.name
                assert store.well(shown.id) == fold(mine)


def fill_up(folder: Path, leave_bytes: int) -> Path:
    """Fill a small file system with ballast, but for so many bytes."""
    ballast = folder / "ballast"
    room = os.statvfs(folder)
    with ballast.open("wb") as opened:
        left = room.f_bavail * room.f_frsize - leave_bytes
        while left > 0:
            left -= opened.write(bytes(min(left, 1_000_000)))
    return ballast

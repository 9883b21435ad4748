"""A process that keeps what it is sent and says so: one post a line in, one answer a line out.

``python -m tests.faults.store_writer SOCKET`` listens on a socket and makes a process of its own for each caller, which
is quick since everything is loaded by then. The caller says first which store it is; it is told the number of the
process, so that it can kill it. The process holds nothing back and mends nothing.
"""

from __future__ import annotations

import json
import os
import resource
import signal
import socket
import sys
from datetime import UTC, datetime
from typing import Any

import alembic.operations  # noqa: F401 -- loaded before the first process is made, as is the next
import psycopg  # noqa: F401

from ledgewell.store import Store, StoreError
from ledgewell.work.book import take_sent


def main(path: str) -> None:
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for those that are killed
    listening = socket.socket(socket.AF_UNIX)
    listening.bind(path)
    listening.listen()
    while True:
        caller, _ = listening.accept()
        if os.fork() == 0:
            listening.close()
            serve(caller)
            os._exit(0)
        caller.close()


def serve(caller: socket.socket) -> None:
    with caller.makefile("rwb") as lines:
        asked = json.loads(lines.readline())
        with Store.open(asked["url"]) as store:
            limit = asked["most_bytes"]
            if limit is not None:
                signal.signal(signal.SIGXFSZ, signal.SIG_IGN)  # the write then fails as on a full disk
                resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
            say(lines, {"process": os.getpid()})
            for line in lines:
                say(lines, answer(store, json.loads(line)))


def answer(store: Store, post: list[Any]) -> dict[str, Any]:
    try:
        answers = take_sent(store, post, received=datetime.now(UTC), offset_s=0.0)
    except StoreError as error:
        return {"failed": str(error)}
    return {"answers": [[each.id, each.say] for each in answers]}


def say(lines: Any, said: dict[str, Any]) -> None:
    lines.write(json.dumps(said).encode() + b"\n")
    lines.flush()


if __name__ == "__main__":
    main(sys.argv[1])

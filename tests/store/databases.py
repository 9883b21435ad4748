"""The databases a test runs on: a file of SQLite, and a database in a PostgreSQL started for the tests alone."""

from __future__ import annotations

import fcntl
import shutil
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import psycopg
import pytest
from sqlalchemy.engine import make_url

from ledgewell.store import Store

SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "postgres"
KINDS = ("sqlite", "postgresql")


@dataclass(slots=True)
class Cluster:
    """A running PostgreSQL server of our own."""

    folder: str
    url: str
    users: int = 0

    @classmethod
    def start(cls) -> Cluster:
        # apt, where it must install the server, takes one caller at a time
        with (Path(tempfile.gettempdir()) / "ledgewell-postgres.lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            done = subprocess.run([SCRIPT, "start"], capture_output=True, text=True, check=False)
        if done.returncode != 0:
            pytest.fail(f"no PostgreSQL to test on: {done.stderr}")
        folder, url = done.stdout.split()
        return cls(folder, url)

    def run(self, *arguments: str) -> None:
        subprocess.run([SCRIPT, arguments[0], self.folder, *arguments[1:]], check=True)

    def admin(self, statement: str) -> None:
        with psycopg.connect(self.url, autocommit=True) as connection:
            connection.execute(statement)  # type: ignore[call-overload]

    def new_database(self, template: str = "template0") -> str:
        name = f"w{uuid.uuid4().hex}"
        self.admin(f"CREATE DATABASE {name} TEMPLATE {template}")
        return make_url(self.url).set(database=name).render_as_string(hide_password=False)

    def drop(self, url: str) -> None:
        self.admin(f"DROP DATABASE IF EXISTS {make_url(url).database} WITH (FORCE)")


_shared: Cluster | None = None


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    """The server that the tests of this process share, whichever folder of tests they are in."""
    global _shared
    if _shared is None:
        _shared = Cluster.start()
        make_template(_shared)
    server = _shared
    server.users += 1
    yield server
    server.users -= 1
    if server.users == 0:
        server.run("stop")
        _shared = None


def make_template(server: Cluster) -> None:
    """A database with the newest tables, which every other is copied from."""
    server.admin("CREATE DATABASE newest TEMPLATE template0")
    Store.open(make_url(server.url).set(database="newest").render_as_string(hide_password=False)).close()


@pytest.fixture(params=KINDS)
def empty_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """An address with nothing there yet."""
    if request.param == "sqlite":
        yield str(tmp_path / "wells.sqlite3")
        return
    server: Cluster = request.getfixturevalue("cluster")
    url = server.new_database()
    yield url
    server.drop(url)


@pytest.fixture(scope="session")
def newest_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with the newest tables, which every other is copied from."""
    path = tmp_path_factory.mktemp("newest") / "wells.sqlite3"
    Store.open(path).close()
    return path


@pytest.fixture(params=KINDS)
def store_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of an empty store."""
    if request.param == "sqlite":
        newest: Path = request.getfixturevalue("newest_file")
        yield str(shutil.copy(newest, tmp_path))
        return
    server: Cluster = request.getfixturevalue("cluster")
    url = server.new_database("newest")
    yield url
    server.drop(url)


@pytest.fixture
def store(store_url: str) -> Iterator[Store]:
    """An empty store."""
    with Store.open(store_url) as opened:
        yield opened

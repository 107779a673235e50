"""Databases, mail servers and a Redis for fault tests, each test with its own."""

import os
import shutil
import subprocess
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg
import pytest
import redis

from tests.faults.house import House, manage
from tests.postbox import Postbox, free_port, open_postbox


@pytest.fixture
def postbox() -> Iterator[Postbox]:
    """A real mail server."""
    with open_postbox() as postbox:
        yield postbox


@pytest.fixture(scope="session")
def migrated(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A migrated database of the kind the suite runs on, to be copied: a PostgreSQL one or a SQLite file."""
    folder = tmp_path_factory.mktemp("migrated")
    given = os.environ.get("DATABASE_URL", "")
    if not given.startswith("postgres"):
        yield _migrate(f"sqlite:///{folder}/house.sqlite3", folder)
        return
    with _new_database(given, "template0") as url:
        yield _migrate(url, folder)


def _migrate(url: str, folder: Path) -> str:
    """Makes the tables and returns the address again. Nothing mails while it does."""
    House(folder=folder, database_url=url, postbox=Postbox()).run(manage("migrate", "--verbosity", "0"))
    return url


@contextmanager
def _new_database(given: str, template: str) -> Iterator[str]:
    """A PostgreSQL database that lasts as long as the block, made like another on the same server."""
    name = f"faults_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(given, autocommit=True) as server:
        server.execute(f"CREATE DATABASE {name} TEMPLATE {template}")
    try:
        yield urlunsplit(urlsplit(given)._replace(path=f"/{name}"))
    finally:
        with psycopg.connect(given, autocommit=True) as server:
            server.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def database_url(migrated: str, tmp_path: Path) -> Iterator[str]:
    """A migrated database of this test's own."""
    parts = urlsplit(migrated)
    if parts.scheme == "sqlite":
        shutil.copy(parts.path, tmp_path / "house.sqlite3")
        yield f"sqlite:///{tmp_path}/house.sqlite3"
        return
    with _new_database(os.environ["DATABASE_URL"], parts.path.strip("/")) as url:
        yield url


def _open_house(tmp_path: Path, database_url: str, postbox: Postbox, redis_url: str = "") -> Iterator[House]:
    house = House(folder=tmp_path, database_url=database_url, postbox=postbox, redis_url=redis_url)
    try:
        yield house
    finally:
        house.close()


@pytest.fixture
def house(tmp_path: Path, database_url: str, postbox: Postbox) -> Iterator[House]:
    """A house without Redis: the embedded way."""
    yield from _open_house(tmp_path, database_url, postbox)


@pytest.fixture
def house_with_redis(tmp_path: Path, database_url: str, postbox: Postbox, redis_url: str) -> Iterator[House]:
    """A house whose work is done by Celery."""
    yield from _open_house(tmp_path, database_url, postbox, redis_url)


@pytest.fixture
def redis_url(tmp_path: Path, worker_id: str) -> Iterator[str]:
    """A Redis database nobody else uses: on the server REDIS_URL names, or on one started here."""
    given = os.environ.get("REDIS_URL", "")
    if given:
        number = 8 + int(worker_id.removeprefix("gw") or 0) if worker_id.startswith("gw") else 8
        url = urlunsplit(urlsplit(given)._replace(path=f"/{number}"))
        redis.from_url(url).flushdb()
        yield url
        return
    program = shutil.which("redis-server")
    if program is None:
        pytest.fail(
            "This test needs a Redis. Set REDIS_URL, or install redis-server (.ci/bootstrap test does)."
        )
    port = free_port()
    server = subprocess.Popen(
        [program, "--port", str(port), "--bind", "127.0.0.1", "--save", "", "--dir", str(tmp_path)],
        stdout=subprocess.DEVNULL,
    )
    try:
        yield _answering(f"redis://127.0.0.1:{port}/0")
    finally:
        server.kill()
        server.wait(timeout=10)


def _answering(url: str) -> str:
    """The address again, once there is an answer."""
    client = redis.from_url(url)
    for _ in range(100):
        try:
            client.ping()
        except redis.ConnectionError:
            time.sleep(0.05)
        else:
            client.close()
            return url
    pytest.fail("The Redis started here did not answer within five seconds.")

"""A whole house of its own for a fault test: a database, real processes that can be killed, a real mail server."""

import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from contextlib import ExitStack, closing
from pathlib import Path
from urllib.parse import urlsplit

import psycopg

from tests.postbox import Postbox

ROOT = Path(__file__).resolve().parents[2]
LEASE_SECONDS = 2
PATIENCE_SECONDS = 60


def manage(*words: str) -> list[str]:
    """The command line of one of the project's own commands."""
    return [sys.executable, "manage.py", *words]


def celery_worker(*options: str) -> list[str]:
    """The command line of a Celery worker with two processes, as ``make run`` starts it."""
    worker = [sys.executable, "-m", "celery", "--app", "coaching", "worker", "--concurrency", "2"]
    return [*worker, "--loglevel", "WARNING", *options]


class House:
    """Started processes live until ``close``. Everything they keep lies in ``folder``."""

    def __init__(self, *, folder: Path, database_url: str, postbox: Postbox, redis_url: str = "") -> None:
        self.folder = folder
        self.database_url = database_url
        self.failpoints = folder / "failpoints"
        self.failpoints.mkdir(exist_ok=True)
        self._running: list[subprocess.Popen] = []
        self.env = {
            "PATH": os.environ["PATH"],
            "HOME": os.environ.get("HOME", str(folder)),
            "LANG": "C.UTF-8",
            "DJANGO_SETTINGS_MODULE": "coaching.settings",
            "VAR_DIR": str(folder),
            "DATABASE_URL": database_url,
            "SECRET_KEY": "only-for-this-test",
            "EMAIL_URL": f"smtp://127.0.0.1:{postbox.port}",
            "FROM_EMAIL": "post@ladlework.example.org",
            "SITE_URL": "http://localhost:8000",
            "LADLEWORK_TESTING": "1",
            "LADLEWORK_FAILPOINTS": str(self.failpoints),
            "OUTBOX_LEASE_SECONDS": str(LEASE_SECONDS),
            "REDIS_URL": redis_url,
        }

    def run(self, command: list[str]) -> str:
        """Runs a command to its end and returns what it printed."""
        done = self.run_any(command)
        assert done.returncode == 0, done.stderr
        return done.stdout

    def run_any(self, command: list[str]) -> subprocess.CompletedProcess[str]:
        """Runs a command to its end, good or bad."""
        return subprocess.run(command, cwd=ROOT, env=self.env, capture_output=True, text=True, check=False)

    def seed(self, how_many: int) -> list[str]:
        """Owes this many reminders, due now; the ids their messages will carry."""
        work_ids = json.loads(self.run([sys.executable, "-m", "tests.faults.seed", str(how_many)]))
        return [f"<{work_id}@ladlework.example.org>" for work_id in work_ids]

    def start(self, command: list[str]) -> subprocess.Popen:
        """Starts a process in a group of its own, so that its children die with it. Its words go to a log file."""
        with Path(self.folder, "processes.log").open("ab") as log:
            process = subprocess.Popen(
                command, cwd=ROOT, env=self.env, stdout=log, stderr=log, start_new_session=True
            )
        self._running.append(process)
        return process

    def kill(self, process: subprocess.Popen) -> None:
        """kill -9 for a process and its children."""
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        process.wait(timeout=10)

    def close(self) -> None:
        """Nothing that was started lives on."""
        for process in self._running:
            self.kill(process)

    def arm(self, failpoint: str) -> Path:
        """The next process that reaches this point is killed there; the file is gone once that happened."""
        armed = self.failpoints / failpoint
        armed.touch()
        return armed

    def states(self) -> Counter[str]:
        """How many rows of owed work are in which state."""
        return Counter(dict(self._rows("SELECT state, count(*) FROM outbox_owedwork GROUP BY state")))

    def reminder_states(self) -> Counter[str]:
        """The same for reminders."""
        return Counter(dict(self._rows("SELECT state, count(*) FROM desk_reminder GROUP BY state")))

    def make_due(self) -> None:
        """Owed work that waits for another try is due at once."""
        self._rows("UPDATE outbox_owedwork SET due_at = created_at WHERE state = 'waiting'")

    def _rows(self, query: str) -> list[tuple]:
        url = urlsplit(self.database_url)
        with ExitStack() as stack:
            if url.scheme == "sqlite":
                connection = stack.enter_context(closing(sqlite3.connect(url.path, timeout=20)))
            else:
                connection = stack.enter_context(psycopg.connect(self.database_url))
            rows = connection.execute(query)
            found = rows.fetchall() if rows.description else []
            connection.commit()
            return found

    def log(self) -> str:
        """What the started processes said."""
        return Path(self.folder, "processes.log").read_text(encoding="utf-8", errors="replace")


def wait_until(
    happened: Callable[[], bool], what: str, house: House, *, seconds: float = PATIENCE_SECONDS
) -> None:
    """Waits for something to become true; fails with the processes' own words when it does not."""
    until = time.monotonic() + seconds
    while not happened():
        assert time.monotonic() < until, f"{what} did not happen in {seconds} s\n{house.log()[-4000:]}"
        time.sleep(0.05)

"""Places where a test can kill the process, to see that a crash there neither loses nor doubles anything."""

import os
import signal
from pathlib import Path

from django.conf import settings

FOLDER = "LADLEWORK_FAILPOINTS"


def failpoint(name: str) -> None:
    """Kills this process outright if a test left a file of this name in the folder it set; the file goes first.

    Does nothing unless the program runs under test (``LADLEWORK_TESTING``).
    """
    folder = os.environ.get(FOLDER)
    if not (settings.TESTING and folder):
        return
    armed = Path(folder, name)
    try:
        armed.unlink()
    except FileNotFoundError:
        return
    os.kill(os.getpid(), signal.SIGKILL)

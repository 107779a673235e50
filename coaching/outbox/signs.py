"""Signs of life: a file a long-running process touches while it gets on, so that a health check can look at its age.

``find var -name "alive-worker-$(hostname)" -mmin -2 | grep -q .`` says whether this machine's worker got anywhere in
the last two minutes.
"""

import platform
from pathlib import Path

from django.conf import settings


def sign_of_life(who: str) -> Path:
    """Touches the file of ``who`` (``worker``, ``scheduler``) on this machine."""
    path = Path(settings.VAR_DIR, f"alive-{who}-{platform.node()}")
    path.touch()
    return path

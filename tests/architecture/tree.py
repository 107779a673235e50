"""What belongs to the project: the files git keeps or would keep, or all files where there is no git."""

import shutil
import subprocess
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MADE_HERE = {"var", "__pycache__", "staticfiles", "node_modules"}


@cache
def project_files() -> tuple[Path, ...]:
    """Every file of the project that exists, as paths from its root, sorted."""
    if (ROOT / ".git").exists() and shutil.which("git"):
        listed = subprocess.run(
            ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        ).stdout.split("\0")
        found = (Path(name) for name in listed if name)
    else:
        found = (path.relative_to(ROOT) for path in ROOT.rglob("*"))
    return tuple(sorted(path for path in set(found) if _is_ours(path) and (ROOT / path).is_file()))


def _is_ours(path: Path) -> bool:
    """Not so for what tools leave behind: folders that a run makes, and hidden ones save our own scripts."""
    folders = set(path.parts[:-1])
    return not folders & MADE_HERE and not {name for name in folders if name.startswith(".")} - {".ci"}


def read(path: Path) -> str | None:
    """The text of a project file; nothing for a file that is no text (fonts, pictures)."""
    try:
        return (ROOT / path).read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return None

"""The shape of the tree: what lies at the top, and what no file may say."""

import re

import pytest

from tests.architecture.tree import ROOT, project_files, read

TOP_LEVEL = {
    ".ci",
    ".dockerignore",
    ".gitignore",
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "Dockerfile",
    "LICENSE",
    "Makefile",
    "README.md",
    "clients",
    "coaching",
    "docker-compose.yml",
    "manage.py",
    "plans",
    "pyproject.toml",
    "requirements.txt",
    "templates",
    "tests",
}
FORBIDDEN = {
    "a path of one machine": r"(?<![\w.}~-])/(home|root|work|tmp|Users)/\w",
    "a folder outside the project": r"(?<![\w/.-])shared/\w",
    "a source by a private short code instead of its name": r"\b(FS|SD)-\d{1,3}\b",
    "a download address": r"\b(pypi\.org|pythonhosted\.org|npmjs\.(org|com)|deb\.debian\.org)\b",
    "a ticket by number": r"(?i)\b(issue|ticket|bug|pull request)s? #?\d+|\b[\w.-]+/[\w.-]+#\d+",
    "unfinished work": r"\b(TO[D]O|FIX[M]E|X{3})\b|\bNotImplemented[E]rror\b|\bassert [T]rue\b",
    "a test that does not run": r"mark\.(skip|xfail)\b|pytest\.(skip|xfail)\(",
    "a swallowed error": r"except( Exception| BaseException)?:\s*(pass|\.\.\.)\s*$|except:\s*$",
}


def test_nothing_new_lies_at_the_top() -> None:
    assert {path.parts[0] for path in project_files()} <= TOP_LEVEL


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_file_holds(what: str) -> None:
    pattern = re.compile(FORBIDDEN[what], re.MULTILINE)
    found = []
    for path in project_files():
        text = read(path)
        if text is None:
            continue
        found += [
            f"{path}:{text.count(chr(10), 0, hit.start()) + 1}: {hit.group()}"
            for hit in pattern.finditer(text)
        ]
    assert found == []


@pytest.mark.parametrize(
    ("what", "line"),
    [
        ("a path of one machine", "see /" + "home/anna/notes"),
        ("a folder outside the project", "see " + "shared/" + "facts"),
        ("a source by a private short code instead of its name", "SD" + "-12"),
        ("a download address", "https://" + "pypi" + ".org/simple"),
        ("a ticket by number", "owner/name" + "#123"),
        ("unfinished work", "# TO" + "DO later"),
        ("a test that does not run", "@pytest.mark" + ".skip"),
        ("a swallowed error", "    except Exception" + ": pass"),
    ],
)
def test_the_check_sees(what: str, line: str) -> None:
    assert re.search(FORBIDDEN[what], line, re.MULTILINE)


def test_scripts_are_executable_and_strict() -> None:
    scripts = {path.name: path for path in project_files() if path.parts[0] == ".ci" and not path.suffix}
    started = {name for name, path in scripts.items() if (read(path) or "").startswith("#!")}
    assert started >= {"bench", "bootstrap", "format", "lint", "run", "services", "start", "test"}
    for name in started:
        assert (ROOT / scripts[name]).stat().st_mode & 0o111, name
        assert "set -euo pipefail" in (read(scripts[name]) or ""), name

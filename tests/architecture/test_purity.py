"""The pure core stays pure, also by the ways the import linter cannot see: an import by name at run time, an import for
type hints only, and a package file that loads the framework for all its modules.
"""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from tests.architecture.tree import ROOT, project_files

DOMAINS = (Path("coaching/domain"), Path("clients/domain"), Path("plans/domain"))
FORBIDDEN = {
    "django",
    "importlib",
    "os",
    "subprocess",
    "socket",
    "celery",
    "redis",
    "psycopg",
    "weasyprint",
    "pikepdf",
}
CLOCK_CALLS = {"now", "today", "utcnow"}
MODULES = [path for path in project_files() if path.suffix == ".py" and Path(*path.parts[:2]) in DOMAINS]


def imported_roots(tree: ast.AST) -> set[str]:
    """The top-level names of everything a module imports, wherever in the file it does so."""
    roots = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            roots |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            roots.add(node.module.partition(".")[0])
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "__import__":
            roots.add("importlib")
    return roots


def clock_calls(tree: ast.AST) -> list[int]:
    """The lines that ask what time it is: ``something.now()``, ``.today()``, ``.utcnow()``."""
    return [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in CLOCK_CALLS
    ]


def dotted(path: Path) -> str:
    """The module name of a file: ``plans/domain/units.py`` is ``plans.domain.units``."""
    return ".".join(path.with_suffix("").parts).removesuffix(".__init__")


def test_every_domain_package_is_looked_at() -> None:
    assert {Path(*path.parts[:2]) for path in MODULES} == set(DOMAINS)


@pytest.mark.parametrize("path", MODULES, ids=str)
def test_domain_module_imports_nothing_impure(path: Path) -> None:
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    assert imported_roots(tree) & FORBIDDEN == set()


@pytest.mark.parametrize("path", MODULES, ids=str)
def test_domain_module_is_handed_the_time(path: Path) -> None:
    assert clock_calls(ast.parse((ROOT / path).read_text(encoding="utf-8"))) == []


def test_domain_loads_where_there_is_no_django() -> None:
    script = "import importlib, sys\nsys.modules['django'] = None\n" + "".join(
        f"importlib.import_module({dotted(path)!r})\n" for path in MODULES
    )
    loaded = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert loaded.returncode == 0, loaded.stderr


@pytest.mark.parametrize(
    ("source", "roots"),
    [
        ("import importlib\nimportlib.import_module('django.db')", {"importlib"}),
        ("if TYPE_CHECKING:\n    from django.db import models", {"django"}),
        ("def late():\n    import django.utils.timezone", {"django"}),
        ("__import__('django')", {"importlib"}),
        ("from dataclasses import dataclass", set()),
    ],
)
def test_the_check_sees_what_the_linter_misses(source: str, roots: set[str]) -> None:
    assert imported_roots(ast.parse(source)) & FORBIDDEN == roots


def test_the_check_sees_the_clock() -> None:
    assert clock_calls(ast.parse("from datetime import date\n\nday = date.today()\n")) == [3]

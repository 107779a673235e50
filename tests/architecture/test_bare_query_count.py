"""Query counts are bounded by a number that has a reason, through the ``django_assert_max_num_queries`` and
``django_assert_num_queries`` fixtures, which show the queries when they fail. The bare assertion shows a number only.
"""

import ast
from pathlib import Path

from tests.architecture.tree import ROOT, project_files

BARE = "assertNumQueries"
TEST_FILES = [path for path in project_files() if path.parts[0] == "tests" and path.suffix == ".py"]


def bare_counts(source: str) -> list[int]:
    """The lines that use the bare assertion."""
    return [
        node.lineno
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Attribute) and node.attr == BARE
    ]


def test_no_test_counts_queries_bare() -> None:
    found: dict[Path, list[int]] = {}
    for path in TEST_FILES:
        lines = bare_counts((ROOT / path).read_text(encoding="utf-8"))
        if lines:
            found[path] = lines
    assert found == {}


def test_the_check_sees_a_bare_count() -> None:
    assert bare_counts(
        f"class T:\n    def test(self):\n        with self.{BARE}(3):\n            pass\n"
    ) == [3]

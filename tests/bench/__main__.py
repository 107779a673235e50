"""Runs the benchmarks: ``python -m tests.bench [NAME...]``. Leaves with 1 if a goal does not hold.

A benchmark may have a short form, ``run``, and a long one, ``run_whole``, for when it is asked for by name.

Each benchmark gets a database of its own, made and dropped here, on whatever DATABASE_URL names (unset: SQLite).
"""

import argparse
import importlib
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import django

from tests.bench.harness import Result, table, write_results

HERE = Path(__file__).resolve().parent
RESULTS = HERE.parents[1] / "var" / "bench"


def names() -> list[str]:
    """The benchmarks there are, by name: ``board`` for ``bench_board.py``."""
    return sorted(path.stem.removeprefix("bench_") for path in HERE.glob("bench_*.py"))


@contextmanager
def benchmark_database() -> Iterator[None]:
    """An empty, migrated database that is gone afterwards."""
    from django.test.utils import (
        setup_databases,
        setup_test_environment,
        teardown_databases,
        teardown_test_environment,
    )

    setup_test_environment(debug=False)
    databases = setup_databases(verbosity=0, interactive=False)
    try:
        yield
    finally:
        teardown_databases(databases, verbosity=0)
        teardown_test_environment()


def run(chosen: list[str], *, whole: bool) -> list[Result]:
    """Runs the chosen benchmarks, whole or short, one after another and writes a file of figures for each."""
    results: list[Result] = []
    for name in chosen:
        print(f"Measuring {name}")
        with benchmark_database():
            measured = importlib.import_module(f"tests.bench.bench_{name}")
            figures = getattr(measured, "run_whole", measured.run)() if whole else measured.run()
        write_results(name, figures, RESULTS)
        results += figures
    return results


def main() -> int:
    """Reads the command line, runs, prints the table."""
    known = names()
    parser = argparse.ArgumentParser(prog="make bench", description="Measures speed against named baselines.")
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"one of: {', '.join(known) or 'none yet'}")
    asked = parser.parse_args().names
    chosen = asked or known
    unknown = sorted(set(chosen) - set(known))
    if unknown:
        parser.error(
            f"there is no benchmark called {', '.join(unknown)}; there are: {', '.join(known) or 'none yet'}"
        )
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coaching.settings")
    django.setup()
    results = run(chosen, whole=bool(asked))
    print(f"\n{table(results)}\n\nFigures: {RESULTS}")
    return 0 if all(result.holds for result in results) else 1


if __name__ == "__main__":
    sys.exit(main())

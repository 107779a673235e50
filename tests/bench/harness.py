"""Measures one thing against a named baseline in the same run, so that a slow machine slows both sides alike.

A benchmark module ``tests/bench/bench_NAME.py`` has one function ``run() -> list[Result]``. It builds its results with
``paired_timing`` (two calls, timed in turn) or ``compare`` (two figures it has measured by itself). Goals are ratios of
the value to its baseline, never bare seconds.
"""

import gc
import json
import statistics
import time
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal

Better = Literal["lower", "higher"]


@dataclass(frozen=True, slots=True)
class Result:
    """One measured figure, its baseline and whether the goal holds.

    ``ratio`` is value / baseline. The goal is the largest ratio allowed where lower is better, else the smallest.
    ``spread`` is the distance between the quartiles of the value, in its own unit; nothing where it was not repeated.
    """

    name: str
    unit: str
    value: float
    baseline_name: str
    baseline: float
    ratio: float
    better: Better
    goal: float
    holds: bool
    rounds: int
    spread: float | None = None


def compare(
    *,
    name: str,
    unit: str,
    value: float,
    baseline_name: str,
    baseline: float,
    goal: float,
    better: Better = "lower",
    rounds: int = 1,
    spread: float | None = None,
) -> Result:
    """Holds a figure against a baseline measured in the same run. The baseline must be above zero."""
    if baseline <= 0:
        raise ValueError(f"The baseline of {name!r} must be above zero, not {baseline}.")
    ratio = value / baseline
    return Result(
        name=name,
        unit=unit,
        value=value,
        baseline_name=baseline_name,
        baseline=baseline,
        ratio=ratio,
        better=better,
        goal=goal,
        holds=ratio <= goal if better == "lower" else ratio >= goal,
        rounds=rounds,
        spread=spread,
    )


def paired_timing(
    *,
    name: str,
    subject: Callable[[], Any],
    baseline_name: str,
    baseline: Callable[[], Any],
    goal: float,
    rounds: int = 15,
    warm_ups: int = 2,
    clock: Callable[[], float] = time.perf_counter,
) -> Result:
    """Times two calls in turn and compares their medians, in milliseconds.

    Each round times both, and rounds take turns in which goes first, so that neither side gains from a cache the other
    warmed or from a machine that slows down meanwhile. Garbage is collected between calls, not within.
    """
    for _ in range(warm_ups):
        subject()
        baseline()
    subject_ms: list[float] = []
    baseline_ms: list[float] = []
    sides = [(subject, subject_ms), (baseline, baseline_ms)]
    for turn in range(rounds):
        for call, times in sides if turn % 2 == 0 else reversed(sides):
            times.append(_milliseconds(call, clock))
    return compare(
        name=name,
        unit="ms",
        value=statistics.median(subject_ms),
        baseline_name=baseline_name,
        baseline=statistics.median(baseline_ms),
        goal=goal,
        rounds=rounds,
        spread=_quartile_distance(subject_ms),
    )


def _milliseconds(call: Callable[[], Any], clock: Callable[[], float]) -> float:
    gc.collect()
    gc.disable()
    try:
        begun = clock()
        call()
        return (clock() - begun) * 1000
    finally:
        gc.enable()


def _quartile_distance(values: list[float]) -> float | None:
    if len(values) < 2:
        return None
    low, _, high = statistics.quantiles(values, n=4, method="inclusive")
    return high - low


def write_results(name: str, results: Iterable[Result], folder: Path) -> Path:
    """Writes ``folder/NAME.json``, a list with one object a result, and gives its path."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{name}.json"
    rows = [asdict(result) for result in results]
    path.write_text(json.dumps(rows, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
    return path


def table(results: Iterable[Result]) -> str:
    """The results as aligned lines of text, one a result, under a heading."""
    heading = ("measured", "value", "baseline", "", "ratio", "goal", "holds")
    rows = [heading, *(_row(result) for result in results)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(heading))]
    return "\n".join(
        "  ".join(
            cell.rjust(width) if column in {1, 3, 4, 5} else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    )


def _row(result: Result) -> tuple[str, ...]:
    return (
        result.name,
        f"{result.value:.4g} {result.unit}",
        result.baseline_name,
        f"{result.baseline:.4g} {result.unit}",
        f"{result.ratio:.2f}",
        f"{'≤' if result.better == 'lower' else '≥'} {result.goal:g}",
        "yes" if result.holds else "NO",
    )

"""The benchmark harness, with a clock that the test winds by hand."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.bench.harness import Result, compare, paired_timing, table, write_results


class HandClock:
    """A clock that moves only when told to."""

    def __init__(self) -> None:
        self.seconds = 0.0
        self.calls: list[str] = []

    def __call__(self) -> float:
        return self.seconds

    def takes(self, name: str, *seconds: float) -> Callable[[], None]:
        """A call that takes the given times, one after another, then the last one over and over."""
        left = list(seconds)

        def call() -> None:
            self.calls.append(name)
            self.seconds += left.pop(0) if len(left) > 1 else left[0]

        return call


def timed(
    clock: HandClock, subject: Callable[[], None], baseline: Callable[[], None], **changes: object
) -> Result:
    options = {"goal": 3.0, "rounds": 5, "warm_ups": 1, **changes}
    return paired_timing(
        name="board", subject=subject, baseline_name="empty page", baseline=baseline, clock=clock, **options
    )


def test_medians_are_compared_and_one_slow_round_does_not_matter() -> None:
    clock = HandClock()
    subject = clock.takes("subject", 9.0, 0.030, 0.030, 5.0, 0.030, 0.030)  # the first one is the warm-up
    result = timed(clock, subject, clock.takes("baseline", 0.010))
    assert result.value == pytest.approx(30)
    assert result.baseline == pytest.approx(10)
    assert result.ratio == pytest.approx(3)
    assert (result.unit, result.rounds) == ("ms", 5)


def test_rounds_take_turns_in_which_side_goes_first() -> None:
    clock = HandClock()
    timed(clock, clock.takes("s", 0.1), clock.takes("b", 0.1), warm_ups=0, rounds=4)
    assert "".join(clock.calls) == "sbbssbbs"


def test_spread_is_the_distance_between_quartiles() -> None:
    clock = HandClock()
    subject = clock.takes("s", 0.010, 0.020, 0.030, 0.040, 0.050)
    result = timed(clock, subject, clock.takes("b", 0.010), warm_ups=0)
    assert result.spread == pytest.approx(20)


@pytest.mark.parametrize(
    ("value", "better", "goal", "holds"),
    [
        (19.9, "lower", 2.0, True),
        (20.0, "lower", 2.0, True),
        (20.1, "lower", 2.0, False),
        (20.1, "higher", 2.0, True),
        (19.9, "higher", 2.0, False),
    ],
)
def test_goal_is_a_ratio_to_the_baseline(value: float, better: str, goal: float, holds: bool) -> None:
    result = compare(
        name="week", unit="€", value=value, baseline_name="greedy", baseline=10.0, goal=goal, better=better
    )
    assert result.holds is holds


def test_a_baseline_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="'week' must be above zero"):
        compare(name="week", unit="s", value=1.0, baseline_name="greedy", baseline=0.0, goal=1.0)


def test_results_are_written_as_a_list_of_objects(tmp_path: Path) -> None:
    result = compare(name="week", unit="s", value=1.5, baseline_name="greedy", baseline=1.0, goal=2.0)
    path = write_results("week", [result], tmp_path / "bench")
    (row,) = json.loads(path.read_text(encoding="utf-8"))
    assert row["name"] == "week"
    assert row["baseline_name"] == "greedy"
    assert (row["value"], row["baseline"], row["ratio"], row["goal"], row["holds"]) == (
        1.5,
        1.0,
        1.5,
        2.0,
        True,
    )


def test_table_shows_value_baseline_ratio_goal_and_verdict() -> None:
    kept = compare(name="board", unit="ms", value=30.0, baseline_name="empty page", baseline=10.0, goal=4.0)
    missed = compare(name="week", unit="s", value=9.0, baseline_name="greedy", baseline=3.0, goal=2.0)
    heading, first, second = table([kept, missed]).splitlines()
    assert heading.split() == ["measured", "value", "baseline", "ratio", "goal", "holds"]
    assert first.split() == ["board", "30", "ms", "empty", "page", "10", "ms", "3.00", "≤", "4", "yes"]
    assert second.split() == ["week", "9", "s", "greedy", "3", "s", "3.00", "≤", "2", "NO"]

"""The lead-in against slow ways of finding the same, over many made-up networks."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations, product

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plans.domain.book import Food, LeadInTask
from plans.domain.lead_in.asking import Ask, Plan, Starter
from plans.domain.lead_in.exact import exact_days
from plans.domain.lead_in.joining import joined, keep_days, longest_wait_days, uses, wait_days
from plans.domain.lead_in.network import network
from plans.domain.lead_in.packing import pack
from plans.domain.lead_in.plan import lead_in_plan
from plans.domain.lead_in.trips import Need, more_trips
from plans.domain.lead_in.windows import Job, Lag, hopeless, windows

TODAY = date(2026, 3, 1)
DAY = timedelta(days=1)
FOODS = ("a", "b", "c", "d")


@st.composite
def small_networks(draw) -> tuple[list[Job], list[Lag]]:
    """Up to four jobs on six days, with lags from earlier ones to later ones."""
    count = draw(st.integers(1, 4))
    jobs = [
        Job(
            str(at),
            draw(st.sampled_from((0, 20, 40, 60))),
            draw(st.integers(0, 5)),
            draw(st.integers(0, 3)),
            5,
        )
        for at in range(count)
    ]
    jobs = [replace(job, last=draw(st.integers(job.first, 5))) for job in jobs]
    lags = []
    for one, two in combinations(range(count), 2):
        if draw(st.booleans()):
            least = draw(st.integers(0, 2))
            lags.append(Lag(str(one), str(two), least, draw(st.none() | st.integers(least, 3))))
    return jobs, lags


def all_days(jobs: list[Job], lags: list[Lag], free: int | None) -> list[dict[str, int]]:
    """Every way to give the jobs days."""
    found = []
    for days in product(*(range(job.first, job.last + 1) for job in jobs)):
        on = {job.key: day for job, day in zip(jobs, days, strict=True)}
        waits = [on[lag.after] - on[lag.before] for lag in lags]
        if any(
            wait < lag.least or (lag.most is not None and wait > lag.most)
            for wait, lag in zip(waits, lags, strict=True)
        ):
            continue
        work = [sum(job.minutes for job in jobs if on[job.key] == day) for day in range(6)]
        if free is None or max(work) <= free:
            found.append(on)
    return found


@given(small_networks())
def test_windows_are_the_first_and_last_days_of_all_the_ways_there_are(network):
    jobs, lags = network
    ways = all_days(jobs, lags, None)
    found = windows(jobs, lags)
    assert bool(hopeless(found)) == (not ways)
    if ways:
        for job in jobs:
            days = [way[job.key] for way in ways]
            assert found[job.key] == (min(days), max(days))


@given(small_networks(), st.sampled_from((None, 40, 60, 80)))
def test_days_are_found_whenever_there_are_any(network, free):
    jobs, lags = network
    ways = all_days(jobs, lags, free)
    packed = pack(jobs, lags, lambda day: free)
    assert packed.known
    assert (packed.days in ways) if ways else packed.days is None


@settings(max_examples=40)
@given(small_networks(), st.sampled_from((40, 60, 80)))
def test_the_solver_answers_as_trying_everything_does_and_stays_nearest(network, free):
    jobs, lags = network
    found = windows(jobs, lags)
    if hopeless(found):
        return
    ways = all_days(jobs, lags, free)
    days, certain = exact_days(jobs, lags, lambda day: free, found, nearest=True)
    assert certain

    def far(way) -> int:
        return sum(abs(way[job.key] - job.best) for job in jobs)

    assert days in ways if ways else days is None
    assert not ways or far(days) == min(map(far, ways))


@given(st.lists(st.tuples(st.integers(0, 8), st.integers(0, 4)), min_size=1, max_size=5))
def test_there_are_never_fewer_trips_that_would_do(spans):
    """Trying every set of days: the fewest that hit every span."""
    needs = [
        Need(f"f{at}", TODAY + first * DAY, TODAY + (first + more) * DAY, "t")
        for at, (first, more) in enumerate(spans)
    ]
    groups = more_trips(needs)
    for group in groups:
        assert max(need.first for need in group) <= min(need.last for need in group)
    assert sum(map(len, groups)) == len(needs)
    days = [TODAY + day * DAY for day in range(13)]
    fewest = next(
        count
        for count in range(1, len(needs) + 1)
        if any(
            all(any(need.first <= day <= need.last for day in chosen) for need in needs)
            for chosen in combinations(days, count)
        )
    )
    assert len(groups) == fewest


@st.composite
def asks(draw) -> Ask:
    count = draw(st.integers(1, 7))
    tasks: list[LeadInTask] = []
    for at in range(count):
        least_h = draw(st.sampled_from((0, 0, 8, 24, 72)))
        after = (
            draw(st.lists(st.sampled_from([one.key for one in tasks]), max_size=2, unique=True))
            if tasks
            else []
        )
        tasks.append(
            LeadInTask(
                key=f"t{at}",
                title=f"T{at}",
                kind=draw(st.sampled_from(("culture", "cook", "shop", "ready"))),
                days_before=draw(st.integers(0, 20)),
                at_least_days=draw(st.integers(0, 4)),
                keeps_days=draw(st.none() | st.integers(0, 10)),
                hands_on_min=draw(st.sampled_from((0, 10, 30, 45, 80))),
                after=tuple(after),
                wait_least_h=least_h,
                wait_most_h=draw(st.none() | st.just(least_h + 24)),
                needs=tuple(draw(st.lists(st.sampled_from(FOODS), max_size=1))),
                makes=tuple(draw(st.lists(st.sampled_from(FOODS), max_size=1))),
            )
        )
    foods = {
        key: Food(key, key, "g", "pantry", fridge_days=draw(st.none() | st.integers(0, 9))) for key in FOODS
    }
    day_one = TODAY + draw(st.integers(0, 25)) * DAY
    free = draw(st.none() | st.lists(st.sampled_from((0, 30, 60, 120)), min_size=7, max_size=7).map(tuple))
    return Ask(today=TODAY, starters=(Starter("n", "N", day_one, tuple(tasks)),), foods=foods, free_min=free)


def moved(ask: Ask, days: int) -> Ask:
    starters = tuple(replace(one, day_one=one.day_one + days * DAY) for one in ask.starters)
    return replace(ask, starters=starters)


def fits(plan: Plan) -> bool:
    """Nothing late, and no day fuller than it is free, but for work that is longer than any day and for trips."""
    return not plan.late and plan.honest_day_one == plan.day_one


slow = settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])


@slow
@given(asks())
def test_predecessors_and_waits_are_kept_and_results_keep_until_they_are_used(ask):
    plan = lead_in_plan(ask)
    tasks = {task.key: task for task in ask.starters[0].tasks}
    on = {one.key: one for one in plan.tasks if one.key in tasks}
    assert set(on) == set(tasks)
    lags = network(ask, joined(ask)[0]).lags
    can_all_keep = fits(plan) and any(lag.most is not None for lag in lags)
    for key, task in tasks.items():
        assert on[key].on >= TODAY
        assert on[key].late == (on[key].on > on[key].latest)
        for before in task.after:
            wait = (on[key].on - on[before].on).days
            assert wait >= wait_days(tasks[before])
            keeps = keep_days(tasks[before], ask.freezer)
            if (
                can_all_keep
                and keeps is not None
                and uses(task, tasks[before])
                and tasks[before].kind != "shop"
            ):
                assert wait <= longest_wait_days(tasks[before]) + keeps


@slow
@given(asks())
def test_what_fits_fills_no_day_beyond_its_minutes(ask):
    plan = lead_in_plan(ask)
    if not fits(plan) or ask.free_min is None or not any(ask.free_min):
        return
    most = max(ask.free_min)
    for day in plan.days:
        work = sum(min(one.hands_on_min, most) for one in day.tasks if not one.name.startswith("trip: "))
        assert work <= day.free_min


@slow
@given(asks())
def test_a_day_that_is_too_full_says_so(ask):
    for day in lead_in_plan(ask).days:
        assert day.is_overfull == (day.free_min is not None and day.hands_on_min > day.free_min)


@slow
@given(asks())
def test_all_is_in_time_for_the_honest_day_one_and_was_not_for_the_day_before(ask):
    plan = lead_in_plan(ask)
    if plan.honest_day_one is None:
        assert plan.late or any(day.is_overfull for day in plan.days)
        return
    later = (plan.honest_day_one - plan.day_one).days
    then = lead_in_plan(moved(ask, later))
    assert not then.late
    assert then.honest_day_one == then.day_one
    if later and plan.proven:
        before = lead_in_plan(moved(ask, later - 1))
        assert before.honest_day_one == plan.honest_day_one
        assert before.late or any(day.is_overfull for day in before.days)


@slow
@given(asks())
def test_the_same_question_has_the_same_answer(ask):
    assert lead_in_plan(ask) == lead_in_plan(ask)

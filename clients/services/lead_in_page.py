"""The lead-in of a household as a page shows it, in the words of the active language."""

from dataclasses import dataclass
from datetime import date
from itertools import islice

from django.utils.translation import gettext as _

from clients.models import Household
from clients.services.lead_in import lead_in_of, words_of
from plans.domain.lead_in.asking import Day, Plan, Task, Tick
from plans.printables.lead_in_words import LeadInWords
from plans.printables.words import day_words, listed, short_day_words, span_words
from plans.selectors import foods_of
from plans.wording import LEAD_IN_KIND


@dataclass(frozen=True, slots=True)
class TaskRow:
    """One task in words. ``name`` is what a tick calls it."""

    name: str
    title: str
    kind: str
    on: date
    day: str
    hands_on: str
    eaters: str
    slack: str
    late: str
    instead: str
    more: tuple[str, ...]
    note: str
    source: str


@dataclass(frozen=True, slots=True)
class DayRow:
    """One day with its tasks and its work against the free minutes; ``late`` names its tasks that stand first."""

    on: date
    day: str
    countdown: str
    work: str
    overfull: str
    tasks: tuple[TaskRow, ...]
    late: str


@dataclass(frozen=True, slots=True)
class TickedRow:
    """A settled task: ``said`` is what became of it and when."""

    name: str
    title: str
    said: str


@dataclass(frozen=True, slots=True)
class LeadInPage:
    """Everything a lead-in page shows. ``late`` stand first and are not repeated in ``days``."""

    day_one: str
    days_to_go: int
    honest: str
    proven: bool
    fits_never: bool
    is_late: bool
    hands_on: str
    trips: str
    free_known: bool
    late: tuple[TaskRow, ...]
    days: tuple[DayRow, ...]
    soon: tuple[TaskRow, ...]
    left_out: tuple[str, ...]
    ticked: tuple[TickedRow, ...]
    count: int


def lead_in_page(household: Household, *, today: date, most: int = 0) -> LeadInPage | None:
    """The page of a household; None when nobody's day one lies ahead. ``soon`` holds the first ``most`` tasks."""
    plan = lead_in_of(household, today=today)
    if plan is None:
        return None
    words = words_of(household, plan, foods_of(household.practice), today=today)
    rows = {task.name: _row(task, words) for task in plan.tasks}
    honest = plan.honest_day_one
    troubled = bool(plan.late) or any(day.is_overfull for day in plan.days)
    return LeadInPage(
        day_one=day_words(plan.day_one),
        days_to_go=(plan.day_one - today).days,
        honest=day_words(honest) if honest is not None and honest > plan.day_one else "",
        proven=plan.proven,
        fits_never=honest is None and troubled,
        is_late=bool(plan.late),
        hands_on=span_words(plan.hands_on_min),
        trips=words.trips(),
        free_known=any(day.free_min is not None for day in plan.days),
        late=tuple(rows[task.name] for task in plan.late),
        days=tuple(_day(day, rows, words) for day in plan.days if any(not task.late for task in day.tasks)),
        soon=tuple(islice(rows.values(), most)),
        left_out=tuple(words.left_out(lost) for lost in plan.left_out),
        ticked=_ticked(plan, words),
        count=len(plan.tasks),
    )


def _row(task: Task, words: LeadInWords) -> TaskRow:
    return TaskRow(
        name=task.name,
        title=words.title(task),
        kind=str(LEAD_IN_KIND[task.kind]),
        on=task.on,
        day=short_day_words(task.on),
        hands_on=span_words(task.hands_on_min) if task.hands_on_min else "",
        eaters=words.eaters(task),
        slack=words.slack(task),
        late=words.late(task),
        instead="" if task.late else words.instead(task),
        more=words.more(task),
        note=task.note,
        source=task.source,
    )


def _day(day: Day, rows: dict[str, TaskRow], words: LeadInWords) -> DayRow:
    return DayRow(
        on=day.on,
        day=day_words(day.on),
        countdown=words.countdown(day.on),
        work=words.work(day),
        overfull=words.overfull(day),
        tasks=tuple(rows[task.name] for task in day.tasks if not task.late),
        late=listed([rows[task.name].title for task in day.tasks if task.late]),
    )


def _ticked(plan: Plan, words: LeadInWords) -> tuple[TickedRow, ...]:
    return tuple(TickedRow(one.name, words.settled(one), _became(one.tick)) for one in plan.ticked)


def _became(tick: Tick) -> str:
    on = {"day": day_words(tick.on)}
    return _("done on %(day)s") % on if tick.needed else _("not needed, said on %(day)s") % on

"""Getting ready: the dated work before day one, with boxes to tick."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from plans.domain.lead_in import Task
from plans.printables.facts import LeadIn, LeadInDay, LeadInTask
from plans.printables.words import day_words, listed, span_words


def lead_in(
    *,
    tasks: Iterable[Task],
    day_one: date,
    honest_day_one: date,
    for_whom: Mapping[str, tuple[str, ...]],
    everyone: int,
) -> LeadIn | None:
    """The sheet; None when there is nothing to do.

    ``honest_day_one`` is the first day nothing would be late for. ``for_whom`` names the eaters a task is for, by its
    key; tasks for all of ``everyone`` name nobody.
    """
    by_day: dict[date, list[Task]] = defaultdict(list)
    for task in tasks:
        by_day[task.on].append(task)
    if not by_day:
        return None
    return LeadIn(
        day_one=day_words(day_one),
        days=tuple(
            LeadInDay(
                date=day_words(on),
                countdown=_countdown((day_one - on).days),
                tasks=tuple(_task(task, for_whom.get(task.key, ()), everyone) for task in by_day[on]),
            )
            for on in sorted(by_day)
        ),
        hands_on=span_words(sum(task.hands_on_min for on in by_day for task in by_day[on])),
        honest=day_words(honest_day_one) if honest_day_one > day_one else "",
    )


def _countdown(days: int) -> str:
    if not days:
        return _("day one")
    return ngettext("%(days)d day before", "%(days)d days before", days) % {"days": days}


def _task(task: Task, eaters: tuple[str, ...], everyone: int) -> LeadInTask:
    late = ""
    if task.late:
        late = _("Late: this should be begun by %(day)s. Begin now, and tell your coach.") % {
            "day": day_words(task.latest)
        }
    return LeadInTask(
        title=task.title,
        hands_on=span_words(task.hands_on_min) if task.hands_on_min else "",
        note=task.note,
        source=task.source,
        kind=task.kind,
        eaters=_("for %(eaters)s") % {"eaters": listed(eaters)} if 0 < len(eaters) < everyone else "",
        late=late,
    )

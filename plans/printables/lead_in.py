"""Getting ready: the dated work before day one, with boxes to tick."""

from plans.domain.lead_in.asking import Plan, Task
from plans.printables.facts import LeadIn, LeadInDay, LeadInTask
from plans.printables.lead_in_words import LeadInWords
from plans.printables.words import day_words, span_words


def lead_in(words: LeadInWords) -> LeadIn | None:
    """The sheet; None when there is nothing to do."""
    plan = words.plan
    if not plan.tasks:
        return None
    return LeadIn(
        day_one=day_words(plan.day_one),
        days=tuple(
            LeadInDay(
                date=day_words(day.on),
                countdown=words.countdown(day.on),
                tasks=tuple(_task(task, words) for task in day.tasks),
                work=words.work(day),
                overfull=words.overfull(day),
            )
            for day in plan.days
        ),
        hands_on=span_words(plan.hands_on_min),
        honest=_honest(plan),
        trips=words.trips(),
        left_out=tuple(words.left_out(lost) for lost in plan.left_out),
    )


def _honest(plan: Plan) -> str:
    honest = plan.honest_day_one
    return day_words(honest) if honest is not None and honest > plan.day_one else ""


def _task(task: Task, words: LeadInWords) -> LeadInTask:
    return LeadInTask(
        title=words.title(task),
        hands_on=span_words(task.hands_on_min) if task.hands_on_min else "",
        note=task.note,
        source=task.source,
        kind=task.kind,
        eaters=words.eaters(task),
        late=words.late(task),
        slack=words.slack(task),
        more=words.more(task),
    )

"""The lead-in as a calendar file (RFC 5545), for the calendar of a phone.

Each open task is a VEVENT of its whole day, since that is what phone calendars show: many show no VTODO at all (common
practice, no source). An event takes no time out of the day (TRANSP), belongs to nobody by name and says nothing of
health: only its title, how to do it and how long it can wait. Its UID stays the same when the day changes and its
SEQUENCE grows, so that reading the file again moves the event.
"""

from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid5

from django.utils.translation import gettext as _
from icalendar import Calendar, Event

from plans.domain.lead_in.asking import Task
from plans.printables.lead_in_words import LeadInWords
from plans.printables.words import span_words

PRODUCT = "-//Ladlework//Lead-in//EN"
HOST = "ladlework"


def lead_in_calendar(
    words: LeadInWords, *, household: UUID, title: str, at: datetime, since: datetime
) -> bytes:
    """The file as bytes, as of ``at``. ``since`` is a fixed moment before: versions are counted in minutes from it."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", title)
    sequence = max(0, int((at - since) / timedelta(minutes=1)))
    for task in words.plan.tasks:
        calendar.add_component(_event(task, words, household, at, sequence))
    return calendar.to_ical()


def uid_of(household: UUID, task: str) -> str:
    """The identifier of a task's event: the same for as long as the task has its name."""
    return f"{uuid5(household, task)}@{HOST}"


def _event(task: Task, words: LeadInWords, household: UUID, at: datetime, sequence: int) -> Event:
    event = Event()
    event.add("uid", uid_of(household, task.name))
    stamp = at.astimezone(UTC).replace(microsecond=0)
    event.add("dtstamp", stamp)
    event.add("last-modified", stamp)
    event.add("sequence", sequence)
    event.add("dtstart", task.on)
    event.add("dtend", task.on + timedelta(days=1))
    event.add("summary", words.title(task))
    event.add("description", _description(task, words))
    event.add("transp", "TRANSPARENT")
    return event


def _description(task: Task, words: LeadInWords) -> str:
    work = _("About %(time)s of work.") % {"time": span_words(task.hands_on_min)} if task.hands_on_min else ""
    slack = words.slack(task)
    lines = (work, f"{slack[:1].upper()}{slack[1:]}." if slack else "", task.note)
    return "\n".join(line for line in lines if line)

"""The first page: for whom, from when, what is inside and how to use it."""

from collections.abc import Iterable
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from plans.printables.facts import Cover, CoverEater, CoverEntry, Standing
from plans.printables.words import day_words, period_words


def cover(
    *,
    household: str,
    client: str,
    first: date,
    last: date,
    day_one: date | None,
    eaters: tuple[CoverEater, ...],
    contents: tuple[CoverEntry, ...],
) -> Cover:
    """The cover for the days ``first`` to ``last``. ``day_one`` is None once everybody has begun."""
    return Cover(
        household=household,
        client=client,
        period=period_words(first, last),
        day_one="" if day_one is None else day_words(day_one),
        eaters=eaters,
        contents=contents,
        how_to=(
            _("Read the next page once, before you cook, and keep it."),
            _("Pin the stage sheet where you cook. What it does not name waits for a later stage."),
            _("Take the shopping list with you and strike out what you have."),
            _("Cook by the cards. Each says how hot, how long it keeps, and who leaves out what."),
            _("Fill in the diary once a day, or answer on your telephone; either will do."),
        ),
    )


def contents(
    *,
    stage_sheets: Iterable[Standing],
    diaries: Iterable[Standing],
    has_lead_in: bool,
    has_week: bool,
    cards: int,
) -> tuple[CoverEntry, ...]:
    """What is inside, in order, each with what to do with it."""
    entries = [CoverEntry("cautions", _("Before you cook"), _("read once, keep"))]
    for number, standing in enumerate(stage_sheets, start=1):
        title = _("%(name)s: %(stage)s") % {"name": standing.eater, "stage": standing.stage}
        entries.append(CoverEntry(f"stage-{number}", title, _("for the refrigerator door")))
    if has_lead_in:
        entries.append(CoverEntry("lead-in", _("Getting ready"), _("the days before day one")))
    if has_week:
        entries.append(CoverEntry("shopping", _("Shopping"), _("take it along")))
        entries.append(CoverEntry("week", _("The week"), _("for the kitchen wall")))
    if cards:
        count = ngettext("%(count)d card", "%(count)d cards", cards) % {"count": cards}
        entries.append(CoverEntry("cards", _("Recipe cards"), count))
    for number, standing in enumerate(diaries, start=1):
        title = _("Check-in diary for %(name)s") % {"name": standing.eater}
        entries.append(CoverEntry(f"diary-{number}", title, _("seven days")))
    return tuple(entries)

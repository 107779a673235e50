"""What an eater may do with a food, why, and what opens next, as people read it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.utils.formats import date_format, number_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plans.domain.book import Food, Stage
from plans.domain.brief import FoodAllowance, Reason
from plans.domain.opening import FoodOpening, StageAhead
from plans.domain.vocabulary import Allowance
from plans.printables.words import forms_words, sentence_case
from plans.wording import ALLOWANCE, say

_ALLOWS = frozenset(
    ("flavour-only", "first-tastes", "first-tastes-untried", "as-prepared", "freely", "not-yet")
)
"""Codes of the stage's own row: the headline says what they give."""
_SHORTER = {
    "no-protocol": gettext_lazy("no protocol is followed on this day"),
    "not-in-protocol": gettext_lazy("the protocol does not open it"),
}
"""Reasons that say the allowance as well where they stand alone; here the headline has said it."""
SOON = timedelta(days=366)
"""What opens later, such as on an eighteenth birthday, is nobody's next step."""


@dataclass(frozen=True, slots=True)
class ToCome:
    """The opening of one food, with the stage it needs, if it needs another one."""

    opening: FoodOpening
    stage: Stage | None


@dataclass(frozen=True, slots=True)
class FoodWords:
    """One food for one eater: what is given, how or how much of it, and why."""

    word: str
    detail: str
    points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AheadWords:
    """A stage to come: its foods by what they open as, and those that wait for something else as well."""

    title: str
    earliest: str
    opens: tuple[tuple[str, str], ...]
    waits: tuple[tuple[str, str], ...]
    count: int


def food_words(
    given: FoodAllowance,
    *,
    on: date,
    to_come: ToCome | None = None,
    grows: tuple[date, Decimal] | None = None,
    said: Mapping[str, str] | None = None,
) -> FoodWords:
    """One food for one eater on a day. ``grows`` is the next step of a first taste.

    ``said`` names for each food left out by a clinician who said so: for staff only. Without it the words are the
    client's.
    """
    closed = given.allowance is Allowance.NOT_YET
    told = [reason for reason in given.reasons if not (closed and reason.code in _ALLOWS)]
    points = (reason_words(reason, said=said) for reason in told)
    return FoodWords(
        word=str(ALLOWANCE[given.allowance]),
        detail=_detail(given, on, to_come, grows),
        points=tuple(dict.fromkeys(sentence_case(point) for point in points if point)),
    )


def reason_words(reason: Reason, *, said: Mapping[str, str] | None = None) -> str:
    """One reason of an allowance. ``said`` as for ``food_words``. Raises KeyError for a code without words."""
    facts = reason.facts
    if reason.code == "clinician":
        if said is None:
            return _("left out: your clinician asked for it")
        return _("left out on the word of %(who)s: %(food)s") % {
            "who": said.get(str(facts["food"]), _("a clinician")),
            "food": facts["food"],
        }
    if reason.code == "opens-at":
        return str(facts.get("note", ""))
    if reason.code in _SHORTER:
        return _with_note(_SHORTER[reason.code], reason)
    if reason.code in _ALLOWS:
        return _with_note(_("since %(stage)s") % {"stage": facts["stage"]}, reason)
    return say(reason)


def ahead_words(
    ahead: Iterable[StageAhead], *, stages: Mapping[str, Stage], foods: Mapping[str, Food], today: date
) -> tuple[AheadWords, ...]:
    """What opens next, stage by stage. A food that waits for a day of its own is said by itself."""
    worded = (_stage_ahead(one, stages, foods, today) for one in ahead)
    return tuple(one for one in worded if one.earliest or one.count)


def day_words(day: date, *, beside: date) -> str:
    """A day, with its year only where it is another than that of the day beside it."""
    return date_format(day, _("j F") if day.year == beside.year else _("j F Y"))


def stage_words(stage: Stage) -> str:
    """``stage 3, Taste``."""
    return _("stage %(number)d, %(title)s") % {"number": stage.number, "title": stage.title}


def _detail(
    given: FoodAllowance, on: date, to_come: ToCome | None, grows: tuple[date, Decimal] | None
) -> str:
    if given.allowance is Allowance.NOT_YET:
        return _when(to_come, given, on)
    how = _how(given)
    if grows is None:
        return how
    return _("%(how)s, from %(day)s %(amount)s") % {
        "how": how,
        "day": day_words(grows[0], beside=on),
        "amount": _grams(grows[1]),
    }


def _when(to_come: ToCome | None, given: FoodAllowance, on: date) -> str:
    """When a food that is *not yet* may open at the earliest."""
    if to_come is None:
        waits = given.reasons[0].code == "opens-at"
        return _("opens at %(stage)s") % given.reasons[0].facts if waits else ""
    opening, stage = to_come.opening, to_come.stage
    if opening.on is None:
        return _("open again once this is over")
    day = day_words(opening.on, beside=on)
    if stage is None:
        return _("earliest %(day)s") % {"day": day}
    return _("opens at %(stage)s, earliest %(day)s") % {"stage": stage_words(stage), "day": day}


def _how(given: FoodAllowance) -> str:
    """The forms, the amount, or what to do; nothing where nothing is asked."""
    forms = forms_words(given.forms)
    if given.allowance is Allowance.FLAVOUR_ONLY:
        taken_out = _("cook it in, take it out before serving")
        return f"{forms}; {taken_out}" if forms else taken_out
    parts = [forms, _amount(given)]
    if given.flavour_forms and given.flavour_forms != given.forms:
        parts.append(_("as a flavour too only %(forms)s") % {"forms": forms_words(given.flavour_forms)})
    return "; ".join(part for part in parts if part)


def _amount(given: FoodAllowance) -> str:
    if given.most_g is None:
        return ""
    if given.untried:
        return _("ready to be introduced, starting amount %(amount)s") % {"amount": _grams(given.most_g)}
    if not given.most_g:
        return _("none of it on this day")
    return _("at most %(amount)s on this day") % {"amount": _grams(given.most_g)}


def _with_note(words: str | Promise, reason: Reason) -> str:
    """Words with the protocol's own note after them, if it has one."""
    note = reason.facts.get("note")
    return f"{words}. {note}" if note else str(words)


def _grams(grams: Decimal) -> str:
    whole = grams == grams.to_integral_value()
    number = number_format(int(grams) if whole else grams.normalize())
    return _("%(number)s g") % {"number": number}


def _stage_ahead(
    one: StageAhead, stages: Mapping[str, Stage], foods: Mapping[str, Food], today: date
) -> AheadWords:
    opens: dict[Allowance, list[str]] = {}
    waits = []
    soon = [opening for opening in one.foods if opening.on is None or opening.on <= today + SOON]
    for opening in soon:
        name = foods[opening.food].name
        if one.stage and opening.on == one.on and opening.held is None:
            opens.setdefault(opening.given.allowance, []).append(name)
        else:
            waits.append((name, _waits(opening, today)))
    return AheadWords(
        title=sentence_case(stage_words(stages[one.stage])) if one.stage else _("Without a change of stage"),
        earliest=_("earliest %(day)s") % {"day": day_words(one.on, beside=today)} if one.stage else "",
        opens=tuple((str(ALLOWANCE[word]), "; ".join(opens[word])) for word in sorted(opens, reverse=True)),
        waits=tuple(waits),
        count=len(soon),
    )


def _waits(opening: FoodOpening, today: date) -> str:
    why = reason_words(opening.held) if opening.held else ""
    if opening.on is None:
        return _("%(why)s; open again once this is over") % {"why": why}
    earliest = _("earliest %(day)s") % {"day": day_words(opening.on, beside=today)}
    return f"{earliest}: {why}" if why else earliest

"""What a move to another version changes for one eater, as a coach reads it."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from clients.services.moving_offers import Offer
from plans.domain.book import Rule
from plans.domain.brief import FoodAllowance
from plans.domain.differences import Difference
from plans.domain.moving import Change, Effect
from plans.domain.vocabulary import Allowance
from plans.printables.words import amount_words, date_words, forms_words
from plans.views.change_words import WAY, Names, Said, said_once, said_row, taste_words
from plans.wording import ALLOWANCE, say


def parts_of(offer: Offer, names: Names, today: date) -> list[dict[str, Any]]:
    """Headings with their changes: today, what holds at every stage (both ``is_now``), then stage by stage."""
    moving = offer.moving
    if moving is None:
        return []
    here = next((step for step in moving.steps if step.stage == offer.stage), None)
    stage = names.stage(offer.stage)
    at_once = [*_foods(moving.today, names), *_others(here.other if here else (), names)]
    parts = [
        (True, _first_heading(offer, stage, today), at_once),
        (True, _("At every stage"), _others(moving.always, names)),
        (
            False,
            _("Later at %(stage)s, when today’s conditions and introductions are over") % {"stage": stage},
            _foods(here.foods if here else (), names),
        ),
        *(
            (False, names.stage(step.stage), [*_others(step.other, names), *_foods(step.foods, names)])
            for step in moving.steps
            if step is not here
        ),
    ]
    return [
        {"is_now": is_now, "title": title, "rows": said_once(rows)} for is_now, title, rows in parts if rows
    ]


def summary_words(offer: Offer) -> str:
    """What changes, counted: ``2 foods open, 1 closes; more at later stages``."""
    moving = offer.moving
    if moving is None or moving.is_nothing:
        return _("Nothing changes for them")
    counts = dict.fromkeys(Effect, 0)
    for change in moving.today:
        counts[change.effect] += 1
    altered = {change.food for change in moving.today} - {
        change.food for change in moving.today if change.effect in (Effect.OPENS, Effect.CLOSES)
    }
    now = [
        ngettext("%(n)d food opens", "%(n)d foods open", counts[Effect.OPENS]) % {"n": counts[Effect.OPENS]},
        ngettext("%(n)d food closes", "%(n)d foods close", counts[Effect.CLOSES])
        % {"n": counts[Effect.CLOSES]},
        ngettext("%(n)d food changes", "%(n)d foods change", len(altered)) % {"n": len(altered)},
    ]
    told = [
        words
        for words, n in zip(now, (counts[Effect.OPENS], counts[Effect.CLOSES], len(altered)), strict=True)
        if n
    ]
    if moving.steps or moving.always:
        told.append(_("more at later stages") if told else _("No food changes yet; later stages do"))
    return capfirst(", ".join(told))


def _first_heading(offer: Offer, stage: str, today: date) -> str:
    if offer.on > today:
        return _("On day one, %(on)s, at %(stage)s") % {"on": date_words(offer.on), "stage": stage}
    return _("Today, at %(stage)s") % {"stage": stage}


def _others(found: Iterable[Difference], names: Names) -> list[Said]:
    return [said_row(one, names) for one in found]


def _foods(changes: Iterable[Change], names: Names) -> list[Said]:
    return [
        (food_words(change, names), str(WAY.get(change.way, "")), names.food(change.food))
        for change in changes
    ]


def food_words(change: Change, names: Names) -> str:
    """What becomes of a food, as a clause without its full stop."""
    if change.effect is Effect.OPENS:
        return _("opens: %(how)s") % {"how": _how(change.now, change.rule_now, names)}
    if change.effect is Effect.CLOSES:
        return _closed(change)
    if change.effect is Effect.ALLOWANCE:
        sides = {
            "was": _how(change.was, change.rule_was, names),
            "now": _how(change.now, change.rule_now, names),
        }
        return _("was: %(was)s; is: %(now)s") % sides
    if change.effect is Effect.AMOUNTS:
        return _amounts(change, names)
    if change.effect is Effect.FORMS:
        was, now = (forms_words(given.forms) or _("any") for given in (change.was, change.now))
        return _("forms were: %(was)s; they are: %(now)s") % {"was": was, "now": now}
    was, now = (rule.note if rule else "" for rule in (change.rule_was, change.rule_now))
    if not was:
        return _("has a note: “%(now)s”") % {"now": now}
    return _("the note was “%(was)s” and is “%(now)s”") % {"was": was, "now": now or _("none")}


def _closed(change: Change) -> str:
    """Why a food closes: the first reason the engine gives, which says ``not yet`` where we say ``closes``."""
    for reason in change.now.reasons[:1]:
        if reason.code == "opens-at" and not reason.facts.get("note"):
            return _("closes, and opens at %(stage)s") % reason.facts
        if reason.code == "not-in-protocol" and not reason.facts.get("note"):
            return _("closes: no stage of the version opens it")
        return _("closes; %(why)s") % {"why": say(reason)}
    return _("closes")


def _how(given: FoodAllowance, rule: Rule | None, names: Names) -> str:
    """``as prepared, boiled and peeled``; for a first taste also its amounts."""
    taste = taste_words(rule, names.system) if rule and given.allowance is Allowance.FIRST_TASTES else ""
    parts = (str(ALLOWANCE[given.allowance]).lower(), forms_words(given.forms), taste)
    return ", ".join(part for part in parts if part)


def _amounts(change: Change, names: Names) -> str:
    tastes = [
        taste_words(rule, names.system) if rule and rule.allowance is Allowance.FIRST_TASTES else ""
        for rule in (change.rule_was, change.rule_now)
    ]
    if all(tastes) and tastes[0] != tastes[1]:
        return _("first tastes were: %(was)s; they are: %(now)s") % {"was": tastes[0], "now": tastes[1]}
    most = [
        _("as it comes") if given.most_g is None else amount_words(given.most_g, "g", None, names.system)
        for given in (change.was, change.now)
    ]
    return _("the most for a day was: %(was)s; it is: %(now)s") % {"was": most[0], "now": most[1]}

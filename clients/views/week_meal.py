"""One meal of a standing week and what can be asked of it; and what can have gone off."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, QueryDict
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from clients.domain.revising import dish_at, dishes_at, meal_text, together
from clients.forms.revising import (
    Choices,
    ExchangeForm,
    GoneForm,
    MealForm,
    NotThisForm,
    OtherDishForm,
    OutForm,
    day_choices,
    meal_choices,
)
from clients.selectors.revising import changes_of, locks_of, past_of
from clients.services.revised_briefs import revised_brief
from clients.services.weeks import week_values
from clients.wording.revising import ChangeWords, meal_words
from coaching.domain.units import System
from plans.domain.brief import Brief, Meal, Week
from plans.domain.eaten import Past
from plans.domain.planner.alternatives import Alternative, alternatives
from plans.printables.words import amount_words, listed

SHOWN = 8
"""So many other dishes are offered at first."""


@dataclass(frozen=True, slots=True)
class MealPage:
    """The context of a meal's page, and the form that was sent, if one was."""

    context: dict[str, Any]
    sent: MealForm | None


def meal_page(row, meal: Meal, request: HttpRequest, *, at: datetime) -> MealPage:
    """Everything that can be asked of a meal. Raises ValueError for a meal that this week has not."""
    week, brief = week_values(row)
    if meal[0] not in range(brief.days) or meal[1] not in brief.slots:
        raise ValueError(meal)
    past, locks = past_of(row.household, row.start, at), locks_of(row)
    context = {
        "week": row,
        "household": row.household,
        "meal_key": meal_text(meal),
        "words": meal_words(row.start, meal),
        "dishes": _titles(week, brief, meal),
        "is_eaten": meal in past,
        "is_locked": meal in locks,
        "asked": [
            ChangeWords(week, brief).at(change, meal)
            for change in changes_of(row.waiting)
            if meal in change.meals
        ],
    }
    # What was sent for a meal that is eaten meanwhile is shown again, with the refusal.
    is_shut = request.method != "POST" if context["is_eaten"] else context["is_locked"]
    if is_shut:
        return MealPage(context, None)
    forms = _Forms(row, week, brief, meal, request, past=past, at=at)
    return MealPage(context | forms.context(), forms.sent)


class _Forms:
    """The forms of one meal; the one whose button was pressed is bound.

    Of a meal that is eaten by the time a form is sent, there is that form only, with what was chosen.
    """

    def __init__(
        self, row, week: Week, brief: Brief, meal: Meal, request: HttpRequest, *, past: Past, at: datetime
    ) -> None:
        self.row, self.week, self.brief, self.meal, self.past = row, week, brief, meal, past
        self.done = request.POST.get("do", "")
        self.typed = request.POST
        self.shows_all = "all" in request.GET or request.method == "POST"
        self.others = self._chosen() if meal in past else self._others(at)
        has_dish = dish_at(week, meal) is not None
        self.forms: dict[str, MealForm] = {
            "other": OtherDishForm(self._typed("other"), meal=meal, dishes=self._dishes()),
            "out": OutForm(
                self._typed("out"), meal=meal, eaters=[(eater.key, eater.name) for eater in brief.eaters]
            ),
        }
        if has_dish:
            self.forms["not"] = NotThisForm(
                self._typed("not"), meal=meal, dishes=_dish_choices(week, brief, meal)
            )
            self.forms["exchange"] = ExchangeForm(self._typed("exchange"), meal=meal, meals=self._partners())
        if meal in past:
            self.forms = {name: form for name, form in self.forms.items() if name == self.done}

    @property
    def sent(self) -> MealForm | None:
        return self.forms.get(self.done)

    def context(self) -> dict[str, Any]:
        return {
            "other": self.forms.get("other"),
            "not_this": self.forms.get("not"),
            "out": self.forms.get("out"),
            "exchange": self.forms.get("exchange"),
            "sent": self.sent,
            "more": 0 if self.shows_all else max(0, len(self.others) - SHOWN),
        }

    def _typed(self, name: str) -> QueryDict | None:
        return self.typed if self.done == name else None

    def _others(self, at: datetime) -> Choices:
        """What else could be at the meal."""
        now = revised_brief(
            self.row,
            changes=together(changes_of(self.row.changes), changes_of(self.row.waiting)),
            locks=locks_of(self.row),
            at=at,
        )
        units = System(self.row.household.practice.units)
        return OtherDishes(alternatives(now, self.meal), now, units).choices

    def _chosen(self) -> Choices:
        """The dish that was chosen for the meal."""
        chosen = self.typed.get("other-recipe")
        return [(recipe.key, recipe.title) for recipe in self.brief.recipes if recipe.key == chosen]

    def _dishes(self) -> Choices:
        return self.others if self.shows_all else self.others[:SHOWN]

    def _partners(self) -> Choices:
        """Meals that could change places with this one: not eaten, not locked, each dish made for the other's time. One
        that was chosen and has been eaten since is among them, so that it is told and kept."""
        slots = {recipe.key: recipe.slots for recipe in self.brief.recipes}
        titles = {recipe.key: recipe.title for recipe in self.brief.recipes}
        here = dish_at(self.week, self.meal)
        locks = locks_of(self.row)
        partners = []
        chosen = self.typed.get("exchange-other")
        for day in range(self.brief.days):
            for slot in self.brief.slots:
                dish = dish_at(self.week, (day, slot))
                is_out = (day, slot) in self.past and meal_text((day, slot)) != chosen
                if is_out or dish in (None, here) or (day, slot) in locks:
                    continue
                if slot in slots[here] and self.meal[1] in slots[dish]:
                    words = f"{meal_words(self.row.start, (day, slot))}: {titles[dish]}"
                    partners.append(((day, slot), words))
        return meal_choices(partners)


class OtherDishes:
    """Other dishes for a meal as one picks them, each with what it means; a dish once, in its best way."""

    def __init__(self, found: Iterable[Alternative], brief: Brief, system: System) -> None:
        self.system = system
        self.titles = {recipe.key: recipe.title for recipe in brief.recipes}
        self.names = {eater.key: eater.name for eater in brief.eaters}
        best: dict[str, Alternative] = {}
        for one in found:
            best.setdefault(one.recipe, one)
        self.choices: Choices = [
            (key, f"{self.titles.get(key, key)}: {self._means(one)}") for key, one in best.items()
        ]

    def _means(self, one: Alternative) -> str:
        day = date_format(one.cook_on, "l")
        if one.cook:
            parts = [_("from the pot of %(day)s, no work") % {"day": day}]
        else:
            parts = [
                ngettext("%(minutes)d minute on %(day)s", "%(minutes)d minutes on %(day)s", one.hands_on_min)
                % {"minutes": one.hands_on_min, "day": day}
            ]
        if one.short_min:
            parts.append(
                ngettext("%(minutes)d more than there is", "%(minutes)d more than there are", one.short_min)
                % {"minutes": one.short_min}
            )
        if one.something_else:
            who = listed([self.names.get(eater, eater) for eater in one.something_else])
            parts.append(_("something else for %(who)s") % {"who": who})
        if one.again:
            parts.append(
                ngettext("on the table %(n)d more time", "on the table %(n)d more times", one.again)
                % {"n": one.again}
            )
        if one.stock_short_ml:
            amount = amount_words(Decimal(one.stock_short_ml), "ml", None, self.system)
            parts.append(_("%(amount)s more stock to cook") % {"amount": amount})
        return ", ".join(parts)


def gone_form(row, typed: QueryDict | None, *, at: datetime) -> GoneForm:
    """The form for what has gone off: the week's pots that are eaten from, its foods, and the others of the book."""
    week, brief = week_values(row)
    first = max(0, past_of(row.household, row.start, at).day)
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    names = {key: food.name for key, food in brief.foods.items()}
    used = {line.food for cook in week.cooks for line in recipes[cook.recipe].ingredients}
    by_name = sorted(brief.foods, key=lambda food: names[food])
    pots = [
        (
            cook.key,
            _("%(dish)s of %(day)s") % {"dish": recipes[cook.recipe].title, "day": date_format(cook.on, "l")},
        )
        for cook in sorted(week.cooks, key=lambda cook: (cook.on, cook.key))
    ]
    return GoneForm(
        typed,
        pots=pots,
        foods=[(food, names[food]) for food in by_name if food in used],
        others=[(food, names[food]) for food in by_name if food not in used],
        days=day_choices(row.start, range(min(first, brief.days), brief.days)),
    )


def _titles(week: Week, brief: Brief, meal: Meal) -> list[str]:
    return [title for _key, title in _dish_choices(week, brief, meal)]


def _dish_choices(week: Week, brief: Brief, meal: Meal) -> Choices:
    there = dishes_at(week, meal)
    return [(recipe.key, recipe.title) for recipe in brief.recipes if recipe.key in there]

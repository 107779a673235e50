"""A day in the kitchen in words: the pots in order, the plates with their notes, what the freezer takes and gives."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from coaching.domain.units import System
from plans.domain.brief import Brief, Plate, Week
from plans.domain.day import Cooking, Day, Eaten, Frozen
from plans.domain.limits import younger_than
from plans.domain.planner.setting import FRESH, KEPT, THAWED
from plans.domain.quantities import shown
from plans.domain.stock_draws import Draw
from plans.domain.takings import decimal_of
from plans.domain.vocabulary import Slot
from plans.printables.cards import TODDLER_MONTHS, cards
from plans.printables.facts import Card
from plans.printables.week import frozen_words, meals_words, whole_pot_without, without_words
from plans.printables.words import (
    amount_words,
    listed,
    number_words,
    portions_words,
    short_day_words,
    short_names,
    shown_words,
    span_words,
)
from plans.wording import SLOT

STOCK_FROM = {
    FRESH: gettext_lazy("Takes %(amount)s of %(stock)s, of the pot you cook the same day."),
    KEPT: gettext_lazy("Takes %(amount)s of %(stock)s from the refrigerator, cooked %(day)s."),
    THAWED: gettext_lazy("Takes %(amount)s of %(stock)s that was frozen and is thawed now, cooked %(day)s."),
}
BEFORE_MEAL = {
    Slot.BREAKFAST: gettext_lazy("Begin %(span)s before breakfast."),
    Slot.MUG: gettext_lazy("Begin %(span)s before the first mug."),
    Slot.MIDDAY: gettext_lazy("Begin %(span)s before the midday meal."),
    Slot.EVENING: gettext_lazy("Begin %(span)s before the evening meal."),
}
"""A household gives no hours for its meals, so the clock is counted back from the meal."""


@dataclass(frozen=True, slots=True)
class CookWords:
    """One pot: how much, how long, for whom, what it takes of stock, what becomes of the rest, and its recipe.

    ``alarms`` say for whom it is no longer.
    """

    title: str
    size: str
    times: str
    begin: str
    whom: tuple[str, ...]
    stock: tuple[str, ...]
    rest: tuple[str, ...]
    card: Card
    alarms: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DishWords:
    """One dish at a meal. ``alarms`` say for whom it is no longer, ``notes`` what each plate leaves out or adds."""

    title: str
    who: str
    source: str
    notes: tuple[str, ...]
    alarms: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MealWords:
    """What there is at one time of the day."""

    slot: str
    dishes: tuple[DishWords, ...]


@dataclass(frozen=True, slots=True)
class DayWords:
    """A day: ``work`` sums up the pots; ``take_out`` and ``freeze`` are lines with an amount, a dish and a day."""

    work: str
    cooks: tuple[CookWords, ...]
    meals: tuple[MealWords, ...]
    take_out: tuple[str, ...]
    freeze: tuple[str, ...]
    has_thawed: bool


def day_words(
    parts: Sequence[tuple[Week, Brief, Day]],
    *,
    system: System,
    not_now: Mapping[tuple[str, str], Sequence[str]],
) -> DayWords:
    """The day of the week that runs, with the work for one that begins tomorrow, if there is one.

    ``not_now`` names the foods, by eater and pot, for which a plate of the day no longer suits.
    """
    views = [(_View(week, brief, system, not_now), day) for week, brief, day in parts]
    first, today = views[0]
    last, eve = views[-1]
    cooks = tuple(view.cook(cooking) for view, day in views for cooking in day.cooks)
    minutes = sum(day.hands_on_min for _view, day in views)
    return DayWords(
        work=_work(len(cooks), minutes),
        cooks=cooks,
        meals=tuple(MealWords(str(SLOT[slot]), tuple(first.dishes(eaten))) for slot, eaten in today.meals),
        take_out=tuple(last.take_out(frozen) for frozen in eve.take_out),
        freeze=tuple(view.freeze(frozen) for view, day in views for frozen in day.freeze),
        has_thawed=any(one.plate.source == THAWED for one in today.plates()),
    )


def _work(pots: int, minutes: int) -> str:
    if not pots:
        return ""
    return ngettext("%(pots)d pot, %(work)s of work.", "%(pots)d pots, %(work)s of work in all.", pots) % {
        "pots": pots,
        "work": span_words(minutes),
    }


def day_line(days: Sequence[Day]) -> str:
    """The days of ``day_words`` in one line: the pots with their minutes, and that the freezer is to be thought of."""
    cooks = [cooking for day in days for cooking in day.cooks]
    work = _work(len(cooks), sum(day.hands_on_min for day in days)) or _("Nothing to cook today.")
    thaw = _("Something has to come out of the freezer.") if days[-1].take_out else ""
    return " ".join(words for words in (work, thaw) if words)


class _View:
    """A week with what its words depend on."""

    def __init__(
        self, week: Week, brief: Brief, system: System, not_now: Mapping[tuple[str, str], Sequence[str]]
    ) -> None:
        self.week, self.brief, self.system, self.not_now = week, brief, system, not_now
        self.recipes = {recipe.key: recipe for recipe in brief.recipes}
        self.cooks = {cook.key: cook for cook in week.cooks}
        self.eaters = {eater.key: eater for eater in brief.eaters}
        self.names = short_names(brief.foods.values())
        self.plates: dict[str, list[Plate]] = {key: [] for key in self.cooks}
        for plate in week.plates:
            self.plates[plate.cook].append(plate)

    def title(self, cook: str) -> str:
        """The dish, with what stays out of the whole pot."""
        left_out = self._left_out(cook)
        title = self.recipes[self.cooks[cook].recipe].title
        if not left_out:
            return title
        foods = listed([self.names.get(food, food) for food in sorted(left_out)])
        return _("%(dish)s, without %(foods)s") % {"dish": title, "foods": foods}

    def _left_out(self, cook: str) -> frozenset[str]:
        pot = self.cooks[cook]
        return whole_pot_without(pot, self.recipes[pot.recipe], self.plates[cook])

    def cook(self, cooking: Cooking) -> CookWords:
        recipe, cook = cooking.recipe, cooking.cook
        size = amount_words(recipe.portion[0] * cook.portions, recipe.portion[1], None, self.system)
        alone = replace(self.week, cooks=(cook,), plates=tuple(self.plates[cook.key]))
        (card,) = cards(week=alone, brief=self.brief, system=self.system)
        return CookWords(
            title=self.title(cook.key),
            size=size if recipe.makes else f"{portions_words(cook.portions)}, {size}",
            times=_("%(work)s of work, %(all)s in all")
            % {"work": span_words(recipe.hands_on_min), "all": span_words(recipe.elapsed_min)},
            begin=self._begin(cooking),
            whom=tuple(self._whom(cooking)),
            stock=tuple(self._stock(draw) for draw in cooking.draws),
            rest=tuple(self._rest(cooking)),
            card=card,
            alarms=tuple(self._alarms(cook.key, (*cooking.today, *cooking.later))),
        )

    def _begin(self, cooking: Cooking) -> str:
        """When to begin, counted back from the meal; nothing for what no meal of the day waits for."""
        if cooking.needed is None:
            return ""
        return str(BEFORE_MEAL[cooking.needed]) % {"span": span_words(cooking.lead_min)}

    def _whom(self, cooking: Cooking) -> Iterator[str]:
        """``For everyone: Tuesday midday, Wednesday evening.``, and what dishes take of a stock."""
        eaters: dict[tuple[date, Slot], tuple[str, ...]] = {}
        for plate in (*cooking.today, *cooking.later):
            eaters[plate.on, plate.slot] = (*eaters.get((plate.on, plate.slot), ()), plate.eater)
        meals: dict[tuple[str, ...], list[str]] = {}
        for (on, slot), who in eaters.items():
            meals.setdefault(who, []).append(
                _("%(day)s %(meal)s") % {"day": date_format(on, "l"), "meal": str(SLOT[slot]).lower()}
            )
        for who, when in meals.items():
            all_of_them = len(set(who)) == len(self.eaters)
            yield _("For %(eaters)s: %(meals)s.") % {
                "eaters": _("everyone") if all_of_them else listed([self._name(eater) for eater in who]),
                "meals": ", ".join(when),
            }
        for draw in cooking.for_dishes:
            yield _("%(amount)s for %(dish)s, %(day)s.") % {
                "day": date_format(draw.on, "l"),
                "amount": self._ml(draw.ml),
                "dish": self.title(draw.cook),
            }

    def _stock(self, draw: Draw) -> str:
        amount, stock = self._ml(draw.ml), self.names.get(draw.food, draw.food)
        if not draw.pot:
            return _("Takes %(amount)s of %(stock)s that no pot of this week makes: have it ready.") % {
                "amount": amount,
                "stock": stock,
            }
        day = short_day_words(self.cooks[draw.pot].on)
        return str(STOCK_FROM[draw.source]) % {"amount": amount, "stock": stock, "day": day}

    def _rest(self, cooking: Cooking) -> Iterator[str]:
        """What becomes of what is not eaten on the day."""
        kept = [plate for plate in cooking.later if plate.source == KEPT]
        drawn = [draw for draw in cooking.for_dishes if draw.source == KEPT]
        if (kept or drawn) and cooking.use_by > cooking.cook.on:
            yield _("The rest keeps in the refrigerator to the end of %(day)s.") % {
                "day": date_format(cooking.use_by, "l")
            }

    def _shares(self, cook: str, plates: Iterable[Plate]) -> str:
        """``Portions: Nell 1, Ivo ½``; of a stock, which is poured, ``Nell 250 ml, Ivo 150 ml``."""
        recipe = self.recipes[self.cooks[cook].recipe]
        quantity, unit = recipe.portion
        if recipe.makes:
            return ", ".join(
                f"{self._name(plate.eater)} "
                + shown_words(shown(quantity * plate.portions, unit, None, self.system))
                for plate in plates
            )
        shares = ", ".join(f"{self._name(plate.eater)} {share_words(plate.portions)}" for plate in plates)
        return _("Portions: %(shares)s") % {"shares": shares}

    def _name(self, eater: str) -> str:
        return self.eaters[eater].name if eater in self.eaters else eater

    def dishes(self, eaten: Sequence[Eaten]) -> Iterator[DishWords]:
        """The dishes of a meal: plates from one pot together."""
        together: dict[tuple[str, str], list[Eaten]] = {}
        for one in eaten:
            together.setdefault((one.plate.cook, one.plate.source), []).append(one)
        for (cook, _source), alike in together.items():
            yield DishWords(
                title=self.title(cook),
                who=self._shares(cook, (one.plate for one in alike)),
                source=self._source(alike[0]),
                notes=tuple(self._notes(cook, alike)),
                alarms=tuple(self._alarms(cook, [one.plate for one in alike])),
            )

    def _source(self, eaten: Eaten) -> str:
        day = date_format(eaten.cook.on, "l")
        if eaten.plate.source == KEPT:
            if eaten.cook.on == eaten.plate.on:
                return _("From the refrigerator, cooked earlier on the day.")
            by = date_format(eaten.use_by, "l")
            return _("From the refrigerator: cooked %(day)s, use it by %(by)s.") % {"day": day, "by": by}
        if eaten.plate.source == THAWED:
            return _(
                "Thawed in the refrigerator since the day before, cooked %(day)s. Use it up the same day."
            ) % {"day": day}
        return _("Fresh from the pot.")

    def _notes(self, cook: str, alike: Sequence[Eaten]) -> Iterator[str]:
        left_out = self._left_out(cook)
        without: dict[tuple[str, ...], list[str]] = {}
        for one in alike:
            own = tuple(food for food in one.plate.without if food not in left_out)
            if own:
                without.setdefault(own, []).append(self._name(one.plate.eater))
        for foods, eaters in without.items():
            yield without_words(listed(eaters), foods, self.names)
        for one in alike:
            for food, most_g in one.most_g:
                if food not in left_out:
                    yield _("%(eater)s: a first taste of %(food)s, no more than %(most)s of it all day") % {
                        "eater": self._name(one.plate.eater),
                        "food": self.names.get(food, food),
                        "most": amount_words(most_g, "g", self.brief.foods.get(food), self.system),
                    }
        yield from self._for_children(cook, alike)

    def _for_children(self, cook: str, alike: Sequence[Eaten]) -> Iterator[str]:
        note = self.recipes[self.cooks[cook].recipe].child_note
        small = [
            self._name(one.plate.eater)
            for one in alike
            if one.plate.eater in self.eaters
            and younger_than(self.eaters[one.plate.eater].born, one.plate.on, months=TODDLER_MONTHS)
        ]
        if note and small:
            yield _("%(eaters)s: %(note)s") % {"eaters": listed(small), "note": note}

    def _alarms(self, cook: str, plates: Iterable[Plate]) -> Iterator[str]:
        for eater in dict.fromkeys(plate.eater for plate in plates):
            foods = self.not_now.get((eater, cook))
            if foods:
                yield _(
                    "Not for %(eater)s: what holds for %(foods)s has changed since this week was planned."
                ) % {
                    "eater": self._name(eater),
                    "foods": listed([self.names.get(food, food) for food in foods]),
                }

    def freeze(self, frozen: Frozen) -> str:
        return _("%(amount)s of %(dish)s, for %(days)s.") % {
            "amount": self._amount(frozen),
            "dish": self.title(frozen.cook.key),
            "days": listed([date_format(on, "l") for on in frozen.days]),
        }

    def take_out(self, frozen: Frozen) -> str:
        return _("%(amount)s of %(dish)s, for %(day)s: %(meals)s.") % {
            "amount": self._amount(frozen),
            "dish": self.title(frozen.cook.key),
            "day": date_format(frozen.days[0], "l"),
            "meals": listed(meals_words(frozen, self.title)),
        }

    def _amount(self, frozen: Frozen) -> str:
        return frozen_words(frozen, self.recipes[frozen.cook.recipe], self.system)

    def _ml(self, ml: Fraction) -> str:
        return amount_words(decimal_of(ml), "ml", None, self.system)


def share_words(portions: Decimal) -> str:
    """A share of a portion to the nearest quarter, never nothing: ``1``, ``½``, ``1 ¼``."""
    quarters = max(1, int(portions * 4 + Decimal("0.5")))
    return number_words(Fraction(quarters, 4))

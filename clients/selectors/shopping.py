"""The shopping list of a household's week as it is read in the shop, with what is ticked and what is in the house."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from clients.domain.basket import Basket, BasketLine, State, basket
from clients.models import Household, ShoppingTick, Week
from clients.selectors.stores import is_past, lots_of, stores_of
from coaching.domain.units import System
from plans.domain.book import Food
from plans.domain.brief import Brief
from plans.domain.brief import Week as WeekPlan
from plans.domain.brief_json import brief_from_record, week_from_record
from plans.domain.leftovers import could_go
from plans.domain.shopping import Line, shopping_list, shops_on
from plans.printables.shop_words import buy_words, house_words, left_words, needed_words, spoils_words
from plans.printables.words import by_name, period_words, weight_words
from plans.wording import AISLE

DAYS_A_WEEK = 7


@dataclass(frozen=True, slots=True)
class LineWords:
    """One food to buy as it stands on the phone. ``tick_to`` and ``ticked`` are the grams a tick writes and an undo
    takes back, ``in_basket`` says what is there already when more is needed."""

    food: str
    name: str
    state: State
    get: str
    needed: str
    notes: tuple[str, ...]
    left: str
    in_basket: str
    tick_to: str
    ticked: str

    @property
    def is_done(self) -> bool:
        """It is in the basket."""
        return self.state is State.DONE


@dataclass(frozen=True, slots=True)
class NamedAmount:
    """A food and how much of it, in words."""

    food: str
    name: str
    amount: str
    note: str = ""
    ticked: str = ""


@dataclass(frozen=True, slots=True)
class WeekChoice:
    """A week one can shop for."""

    pk: UUID
    period: str


@dataclass(frozen=True, slots=True)
class ShoppingPage:
    """Everything the list shows. ``past`` are foods in the house that do not count because their date is over."""

    week: UUID
    period: str
    aisles: tuple[tuple[str, tuple[LineWords, ...]], ...]
    done: int
    total: int
    make: tuple[NamedAmount, ...]
    in_house: tuple[NamedAmount, ...]
    not_needed: tuple[NamedAmount, ...]
    past: tuple[str, ...]
    unweighed: tuple[str, ...]

    @property
    def left_over(self) -> list[LineWords]:
        """The lines of which something will be left over, in the order of the shop."""
        return [line for _, lines in self.aisles for line in lines if line.left]

    def line(self, food: str) -> LineWords | None:
        """The line of a food, if it is to buy."""
        return next((line for _, lines in self.aisles for line in lines if line.food == food), None)


def weeks_to_shop(household: Household, today: date) -> list[Week]:
    """The newest planned week of each start that is not over, the earliest first, without their plans."""
    weeks = Week.objects.filter(
        household=household, state=Week.State.PLANNED, start__gt=today - timedelta(days=DAYS_A_WEEK)
    )
    newest: dict[date, Week] = {}
    for week in weeks.order_by("start", "-asked_at").defer("brief", "plan"):
        newest.setdefault(week.start, week)
    return list(newest.values())


def week_to_shop(weeks: Sequence[Week], today: date) -> Week | None:
    """The week one shops for today: the one that begins within two days or has begun last, else the next one."""
    begun = [week for week in weeks if week.start <= today + timedelta(days=2)]
    return begun[-1] if begun else next(iter(weeks), None)


def choices(weeks: Sequence[Week]) -> list[WeekChoice]:
    """Weeks as one picks them."""
    return [WeekChoice(week.pk, _period(week.start, DAYS_A_WEEK)) for week in weeks]


def shopping_page(household: Household, start: date, *, today: date) -> ShoppingPage | None:
    """The list for the newest planned week from ``start``, in three queries; None when there is none.

    Once the week runs only what is still to be cooked counts, because what the house has is what it has today.
    """
    row = (
        Week.objects.filter(household=household, start=start, state=Week.State.PLANNED)
        .order_by("-asked_at")
        .first()
    )
    if row is None:
        return None
    week, brief = week_from_record(row.plan), brief_from_record(row.brief)
    system = System(household.practice.units)
    stores = stores_of(household)
    bought = shopping_list(week, brief, lots_of(stores, today), since=today)
    whole = shopping_list(week, brief)
    ticks = dict(
        ShoppingTick.objects.filter(household=household, start=start).values_list("food", "amount_g")
    )
    filled = basket(bought, ticks, brief.foods, system, of_the_week={line.food for line in whole.lines()})
    view = _View(week, brief, system)
    return ShoppingPage(
        week=row.pk,
        period=_period(week.start, week.days),
        aisles=tuple((str(AISLE[aisle]), view.lines(lines)) for aisle, lines in filled.aisles),
        done=filled.done,
        total=filled.total,
        make=tuple(view.make(line) for line in filled.make),
        in_house=tuple(view.in_house(line) for line in filled.in_house),
        not_needed=view.not_needed(filled),
        past=tuple(
            dict.fromkeys(
                view.name(store.food)
                for store in stores
                if is_past(store, today) and store.food in brief.foods
            )
        ),
        unweighed=tuple(food.name for food in by_name(brief.foods[key] for key in bought.unweighed)),
    )


def _period(start: date, days: int) -> str:
    return period_words(start, start + timedelta(days=days - 1))


class _View:
    """How lines are said in one kitchen."""

    def __init__(self, week: WeekPlan, brief: Brief, system: System) -> None:
        self.week, self.brief, self.system = week, brief, system
        self.foods: Mapping[str, Food] = brief.foods
        self.dishes = {recipe.key: recipe.title for recipe in brief.recipes}

    def name(self, food: str) -> str:
        return self.foods[food].name if food in self.foods else food

    def lines(self, lines: Sequence[BasketLine]) -> tuple[LineWords, ...]:
        ordered = sorted(lines, key=lambda one: (self.name(one.line.food).casefold(), one.line.food))
        return tuple(self._line(one) for one in ordered)

    def _line(self, one: BasketLine) -> LineWords:
        line, food = one.line, self.foods[one.line.food]
        rest_g = line.short_g if one.state is State.DONE else line.short_g - one.ticked_g
        notes = (
            spoils_words(line, food, shops_on=shops_on(self.week), freezer=self.brief.kitchen.freezer),
            house_words(line, food, self.system),
        )
        return LineWords(
            food=food.key,
            name=food.name,
            state=one.state,
            get=buy_words(rest_g, one.packs, food, self.system),
            needed=needed_words(line, food, self.system),
            notes=tuple(note for note in notes if note),
            left=left_words(line, could_go(line, self.week, self.brief), food, self.system),
            in_basket=weight_words(one.ticked_g, food, self.system) if one.state is State.MORE else "",
            tick_to=_grams(one.tick_to_g),
            ticked=_grams(one.ticked_g),
        )

    def make(self, line: Line) -> NamedAmount:
        food = self.foods[line.food]
        return NamedAmount(
            food.key,
            food.name,
            weight_words(line.make_g, food, self.system),
            note=self.dishes.get(line.maker, ""),
        )

    def in_house(self, line: Line) -> NamedAmount:
        food = self.foods[line.food]
        return NamedAmount(food.key, food.name, weight_words(line.from_house_g, food, self.system))

    def not_needed(self, filled: Basket) -> tuple[NamedAmount, ...]:
        return tuple(self._unneeded(food, ticked_g) for food, ticked_g in filled.not_needed)

    def _unneeded(self, food: str, ticked_g: Decimal) -> NamedAmount:
        words = weight_words(ticked_g, self.foods.get(food), self.system)
        return NamedAmount(food, self.name(food), words, ticked=_grams(ticked_g))


def _grams(amount_g: Decimal) -> str:
    """Grams as a form carries them: with a point, whatever the language."""
    return f"{amount_g.normalize():f}"

"""A week that is solved again: what stands still, what changes, and the fewest changes there are on small questions."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from itertools import product
from typing import Any

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from plans.domain.allowance import EaterRules
from plans.domain.brief import Brief, Choice, Cook, NoWeek, Plate, Revision, Week
from plans.domain.planner.revising import A_CHANGE
from plans.domain.planner.solve import plan_week
from plans.domain.planner.solving import Effort
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Slot
from tests.plans.domain.hand_made import GROWN_UP, MONDAY, brief, eater, food, line, recipe

QUICK = Effort(first=0.5, a_round=0.1, rounds=1, splits=1, most=0.6)
FOODS = [
    food("beef", aisle="meat"),
    food("carrot"),
    food("onion"),
    food("dill"),
    food("stock", aisle="home-made", home_made=True),
    food("bones", aisle="meat"),
]
BOOK = RuleBook.compile(None, FOODS)
BEEF = recipe("beef-pot", line("200 g", "beef"), line("100 g", "carrot"))
CARROT = recipe(
    "carrot-pot", line("300 g", "carrot"), line("20 g", "onion", "boiled", "optional"), hands_on_min=21
)
MASH = recipe("mash", line("300 g", "carrot"), line("5 g", "dill", "raw", "plate"), hands_on_min=22)
STOCK = recipe(
    "stock-pot",
    line("500 g", "bones", "broth"),
    line("10 g", "onion", "broth", "flavour"),
    slots=("mug",),
    kind="stock",
    makes="stock",
    portion=(Decimal(250), "ml"),
    servings=Decimal(4),
)
BOWL = recipe("broth-bowl", line("400 ml", "stock", "broth"), line("100 g", "carrot"))


def planned(asked: Brief) -> Week:
    week = plan_week(asked, effort=QUICK)
    assert isinstance(week, Week), week
    return week


def revised(asked: Brief, week: Week, **request: Any) -> Week:
    return planned(replace(asked, revision=Revision(week, **request)))


def refused(asked: Brief, week: Week, **request: Any) -> NoWeek:
    answer = plan_week(replace(asked, revision=Revision(week, **request)), effort=QUICK)
    assert isinstance(answer, NoWeek), answer
    return answer


def tables(week: Week) -> dict[tuple[int, Slot, str], str]:
    """What each eater has at each meal, as the recipe and the day of its pot."""
    cooks = {cook.key: cook for cook in week.cooks}
    return {
        ((plate.on - MONDAY).days, plate.slot, plate.eater): cooks[plate.cook].recipe for plate in week.plates
    }


def by_hand(*pots: tuple[str, int, str, str], slot: Slot = Slot.MIDDAY, who: str = "a") -> Week:
    """A shown week written out: recipe, day, portions, and the days on which a portion of it is eaten at midday."""
    cooks, plates = [], []
    for key, day, portions, eaten in pots:
        on = MONDAY + timedelta(days=day)
        cooks.append(Cook(f"{on} {key}", key, on, Decimal(portions)))
        for meal in eaten.split():
            then = MONDAY + timedelta(days=int(meal))
            source = "fresh" if then == on else "kept"
            plates.append(Plate(then, slot, who, cooks[-1].key, Decimal(1), source))
    plates.sort(key=lambda plate: plate.on)
    return Week(MONDAY, 3, tuple(cooks), tuple(plates), {}, 0.0, 0.0)


def midday(*recipes: Any, who: Any = None, minutes: tuple[int, ...] = (60,) * 3, **fields: Any) -> Brief:
    """Three middays of one eater."""
    plain = {"slots": (Slot.MIDDAY,)}
    return brief((who or eater("a", BOOK),), BOOK, *recipes, minutes=minutes, **(plain | fields))


BEEF_THEN_CARROT = by_hand(("beef-pot", 0, "2", "0 1"), ("carrot-pot", 2, "1", "2"))


class TestThePast:
    def test_it_stays_as_it_was_though_allowances_changed_since(self):
        no_beef = eater("a", BOOK, EaterRules(born=GROWN_UP, excluded=frozenset({"beef"})))
        week = revised(midday(BEEF, CARROT, MASH, who=no_beef), BEEF_THEN_CARROT, from_day=1)
        assert week.cooks[0] == BEEF_THEN_CARROT.cooks[0]
        assert week.plates[0] == BEEF_THEN_CARROT.plates[0]
        assert tables(week)[1, Slot.MIDDAY, "a"] != "beef-pot"

    def test_it_stays_though_appetite_minutes_and_the_book_changed(self):
        hungry = eater("a", BOOK, appetite=Decimal("1.5"))
        week = revised(
            midday(replace(BEEF, batch=False), CARROT, MASH, who=hungry, minutes=(0, 60, 60)),
            BEEF_THEN_CARROT,
            from_day=2,
        )
        assert week.cooks[0] == BEEF_THEN_CARROT.cooks[0]
        assert week.plates[:2] == BEEF_THEN_CARROT.plates[:2]
        assert week.plates[2].portions == Decimal("1.5")

    def test_a_pot_already_cooked_gives_what_is_left_and_no_more(self):
        shown = by_hand(("beef-pot", 0, "3", "0"), ("carrot-pot", 1, "2", "1 2"))
        week = revised(midday(BEEF, CARROT), shown, from_day=1, gone_foods={"carrot": 1})
        assert {cook.recipe: cook.portions for cook in week.cooks} == {"beef-pot": Decimal(3)}
        assert [plate.source for plate in week.plates] == ["fresh", "kept", "kept"]
        small = by_hand(("beef-pot", 0, "2", "0"), ("carrot-pot", 1, "2", "1 2"))
        answer = refused(midday(BEEF, CARROT), small, from_day=1, gone_foods={"carrot": 1})
        assert "food-gone-in-the-way" in [reason.code for reason in answer.conflicts]
        assert "get-food-again" in [reason.code for reason in answer.relaxations]

    def test_what_was_eaten_counts_as_it_was_eaten_though_the_appetite_is_another_now(self):
        hungry = eater("a", BOOK, appetite=Decimal("1.5"))
        week = revised(midday(BEEF, CARROT, who=hungry), by_hand(("beef-pot", 0, "3", "0 1 2")), from_day=1)
        beef = [plate.portions for plate in week.plates if plate.cook == week.cooks[0].key]
        assert beef == [Decimal(1), Decimal("1.5")]

    def test_what_went_into_a_pot_keeps_it_from_those_who_may_have_it_no_more(self):
        shown = by_hand(("carrot-pot", 0, "3", "0 1 2"))
        no_onion = eater("a", BOOK, EaterRules(born=GROWN_UP, excluded=frozenset({"onion"})))
        week = revised(midday(CARROT, MASH, who=no_onion), shown, from_day=1)
        fresh = [cook for cook in week.cooks if cook.on > MONDAY]
        assert all("onion" in plate.without for plate in week.plates[1:])
        assert fresh and {plate.cook for plate in week.plates[1:]} == {cook.key for cook in fresh}
        answer = refused(
            midday(CARROT, MASH, who=no_onion), shown, from_day=1, locked=frozenset({(1, Slot.MIDDAY)})
        )
        assert (answer.conflicts[0].code, answer.conflicts[0].facts["food"]) == ("lock-not-open", "Onion")

    def test_repeats_of_the_past_count(self):
        shown = by_hand(("beef-pot", 0, "3", "0 1"), ("carrot-pot", 2, "1", "2"))
        asked = midday(BEEF, CARROT, most_repeats=2)
        for appetite in ("1", "0.9"):
            asked = replace(asked, eaters=(eater("a", BOOK, appetite=Decimal(appetite)),))
            answer = refused(asked, shown, from_day=2, unwanted=(Choice((2, Slot.MIDDAY), "carrot-pot"),))
            assert {reason.code for reason in answer.relaxations} & {"repeat-mains", "allow-dish"}


class TestStock:
    def stock(self, portions: str) -> Week:
        return by_hand(
            ("stock-pot", -1, portions, ""), ("broth-bowl", 0, "1", "0"), ("broth-bowl", 1, "2", "1 2")
        )

    def asked(self, **fields: Any) -> Brief:
        return midday(STOCK, BOWL, CARROT, MASH, **fields)

    def test_what_is_left_is_drawn_to_the_millilitre(self):
        """Five portions of 250 ml: 400 ml of them are drawn on Monday, and 800 ml are wanted of the 850 ml left."""
        kept = revised(self.asked(), self.stock("5"), from_day=1)
        assert tables(kept) == tables(self.stock("5"))
        assert len(kept.cooks) == 3
        short = revised(self.asked(minutes=(60, 20, 60)), self.stock("4.5"), from_day=1)
        drawn = sum(
            cook.portions * 400 for cook in short.cooks if cook.recipe == "broth-bowl" and cook.on > MONDAY
        )
        made = sum(cook.portions * 250 for cook in short.cooks if cook.recipe == "stock-pot")
        assert drawn + 400 <= made

    def test_stock_that_has_gone_is_not_drawn_on(self):
        week = revised(self.asked(), self.stock("8"), from_day=1, gone_cooks={"2026-05-31 stock-pot": 1})
        later = [cook for cook in week.cooks if cook.on > MONDAY]
        if any(cook.recipe == "broth-bowl" for cook in later):
            assert any(cook.recipe == "stock-pot" for cook in later)

    def test_stock_holds_what_went_into_it(self):
        no_onion = eater("a", BOOK, EaterRules(born=GROWN_UP, excluded=frozenset({"onion"})))
        week = revised(self.asked(who=no_onion), self.stock("8"), from_day=1)
        old = {cook.key for cook in week.cooks if cook.recipe == "broth-bowl" and cook.on == MONDAY}
        new = [cook for cook in week.cooks if cook.recipe == "stock-pot" and cook.on > MONDAY]
        assert all(cook.without == ("onion",) for cook in new)
        assert not old & {plate.cook for plate in week.plates if plate.on > MONDAY}
        assert new or "broth-bowl" not in {key for (day, _, _), key in tables(week).items() if day}


class TestRequests:
    def test_nobody_at_home_leaves_the_rest_as_it_is(self):
        away = frozenset({(1, Slot.MIDDAY)})
        week = revised(midday(BEEF, CARROT, who=eater("a", BOOK, away=away)), BEEF_THEN_CARROT, from_day=0)
        assert tables(week) == {(0, Slot.MIDDAY, "a"): "beef-pot", (2, Slot.MIDDAY, "a"): "carrot-pot"}
        assert week.objective["changes"] == 0
        assert week.cooks[0].portions == 1
        assert week.cooks[0].why[0].facts == {"before": "2", "after": "1"}

    def test_those_who_stay_keep_a_locked_dish(self):
        pair = eater("a", BOOK), eater("b", BOOK)
        asked = brief(pair, BOOK, BEEF, CARROT, MASH, minutes=(60,) * 3, slots=(Slot.MIDDAY,))
        week = planned(asked)
        out = (pair[0], replace(pair[1], away=frozenset({(1, Slot.MIDDAY)})))
        again = revised(replace(asked, eaters=out), week, from_day=1, locked=frozenset({(1, Slot.MIDDAY)}))
        assert (1, Slot.MIDDAY, "b") not in tables(again)
        assert tables(again)[1, Slot.MIDDAY, "a"] == tables(week)[1, Slot.MIDDAY, "a"]

    def test_a_food_that_has_gone_stays_out_of_pots_and_off_plates(self):
        shown = by_hand(("carrot-pot", 0, "1", "0"), ("carrot-pot", 1, "1", "1"), ("mash", 2, "1", "2"))
        week = revised(midday(CARROT, MASH), shown, from_day=1, gone_foods={"onion": 1, "dill": 2})
        assert tables(week) == tables(shown)
        assert [cook.without for cook in week.cooks] == [(), ("onion",), ()]
        assert [plate.without for plate in week.plates] == [(), ("onion",), ("dill",)]

    def test_a_dish_in_place_of_another_says_so(self):
        week = revised(
            midday(BEEF, CARROT, MASH),
            BEEF_THEN_CARROT,
            from_day=2,
            unwanted=(Choice((2, Slot.MIDDAY), "carrot-pot"),),
            wanted=(Choice((2, Slot.MIDDAY), "mash"),),
        )
        assert (week.cooks[-1].recipe, week.cooks[-1].why[0].code) == ("mash", "in-place-of")
        assert week.cooks[-1].why[0].facts == {"dish": "Carrot Pot"}
        assert week.objective["changes"] == 2 * A_CHANGE

    def test_a_pot_moved_to_another_day_says_from_which(self):
        week = revised(
            midday(replace(BEEF, batch=False), CARROT),
            by_hand(("beef-pot", 1, "1", "1"), ("carrot-pot", 0, "2", "0 2")),
            wanted=(Choice((2, Slot.MIDDAY), "beef-pot"), Choice((1, Slot.MIDDAY), "carrot-pot")),
        )
        moved = next(cook for cook in week.cooks if cook.recipe == "beef-pot")
        assert [(reason.code, dict(reason.facts)) for reason in moved.why[:1]] == [
            ("moved-from", {"on": "2026-06-02"})
        ]

    def test_a_wanted_dish_is_for_those_whom_it_suits(self):
        no_beef = EaterRules(born=GROWN_UP, excluded=frozenset({"beef"}))
        asked = brief(
            (eater("a", BOOK), eater("b", BOOK, no_beef)),
            BOOK,
            BEEF,
            CARROT,
            MASH,
            minutes=(60,) * 3,
            slots=(Slot.MIDDAY,),
        )
        week = planned(asked)
        again = revised(asked, week, wanted=(Choice((1, Slot.MIDDAY), "beef-pot"),))
        assert tables(again)[1, Slot.MIDDAY, "a"] == "beef-pot"
        assert tables(again)[1, Slot.MIDDAY, "b"] != "beef-pot"


class TestWhatCannotBe:
    """Every collision names the request and what it collides with, and how to let go of it."""

    def code(self, asked: Brief, **request: Any) -> tuple[str, str]:
        answer = refused(asked, BEEF_THEN_CARROT, **request)
        return answer.conflicts[0].code, answer.relaxations[0].code

    def test_locks(self):
        lock = {"locked": frozenset({(1, Slot.MIDDAY)}), "from_day": 1}
        asked, beef = midday(BEEF, CARROT, MASH), BEEF_THEN_CARROT.cooks[0].key
        no_beef = eater("a", BOOK, EaterRules(born=GROWN_UP, excluded=frozenset({"beef"})))
        at = (1, Slot.MIDDAY)
        assert self.code(asked, **lock, gone_cooks={beef: 1}) == ("lock-pot-gone", "unlock-meal")
        assert self.code(asked, **(lock | {"from_day": 0}), gone_foods={"beef": 0}) == (
            "lock-food-gone",
            "unlock-meal",
        )
        assert self.code(midday(BEEF, CARROT, who=no_beef), **lock) == ("lock-not-open", "unlock-meal")
        assert self.code(asked, **lock, unwanted=(Choice(at, "beef-pot"),)) == (
            "lock-unwanted",
            "unlock-meal",
        )
        assert self.code(asked, **lock, wanted=(Choice(at, "mash"),)) == ("lock-against-wish", "unlock-meal")
        broke = midday(CARROT, MASH)
        assert self.code(broke, **(lock | {"from_day": 0})) == ("lock-dish-gone", "unlock-meal")

    def test_a_lock_that_only_the_rest_of_the_week_forbids(self):
        asked = midday(BEEF, CARROT, minutes=(60, 60, 0), freezer=False)
        shown = by_hand(("beef-pot", 0, "2", "0 1"), ("carrot-pot", 2, "1", "2"))
        answer = refused(asked, shown, locked=frozenset({(2, Slot.MIDDAY)}))
        assert {reason.code for reason in answer.relaxations} & {"unlock-meal", "more-minutes"}

    def test_wishes(self):
        at = (2, Slot.MIDDAY)
        asked = midday(BEEF, CARROT, MASH)
        assert self.code(asked, wanted=(Choice(at, "unknown"),)) == ("wish-suits-nobody", "drop-wish")
        no_beef = eater("a", BOOK, EaterRules(born=GROWN_UP, excluded=frozenset({"beef"})))
        assert self.code(midday(BEEF, CARROT, who=no_beef), wanted=(Choice(at, "beef-pot"),)) == (
            "wish-suits-nobody",
            "drop-wish",
        )
        both = (Choice(at, "beef-pot"), Choice(at, "mash"))
        assert self.code(asked, wanted=both) == ("wishes-collide", "drop-wish")
        assert self.code(
            midday(replace(BEEF, batch=False), CARROT),
            wanted=(Choice(at, "beef-pot"),),
            gone_foods={"beef": 0},
        ) == ("wish-food-gone", "drop-wish")

    def test_a_ban_that_leaves_nothing(self):
        bans = tuple(Choice((2, Slot.MIDDAY), key) for key in ("beef-pot", "carrot-pot"))
        answer = refused(midday(BEEF, CARROT), BEEF_THEN_CARROT, unwanted=bans)
        assert answer.conflicts[0].code == "ban-in-the-way"
        assert answer.relaxations[0].code == "allow-dish"


@st.composite
def small_questions(draw: st.DrawFn) -> Brief:
    """Two dishes on two or three days, with times and keeping of all kinds, for one or two eaters."""
    dishes = [
        replace(
            dish,
            hands_on_min=draw(st.sampled_from((10, 20, 30))),
            fridge_days=draw(st.sampled_from((0, 1, 3))),
            batch=draw(st.booleans()),
        )
        for dish in (BEEF, CARROT)
    ]
    days = draw(st.integers(2, 3))
    eaters = [eater("a", BOOK, dislikes=frozenset(draw(st.sampled_from(((), ("beef",))))))]
    if draw(st.booleans()):
        eaters.append(eater("b", BOOK, appetite=Decimal(draw(st.sampled_from(("0.4", "1.2"))))))
    slots = (Slot.MIDDAY,) if days == 3 else (Slot.MIDDAY, Slot.EVENING)
    return brief(
        tuple(eaters),
        BOOK,
        *dishes,
        minutes=tuple(draw(st.sampled_from((20, 30, 60))) for _ in range(days)),
        pot_ml=draw(st.sampled_from((1800, 4000))),
        freezer=False,
        slots=slots,
    )


def test_one_who_joins_eats_along_and_one_who_leaves_leaves_the_past():
    both = (eater("a", BOOK), eater("z", BOOK))
    asked = replace(midday(BEEF, CARROT, MASH), eaters=both)
    joined = revised(asked, BEEF_THEN_CARROT, from_day=1)
    assert {place: dish for place, dish in tables(joined).items() if place[2] == "a"} == tables(
        BEEF_THEN_CARROT
    )
    assert len(joined.plates) == 5
    left = revised(replace(asked, eaters=both[1:]), BEEF_THEN_CARROT, from_day=1)
    assert [plate.eater for plate in left.plates] == ["a", "z", "z"]


def test_a_week_that_is_all_past_stays():
    week = revised(midday(BEEF, CARROT), BEEF_THEN_CARROT, from_day=3)
    assert (week.cooks, week.plates) == (BEEF_THEN_CARROT.cooks, BEEF_THEN_CARROT.plates)


def shown_week(asked: Brief) -> Week:
    week = plan_week(asked, effort=QUICK)
    assume(isinstance(week, Week))
    assert isinstance(week, Week)
    return week


@given(small_questions(), st.integers(-1, 3))
@settings(max_examples=25)
def test_a_request_for_nothing_gives_the_shown_week_back(asked: Brief, from_day: int):
    week = shown_week(asked)
    again = revised(asked, week, from_day=from_day)
    assert (again.cooks, again.plates) == (week.cooks, week.plates)
    assert again.objective == week.objective | {"changes": 0}
    assert again.gap == 0


@given(small_questions(), st.data())
@settings(max_examples=25)
def test_locked_meals_never_change(asked: Brief, data: st.DataObject):
    week = shown_week(asked)
    meals = list(product(range(asked.days), asked.slots))
    locked = frozenset(data.draw(st.sets(st.sampled_from(meals), max_size=3)))
    meal = data.draw(st.sampled_from([meal for meal in meals if meal not in locked] or meals))
    before = tables(week)
    ban = (Choice(meal, before[*meal, "a"]),)
    answer = plan_week(replace(asked, revision=Revision(week, locked=locked, unwanted=ban)), effort=QUICK)
    if isinstance(answer, Week):
        after = tables(answer)
        assert all(after[place] == before[place] for place in before if place[:2] in locked)
        pots = {cook.key for cook in week.cooks}
        assert all(plate.cook in pots for plate in answer.plates if (plate.on - MONDAY).days < 0)


@given(small_questions(), st.data())
@settings(max_examples=40)
def test_no_week_has_fewer_changes(asked: Brief, data: st.DataObject):
    asked = replace(asked, eaters=asked.eaters[:1])
    week = shown_week(asked)
    first = data.draw(st.integers(0, 1))
    meal = data.draw(st.sampled_from(list(product(range(first, asked.days), asked.slots))))
    kind = data.draw(st.sampled_from(("ban", "gone", "away")))
    request: dict[str, Any] = {"from_day": first}
    before = tables(week)
    if kind == "ban":
        request["unwanted"] = (Choice(meal, before[*meal, "a"]),)
    elif kind == "gone":
        request["gone_foods"] = {"beef": first}
    else:
        asked = replace(asked, eaters=(replace(asked.eaters[0], away=frozenset({meal})),))
    answer = plan_week(replace(asked, revision=Revision(week, **request)), effort=QUICK)
    fewest = fewest_changes(asked, Revision(week, **request))
    if fewest is None:
        assert isinstance(answer, NoWeek)
    else:
        assert isinstance(answer, Week)
        assert answer.objective["changes"] // A_CHANGE == fewest


def fewest_changes(asked: Brief, revision: Revision) -> int | None:
    """The fewest plates with another dish and pots dropped, added or put in place of another, over every week there
    is; None when there is none."""
    first, who = revision.from_day, asked.eaters[0]
    day_of = {cook.key: (cook.recipe, (cook.on - MONDAY).days) for cook in revision.shown.cooks}
    shown = {((plate.on - MONDAY).days, plate.slot): day_of[plate.cook] for plate in revision.shown.plates}
    banned = {(choice.meal, choice.recipe) for choice in revision.unwanted}
    dishes = {dish.key: dish for dish in asked.recipes}
    meals = [
        meal for meal in product(range(asked.days), asked.slots) if meal not in who.away or meal[0] < first
    ]
    choices = [
        [shown[meal]]
        if meal[0] < first
        else [
            (key, day)
            for key, day in product(dishes, range(meal[0] + 1))
            if (meal, key) not in banned
            and (day == meal[0] or (dishes[key].batch and meal[0] - day <= dishes[key].fridge_days))
            and (day >= first or (key, day) in day_of.values())
            and (day < first or key != "beef-pot" or "beef" not in revision.gone_foods)
        ]
        for meal in meals
    ]
    found = (
        _changes(asked, revision, dict(zip(meals, chosen, strict=True)), shown)
        for chosen in product(*choices)
    )
    return min((changes for changes in found if changes is not None), default=None)


def _changes(asked: Brief, revision: Revision, table: dict, shown: dict) -> int | None:
    """The changes of one week, or None when it breaks a rule."""
    dishes = {dish.key: dish for dish in asked.recipes}
    first = revision.from_day
    cooked = {(cook.recipe, (cook.on - MONDAY).days): cook.portions for cook in revision.shown.cooks}
    pots = set(table.values())
    for key, day in pots:
        portions = sum(pot == (key, day) for pot in table.values()) * asked.eaters[0].appetite
        if portions > (cooked[key, day] if day < first else Decimal(asked.kitchen.pots_ml[0]) / 400):
            return None
    for day in range(first, asked.days):
        if sum(dishes[key].hands_on_min for key, on in pots if on == day) > asked.kitchen.hands_on_min[day]:
            return None
    if any(sum(pot[0] == key for pot in table.values()) > asked.most_repeats for key in dishes):
        return None
    before = {pot for pot in cooked if pot[1] >= first}
    after = {pot for pot in pots if pot[1] >= first}
    other = sum(table[meal][0] != shown[meal][0] for meal in table)
    return other + max(len(before - after), len(after - before))

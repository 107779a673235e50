"""How much stock there is through a week, against a second reckoning that shares no code with the first."""

from collections import defaultdict
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from hypothesis import given

from plans.domain.brief import Plate, Week
from plans.domain.stock_draws import stock_draws
from plans.domain.stock_level import Part, StockLevel, stock_level
from plans.domain.vocabulary import Slot
from tests.plans.domain.stock_weeks import DAYS, MONDAY, RECIPES, Case, brief_of, cook, day, weeks

MUG_ML, SOUP_ML, STEW_ML = 250, 250, 150
"""A mug of either stock; what a portion of soup (1000 ml in four) and of stew (600 ml in four) takes."""
DRAWN_ML = {"soup": ("chicken-stock", SOUP_ML), "stew": ("beef-stock", STEW_ML)}
KEEPS = {"chicken-stock": 3, "beef-stock": 2}
ONE_DAY = timedelta(days=1)


def made_week(*cooks, plates=()) -> Week:
    return Week(MONDAY, DAYS, cooks, tuple(plates), {}, 0.0, 0.0)


def mug(pot, on: int, source: str = "fresh", portions: str = "1") -> Plate:
    return Plate(day(on), Slot.MUG, "nell", pot.key, Decimal(portions), source)


def at(level: StockLevel, on: date, part: Part) -> tuple[int, int]:
    found = next(one for one in level.levels if (one.on, one.part) == (on, part))
    return int(found.fridge_ml), int(found.freezer_ml)


@given(weeks())
def test_the_level_is_what_was_made_less_what_was_drunk_drawn_and_lost(case: Case):
    for level in stock_level(case.week, case.brief):
        made = sum(
            Fraction(one.portions) * MUG_ML
            for one in case.week.cooks
            if RECIPES[one.recipe].makes == level.food
        )
        pots = {one.key for one in case.week.cooks if RECIPES[one.recipe].makes == level.food}
        asked = sum(Fraction(one.portions) * MUG_ML for one in case.week.plates if one.cook in pots)
        asked += sum(
            Fraction(one.portions) * DRAWN_ML[one.recipe][1]
            for one in case.week.cooks
            if one.recipe in DRAWN_ML and DRAWN_ML[one.recipe][0] == level.food
        )
        used = level.total_ml("mug") + level.total_ml("dish")
        left = sum((one.ml for one in level.left), Fraction(0))
        assert level.total_ml("made") == made
        assert used + level.short_ml == asked
        assert made == used + level.total_ml("lost") + left
        assert level.levels[-1].all_ml == left
        assert level.total_ml("freeze") == level.total_ml("thaw")


@given(weeks())
def test_replaying_the_moves_one_by_one_gives_every_level_and_nothing_below_nothing(case: Case):
    for level in stock_level(case.week, case.brief):
        fridge, freezer = defaultdict(Fraction), defaultdict(Fraction)
        moves = list(level.moves)
        for shown in level.levels:
            while moves and (moves[0].on, moves[0].part) <= (shown.on, shown.part):
                move = moves.pop(0)
                change = {"made": (1, 0), "freeze": (-1, 1), "thaw": (1, -1)}.get(move.kind, (-1, 0))
                fridge[move.pot] += change[0] * move.ml
                freezer[move.pot] += change[1] * move.ml
            assert min([0, *fridge.values(), *freezer.values()]) == 0
            assert (shown.fridge_ml, shown.freezer_ml) == (sum(fridge.values()), sum(freezer.values()))
        assert not moves


@given(weeks())
def test_nothing_stands_in_the_refrigerator_past_its_last_day_save_what_was_thawed_for_the_day(case: Case):
    """Soups keep three to four days (foodsafety.gov, Cold Food Storage Chart); these stocks say three and two."""
    for level in stock_level(case.week, case.brief):
        for pot in level.pots:
            assert pot.use_by == pot.on + KEEPS[level.food] * ONE_DAY
            there = thawed = Fraction(0)
            for move in (one for one in level.moves if one.pot == pot.key):
                there += move.ml if move.kind in ("made", "thaw") else -move.ml
                if move.kind == "thaw":
                    thawed = move.ml
                if move.on > pot.use_by and move.kind in ("mug", "dish"):
                    assert move.ml <= thawed
                if move.kind == "lost":
                    assert (move.on, move.part) == (pot.use_by + ONE_DAY, Part.MORNING)
                    # Only what was thawed the night before, for today, is left standing.
                    assert there in (0, thawed)
                    assert move.ml > 0


@given(weeks())
def test_no_pot_gives_a_dish_what_its_mugs_need_and_none_gives_before_it_is_cooked(case: Case):
    given_away = defaultdict(Fraction)
    cooked = {one.key: one for one in case.week.cooks}
    for draw in stock_draws(case.week, case.brief):
        assert draw.ml > 0
        if draw.pot:
            given_away[draw.pot] += draw.ml
            assert cooked[draw.pot].on <= draw.on
    for key, ml in given_away.items():
        mugs = sum(Fraction(one.portions) * MUG_ML for one in case.week.plates if one.cook == key)
        assert mugs + ml <= Fraction(cooked[key].portions) * MUG_ML


def test_a_week_by_hand():
    """Ten mugs made on the eve: one drunk on Monday, a litre into soup on Tuesday, one mug thawed on Friday."""
    pot, soup = cook("chicken-pot", -1, "10"), cook("soup", 1, "4")
    week = made_week(pot, soup, plates=[mug(pot, 0, "kept"), mug(pot, 4, "thawed")])
    (level,) = stock_level(week, brief_of("Nell"))
    assert level.food == "chicken-stock"
    assert at(level, day(-1), Part.MORNING) == (2500, 0)
    assert at(level, day(-1), Part.NIGHT) == (2250, 250)
    assert at(level, day(0), Part.BREAKFAST) == (2250, 250)
    assert at(level, day(0), Part.MUG) == (2000, 250)
    assert at(level, day(1), Part.MIDDAY) == (2000, 250)
    assert at(level, day(1), Part.EVENING) == (1000, 250)
    assert at(level, day(2), Part.NIGHT) == (1000, 250)
    assert at(level, day(3), Part.MORNING) == (0, 250)
    assert at(level, day(3), Part.NIGHT) == (250, 0)
    assert at(level, day(4), Part.MUG) == (0, 0)
    assert level.total_ml("lost") == 1000
    assert (level.left, level.short_ml) == ((), 0)


def test_a_dish_takes_from_the_refrigerator_before_the_freezer_and_tells_what_is_missing():
    old, new = cook("chicken-pot", 0, "4"), cook("chicken-pot", 4, "2")
    soup = cook("soup", 5, "8")
    draws = stock_draws(made_week(old, new, soup), brief_of("Nell"))
    assert [(one.pot, int(one.ml), one.source) for one in draws] == [
        (new.key, 500, "kept"),
        (old.key, 1000, "thawed"),
        ("", 500, ""),
    ]
    without = stock_draws(made_week(old, new, soup), brief_of("Nell", freezer=False))
    assert [(one.pot, int(one.ml)) for one in without] == [(new.key, 500), ("", 1500)]


def test_what_is_left_at_the_end_says_to_which_day_it_is_good():
    pot = cook("beef-pot", 6, "2")
    (level,) = stock_level(made_week(pot), brief_of("Nell"))
    assert [(one.ml, one.use_by) for one in level.left] == [(500, day(8))]
    assert len(level.levels) == DAYS * len(Part)


def test_a_week_without_stock_has_no_level():
    assert stock_level(made_week(cook("bake", 0)), brief_of("Nell")) == ()

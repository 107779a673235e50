"""Solving a week again, changing as little as possible.

The model of plates, with the past held as it was, and one part more in the objective: ``changes``. A plate with another
dish costs ``A_CHANGE``, and so does a pot: one that is dropped, one that is added, and one in place of another, which
is also what a pot moved to another day is. That is more than a whole week costs, so no saving is worth a change, and a
request that asks for nothing gives the shown week back. Two things are no change to those who eat and cost
``A_SHIFT``: the same dish out of another pot, and more or less of a stock.

The fewest changes are looked for first, then the best week with so many. In one go, prices so far apart leave the
solver with poor weeks: 14 changes where 12 would do.

Every group has a seat of its own, for what was shown may have to change for some and not for others. The dishes are
those of the shown week, those asked for, and a shortlist of the best. A stock pot that is there already gives what is
left of it, and nothing to dishes if it does not suit everyone any more; so which pot a dish draws on is part of this
model.
"""

from collections.abc import Iterator

from ortools.sat.python.cp_model import IntVar, LinearExpr

from plans.domain.brief import Brief, NoWeek, Reason, Week
from plans.domain.planner.buying import bought, no_week, price_of_relaxing
from plans.domain.planner.goals import Cost, parts
from plans.domain.planner.model import WeekModel, build, drawn_ml
from plans.domain.planner.requests import (
    A_REQUEST_GIVEN_UP,
    GivenUp,
    Request,
    at_once,
    in_the_way,
    keep,
    requests,
)
from plans.domain.planner.retelling import retell
from plans.domain.planner.serving import serve
from plans.domain.planner.setting import MAIN_SLOTS, PER_HALF, Pot, Setting
from plans.domain.planner.shortlist import NARROW, Breadth, shortlist
from plans.domain.planner.shown import Shown, can_hold, show
from plans.domain.planner.solving import Effort, hint, solve, solve_in_rounds

A_CHANGE = 100_000
"""More than any week costs by itself: weeks of four eaters with little in common cost some 5000, and an order of wants
multiplies a part by eight at most."""
A_SHIFT = 1_000
"""More than is saved by eating the same dish out of another pot."""
WIDER = Breadth(mains=18, breakfasts=8, stocks=3, each_day=9)
"""What a relaxed model looks at, where the narrow shortlist came to nothing."""


def revise(brief: Brief, effort: Effort) -> Week | NoWeek:
    """The week nearest to the one shown that does what a brief's revision asks, or why there is none.

    Raises KeyError when the past of the shown week has a recipe the brief does not know.
    """
    shown = show(brief)
    asked = requests(shown)
    clashes = at_once(shown, asked)
    if clashes:
        return no_week(clashes)
    week, _ = _model(shown, asked, NARROW)
    return _best(week, shown, brief, effort) or _relaxed(shown, asked, brief, effort)


def _best(week: WeekModel, shown: Shown, brief: Brief, effort: Effort) -> Week | None:
    """The best of the weeks with the fewest changes; None when none was found."""
    costs = parts(week) | {"changes": changes(week, shown)}
    if not week.relaxed:
        _begin_with(week, shown)
    week.cp.minimize(costs["changes"])
    fewest = solve(week.cp, effort.first).answer
    if fewest is None:
        return None
    week.cp.add(costs["changes"] <= fewest.cost)
    hint(week.cp, fewest)
    week.cp.minimize(LinearExpr.sum(list(costs.values())))
    answer = solve_in_rounds(week, effort).answer
    return None if answer is None else retell(serve(week, answer, costs), shown, brief)


def _relaxed(shown: Shown, asked: tuple[Request, ...], brief: Brief, effort: Effort) -> Week | NoWeek:
    """What a model buys that may break rules, give up requests and have gone foods got again; if it need not buy
    anything, there is a week."""
    week, given_up = _model(shown, asked, WIDER, relaxed=True)
    price = price_of_relaxing(week) + A_REQUEST_GIVEN_UP * LinearExpr.sum(list(given_up.values()))
    week.cp.minimize(price)
    outcome = solve_in_rounds(week, effort)
    if outcome.answer is None:
        return no_week((), Reason("none-found", {}))
    dropped = [request for request, up in given_up.items() if outcome.answer.of(up)]
    clashes = [*in_the_way(shown, dropped), *bought(week, outcome.answer)]
    if not clashes:
        week.cp.add(price == 0)
        hint(week.cp, outcome.answer)
        return _best(week, shown, brief, effort) or no_week((), Reason("none-found", {}))
    return no_week(clashes, *(() if outcome.proven else (Reason("not-proven", {}),)))


def _model(
    shown: Shown, asked: tuple[Request, ...], breadth: Breadth, *, relaxed: bool = False
) -> tuple[WeekModel, GivenUp]:
    """Every rule of a week, the past, what has gone and what is asked for, which a relaxed model may give up."""
    setting = _candidates(shown, asked, breadth)
    apart = tuple((number,) for number in range(len(setting.groups)))
    week = build(
        setting,
        dict.fromkeys(setting.slots, apart),
        relaxed=relaxed,
        settled=shown.settled,
        stock=lambda week: _stock(week, shown),
    )
    _hold_the_past(week, shown)
    _eat_nothing_from_what_has_gone(week, shown)
    _eat_what_is_left(week, shown)
    _repeats(week, shown)
    _cook_for_somebody(week, shown)
    return week, keep(week, shown, asked)


def _candidates(shown: Shown, asked: tuple[Request, ...], breadth: Breadth) -> Setting:
    """The question with the dishes that are shown or asked for, and the best of the others."""
    setting = shown.setting
    keys = {key for key, _ in shown.pots} | {request.recipe for request in asked if request.recipe}
    keys |= shortlist(setting, breadth).dishes.keys()
    drawn = {food for key in keys if key in setting.dishes for food in setting.dishes[key].draws_ml}
    made = {setting.dishes[key].recipe.makes for key in keys if key in setting.dishes}
    keys |= {setting.makers[food][0] for food in drawn - made}
    return setting.only(keys)


def _hold_the_past(week: WeekModel, shown: Shown) -> None:
    """Past pots and eaten meals stay as they were."""
    for pot, cooked in week.cooked.items():
        if shown.past(pot):
            cook = shown.pots.get(pot)
            held = cook is not None and can_hold(week.setting, pot, cook)
            week.cp.add(cooked == held)
            if cook is not None and held:
                week.cp.add(week.halves[pot] == int(2 * cook.portions))
                week.begun.add(pot)
    seats = range(len(week.setting.groups))
    tables = {
        (shown.eaten[number, meal], meal)
        for number, meal in shown.eaten
        if number in seats and (number, meal) not in shown.settled
    }
    for (pot, meal), served in week.served.items():
        if shown.is_eaten(meal):
            week.cp.add(served == ((pot, meal) in tables))
    for (number, key, meal), eats in week.eats.items():
        if shown.is_eaten(meal):
            week.cp.add(eats == (shown.eaten[number, meal][0] == key))


def _eat_nothing_from_what_has_gone(week: WeekModel, shown: Shown) -> None:
    """A pot that has gone is on no table from its day on."""
    for (pot, meal), served in week.served.items():
        ends = shown.ends(pot)
        if ends is not None and ends <= meal[0] and not shown.is_eaten(meal):
            week.cp.add(served == 0)


def _eat_what_is_left(week: WeekModel, shown: Shown) -> None:
    """A past pot gives no more than is left of it, and only to those whom it suits as it was cooked."""
    for pot, left in shown.left.items():
        given = [amount for meal, amount in week.amount.get(pot, {}).items() if not shown.is_eaten(meal)]
        if given:
            week.cp.add(LinearExpr.sum(given) <= left)
    for (number, key, meal), eats in week.eats.items():
        if shown.is_eaten(meal):
            continue
        for pot in week.pots_of(key):
            if (
                shown.past(pot)
                and pot in shown.pots
                and (pot, meal) in week.served
                and not shown.holds_for(pot, week.setting.groups[number], meal[0])
            ):
                week.cp.add_bool_or(eats.negated(), week.served[pot, meal].negated())


def _repeats(week: WeekModel, shown: Shown) -> None:
    """What was eaten counts, whether or not the model holds it."""
    most = week.setting.brief.most_repeats
    ahead: dict[tuple[int, str], list[IntVar]] = {}
    for (number, key, meal), eats in week.eats.items():
        if meal[1] in MAIN_SLOTS and not shown.is_eaten(meal):
            ahead.setdefault((number, week.setting.dishes[key].recipe.main), []).append(eats)
    for (number, main), eaten in ahead.items():
        before = shown.mains.get((number, main), 0)
        if before:
            extra = week.extra_repeats.get((number, main), 0)
            week.cp.add(LinearExpr.sum(eaten) <= max(0, most - before) + extra)


def _cook_for_somebody(week: WeekModel, shown: Shown) -> None:
    """A pot is kept only while somebody eats from it."""
    served: dict[Pot, list[IntVar]] = {}
    for (pot, _), variable in week.served.items():
        served.setdefault(pot, []).append(variable)
    for pot, cooked in week.cooked.items():
        if not shown.past(pot) and not week.setting.dishes[pot[0]].recipe.makes:
            week.cp.add_bool_or(cooked.negated(), *served.get(pot, ()))


def _stock(week: WeekModel, shown: Shown) -> None:
    """Which pot of stock the dishes of each half-day draw on. No pot of stock is cooked that nobody needs."""
    half_days = range(2 * max(0, shown.first), 2 * week.setting.brief.days)
    for food, makers in week.setting.makers.items():
        drawn: dict[int, list[IntVar]] = {}
        for pot in [pot for key in makers for pot in week.pots_of(key)]:
            draws = {
                at: week.cp.new_int_var(0, _most_ml(week, pot), f"drawn {pot} {at}")
                for at in half_days
                if shown.gives(pot, at)
            }
            _stock_of_a_pot(week, shown, pot, list(draws.values()))
            for at, draw in draws.items():
                drawn.setdefault(at, []).append(draw)
        for at in half_days:
            wanted = drawn_ml(week, food, range(at, at + 1), besides=shown.cooked)
            if wanted:
                week.cp.add(LinearExpr.sum(wanted) <= LinearExpr.sum(drawn.get(at, [])))


def _most_ml(week: WeekModel, pot: Pot) -> int:
    return week.setting.most_halves(pot[0]) * week.setting.dishes[pot[0]].portion_ml // 2


def _stock_of_a_pot(week: WeekModel, shown: Shown, pot: Pot, draws: list[IntVar]) -> None:
    portion_ml = week.setting.dishes[pot[0]].portion_ml
    amounts = week.amount.get(pot, {})
    mugs = portion_ml * LinearExpr.sum(list(amounts.values()))
    holds = PER_HALF * portion_ml * week.halves[pot]
    free_ml = week.cp.new_int_var(0, _most_ml(week, pot), f"free {pot}")
    week.free_ml[pot] = free_ml
    week.cp.add(100 * free_ml + mugs <= holds)
    given = LinearExpr.sum(draws)
    week.cp.add(given <= free_ml)
    if shown.past(pot):
        ahead = [amount for meal, amount in amounts.items() if not shown.is_eaten(meal)]
        week.cp.add(100 * given + portion_ml * LinearExpr.sum(ahead) <= 100 * shown.left_ml.get(pot, 0))
        return
    week.cp.add(100 * given + mugs >= week.cooked[pot])


def changes(week: WeekModel, shown: Shown) -> Cost:
    """What differs from the shown week, at its price."""
    return A_CHANGE * (_other_dishes(week, shown) + _other_pots(week, shown)) + A_SHIFT * LinearExpr.sum(
        [*_shifted_meals(week, shown), *_resized_stock(week, shown)]
    )


def _other_dishes(week: WeekModel, shown: Shown) -> Cost:
    """The plates with another dish than is shown."""
    other: list[Cost] = []
    for (number, meal), pot in shown.ahead():
        people = len(week.setting.groups[number].eaters)
        eats = week.eats.get((number, pot[0], meal))
        other.append(people if eats is None else people - people * eats)
    return LinearExpr.sum(other)


def _other_pots(week: WeekModel, shown: Shown) -> IntVar:
    """The pots that are added or dropped, of which one in place of another is one change."""
    ahead = {pot for pot in shown.pots if not shown.past(pot)}
    added = [cooked for pot, cooked in week.cooked.items() if not shown.past(pot) and pot not in ahead]
    kept = [week.cooked[pot] for pot in sorted(ahead) if pot in week.cooked]
    other = week.cp.new_int_var(0, len(week.cooked) + len(ahead), "other pots")
    week.cp.add(other >= LinearExpr.sum(added))
    week.cp.add(other >= len(ahead) - LinearExpr.sum(kept))
    return other


def _shifted_meals(week: WeekModel, shown: Shown) -> Iterator[IntVar]:
    """A shown dish that comes to the table out of another pot."""
    tables = {(pot[0], meal): pot for (_, meal), pot in shown.ahead()}
    for (pot, meal), served in week.served.items():
        usual = tables.get((pot[0], meal), pot)
        if usual != pot and (usual, meal) in week.served:
            yield served


def _resized_stock(week: WeekModel, shown: Shown) -> Iterator[IntVar]:
    """A pot of stock that stays, with more or less in it."""
    for pot, cook in shown.pots.items():
        if shown.past(pot) or pot not in week.cooked or not week.setting.dishes[pot[0]].recipe.makes:
            continue
        resized, most = week.cp.new_bool_var(f"resized {pot}"), week.setting.most_halves(pot[0])
        halves = int(2 * cook.portions)
        week.cp.add(week.halves[pot] - halves <= most * resized)
        week.cp.add(halves * week.cooked[pot] - week.halves[pot] <= halves * resized)
        yield resized


def _begin_with(week: WeekModel, shown: Shown) -> None:
    """Start from the shown week, as far as it goes."""
    tables = {(pot, meal) for (_, meal), pot in shown.eaten.items()}
    for pot, cooked in week.cooked.items():
        week.cp.add_hint(cooked, pot in shown.pots)
        if pot in shown.pots:
            week.cp.add_hint(week.halves[pot], int(2 * shown.pots[pot].portions))
    for table, served in week.served.items():
        week.cp.add_hint(served, table in tables)
    for (number, key, meal), eats in week.eats.items():
        pot = shown.eaten.get((number, meal))
        week.cp.add_hint(eats, pot is not None and pot[0] == key)

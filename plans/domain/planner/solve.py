"""Planning a week: a brief in, a week out, or the reasons why there is none.

The same brief gives the same week on every machine and in whatever order its eaters, foods and recipes are listed.

Two ways to ask. Where everyone can eat from a common table all week, a week is put together from columns, each a pot
with all the meals it feeds, out of the whole book (``columns``, ``program``, ``relaxation``, ``branches``, ``lanes``,
``likely``, ``rounds``, ``search``).
Where they cannot, from plates and pots out of a shortlist (``model``, ``goals``, ``shortlist``, ``solving``). Either
way the model of plates has the last word on what a week costs.

Presence differs by meal. In columns a meal then takes the share of those who are at it, and a pot's size goes by what
it feeds; in plates a party's members come and go.

What was tried for the wants of a brief, on frozen briefs in columns:

- Half of the middays and some other meals away, six briefs: the bound came within 0 % to 6 %, for the same briefs with
  everyone there within 2 % to 6 %, in up to twice the time. So presence needs no falling back on plates.
- Eight lots in the house, three briefs: gaps of 4 % to 6 % in place of 2 % to 5 %.
- Targets of seventeen nutrients, four briefs: gaps of 1 % to 6 % as before, in up to twice the time.
- What is left of fresh packs (``opened``): a charge once for every food that is opened, with a row for each food at
  each meal, took gaps of two briefs from 2 % to 9 % and from 6 % to 8 %, relaxations twice the time, and weeks were a
  hundredth dearer in all else. The same charge left out of relaxations: nearly no loss in the weeks, 2 % to 3 % of gap.
  Charging what is left of a pack, in its twentieths, says what is meant and costs 1 % to 3 % of gap; less where most
  can be frozen. In hundredths of a pack rather than tenths of a gram the solver finds better weeks.

What was tried in columns, on 22 of thirty frozen briefs, 30 to 300 recipes:

- The model of plates on a shortlist of about 14 mains proved 13 % of the cost in the median, at worst 22 %. Columns out
  of the whole book come within 1 % to 9 %, in the median 5 %, and the bound holds for the whole book. Two weeks held
  against those of before: 2141 for 2359, 2046 for 2352.
- A relaxation of all columns of a shortlist stood 3 % to 6 % under the best week. Charging a main twice a day within
  the column, and letting a meal draw on no more stock than is cooked, left 0.4 % to 4 %.
- Listing every column of a shortlist: 12 to 17 thousand. Bringing them in as they are wanted needs 600 to 900, and for
  300 recipes 2 000 to 6 500, in about a second.
- Splitting on the pots of stock lifts the bound by up to 2 %; those pots are most of what the relaxation gets wrong.
- The solver alone among the 1500 nearest columns: gaps of 7 % to 9 % after two deterministic seconds, and some
  questions without any week, since the nearest columns need not fit together. HiGHS found none in six seconds.
- Diving first (holding what the relaxation is surest of, until the solver can choose the rest), then rounds among the
  1200 nearest columns. Rounds that may change the stock hardly ever helped then, and dives into other stock did.

Tried later for speed, on single cores with other work beside it, so that seconds are rough:

- Pricing all offers at once in arrays (``pricing``) in place of one by one: six splits take 0.9 s for 161 recipes and
  2.2 s for 300 one by one, 0.7 s and 1.5 s together. The linear solver takes most of what is left.
- Rows brought in only when a solution breaks them: a third of the rows and up to twice the steps; a tenth faster for
  300 recipes, slower for 30. Other rules of the simplex, the dual simplex, no scaling: none faster throughout.
- A new relaxation of known columns for each round: 0.1 s to 0.2 s, where the one that grows takes 0.02 s to 0.25 s.
- Dropping columns far from paying after the first relaxation halves the time of those that follow.

Then, when leftover stock had got its price and dives left up to 6 % on the table, for all thirty briefs:

- The nearest columns were the fault. On some briefs the solver proves in a tenth of a second that 1200 of them hold no
  week: mains are alike by the hundred, breakfasts stand behind them. Some 700 columns, breakfasts and mains apart, half
  of them brought in by relaxations and half the best of their pot, hold a week 0 % to 6 % over the best known. The
  solver finds it from nothing in one second; 2400 nearest ones mostly give none (``likely``).
- Without probing the solver's presolve the same question is answered better: 2611 for 2833 in one second. In plates it
  makes no difference on eight briefs. Other parameters (symmetry, its own core and tree searches, quick restarts, cuts)
  were better here and worse there.
- With that, dives bring nothing that a first question of two parts does not. Rounds with open stock now bring most.
- Two lanes in threads: 5.9 s of work in the median take 4.0 s. With a round each and a meeting after every pair, one
  lane waited for the other most of the time; now they meet after half a second of their own clocks.
- All thirty take 3.3 s to 4.8 s on two cores, in the mean 0.4 % and at most 2.0 % over the best weeks known. After 16 s
  gaps are 3.9 % in the median. In the time of the short look HiGHS, given the same program and columns, finds a week on
  one of the thirty, and no better one. A greedy cook's weeks cost 28 % more in the median of the 26 it can do.

What was tried in plates, on households of one to four and the shipped book of 161 recipes, about six seconds each:

- The whole book in one model, portions and stock as flows between pots and meals: no proof to speak of (the bound stood
  at an eighth of the cost) and dearer weeks.
- A shortlist of about 14 mains, 6 breakfasts and 3 stocks: the same weeks or better, since a week holds no more than
  ten pots. The shortlist turns over by week. The proven bound is a bound *for the shortlist and the seating*.
- A variable for each pot at each meal in place of flows by day, and a price on a pot's second and third meal in place
  of a price on each eater's repeats: for one eater the gap fell from 44 % to about 10 %.
- One seat for groups that can eat from a common table all week: without it four eaters cost ten times the search of one
  and most answers were poor. Groups with little in common keep seats of their own and may still be served alike.
- The solver's interleaved portfolio on one worker: worse here than plain search with full linear relaxation.
- Rounds that hold most of the week still: for three and four eaters they reach in six seconds what the whole model
  does not reach in fourteen.
- Eight frozen briefs with a common table asked in plates all the same: weeks 2 % to 20 % dearer than the best known,
  in the median 6 %, with proven gaps of 9 % to 26 %. That is what to expect for several parties.

If nothing is found, the model of plates is asked out of the whole book, without a price on anything, which facts of the
brief collide (``core``), and what would help (``changes``, ``why``). If none do, it is asked for the best week. The
solver's own names for what collides, and its proof, take about a second for the shipped book; a relaxed model of a
shortlist, asked before for what it would buy, named what was cheap and not what collided. One household of three waited
over six minutes for 21 facts: most of that went to proving that no set has fewer, and to more offers. All questions of
an answer now share what may be spent on them, and the same facts and the cheapest offer come after 35 s of work.
"""

from dataclasses import replace

from plans.domain.brief import Brief, NoWeek, Reason, Week
from plans.domain.planner.core import Question
from plans.domain.planner.goals import parts
from plans.domain.planner.hopeless import hopeless
from plans.domain.planner.model import WeekModel, build
from plans.domain.planner.program import program
from plans.domain.planner.revising import revise
from plans.domain.planner.search import Best, search
from plans.domain.planner.serving import serve
from plans.domain.planner.setting import MAIN_SLOTS, Setting, lay
from plans.domain.planner.shortlist import NARROW, Parties, seat, shortlist
from plans.domain.planner.solving import Effort, solve, solve_in_rounds
from plans.domain.planner.tight import tight
from plans.domain.planner.why import why_no_week
from plans.domain.vocabulary import Slot

MAINS_IN_COMMON = 5
"""Fourteen meals and at most three of a main ask for five mains."""
BREAKFASTS_IN_COMMON = 2
STOCKS_IN_COMMON = 1
TO_FILL_IN = 5.0
"""What it takes at most to fill in a week whose pots and meals are known; most take a hundredth."""


def plan_week(brief: Brief, *, effort: Effort | None = None) -> Week | NoWeek:
    """The best week found for a brief within an effort, or why there is none.

    A brief without a meal that somebody is at has an empty week. One with a revision gets the shown week changed as
    little as possible (``revising``).
    """
    effort = effort or Effort()
    if brief.revision is not None:
        return revise(brief, effort)
    setting = lay(brief)
    if not setting.groups:
        return Week(brief.start, brief.days, (), (), {}, 0.0, 0.0)
    week = None if hopeless(setting) else _planned(setting, effort)
    if week is not None:
        return week
    question = Question(brief)
    apart = build(setting, question.apart())
    return why_no_week(question) or _best(apart, effort) or NoWeek((Reason("none-found", {}),), ())


def _planned(setting: Setting, effort: Effort) -> Week | None:
    """The best week that breaks no rule: of the whole book for a common table, else of a shortlist, as when the search
    of the whole book comes to nothing; None when none was found."""
    seats, week = _seats(setting), None
    common = all(len(parties) == 1 for parties in seats.values())
    best = search(program(setting), effort) if common else None
    if best is not None:
        week = _served(setting, seats, best)
    else:
        short = shortlist(setting, NARROW)
        week = _best(build(short, _seats(short)), effort)
    return None if week is None else replace(week, tight=tight(week, setting, best.duals if best else {}))


def _served(setting: Setting, seats: dict[Slot, Parties], best: Best) -> Week | None:
    """A week in columns, as plates: the model of plates with its pots and meals held, and the bound of the columns."""
    columns = best.week.columns
    pots = {*best.week.stock, *(column.pot for column in columns)}
    fed = {(column.pot, meal) for column in columns for meal in column.meals}
    week = build(setting.only(key for key, _ in pots), seats)
    for pot, cooked in week.cooked.items():
        week.cp.add(cooked == (pot in pots))
    for (pot, meal), served in week.served.items():
        if not setting.dishes[pot[0]].recipe.makes:
            week.cp.add(served == ((pot, meal) in fed))
    costs = parts(week)
    week.cp.minimize(sum(costs.values()))
    answer = solve(week.cp, TO_FILL_IN).answer
    return None if answer is None else serve(week, replace(answer, bound=best.bound), costs)


def _best(week: WeekModel, effort: Effort) -> Week | None:
    costs = parts(week)
    week.cp.minimize(sum(costs.values()))
    answer = solve_in_rounds(week, effort).answer
    return None if answer is None else serve(week, answer, costs)


def _seats(setting: Setting) -> dict[Slot, Parties]:
    """Who sits with whom, by meal. Midday and evening are seated alike, since repeats count over both."""
    mains = seat(setting, [slot for slot in MAIN_SLOTS if slot in setting.slots], MAINS_IN_COMMON)
    return {
        slot: mains
        if slot in MAIN_SLOTS
        else seat(setting, (slot,), STOCKS_IN_COMMON if slot is Slot.MUG else BREAKFASTS_IN_COMMON)
        for slot in setting.slots
    }

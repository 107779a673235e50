"""The board says what is frozen and thawed as the packet and the day do, stock that dishes draw included."""

from datetime import timedelta
from decimal import Decimal

from hypothesis import given

from clients.views.week_board import Marks, week_board
from coaching.domain.units import System
from plans.domain.brief import Plate, Week
from plans.domain.day import day_of
from plans.domain.eaten import Past
from plans.domain.vocabulary import Slot
from tests.plans.domain.stock_weeks import DAYS, MONDAY, Case, brief_of, cook, day, weeks

MARKS = Marks(today=MONDAY - timedelta(days=2), past=Past(-1))


def test_stock_that_a_dish_needs_later_is_frozen_and_thawed():
    pot, stew = cook("beef-pot", -1, "10"), cook("stew", 5, "2")
    mug = Plate(day(5), Slot.MUG, "nell", pot.key, Decimal(1), "thawed")
    week = Week(MONDAY, DAYS, (pot, stew), (mug,), {}, 0.0, 0.0)
    board = week_board(week, brief_of("Nell"), System.METRIC, MARKS)
    assert board.before is not None
    (stock,) = board.before.pots
    # Two portions of stew take half of 600 ml, and the mug of the same day another 250 ml.
    assert stock.uses.replace("\u00a0", " ") == "For Sat. Freeze 550 ml (2 ⅓ cups)."
    told = {one.name: [line.replace("\u00a0", " ") for line in one.thaw] for one in board.days if one.thaw}
    assert told == {"Friday": ["Thaw 550 ml (2 ⅓ cups) of A for tomorrow."]}


@given(weeks())
def test_the_board_has_every_pot_and_all_that_is_frozen_and_thawed_on_its_day(case: Case):
    board = week_board(case.week, case.brief, System.METRIC, MARKS)
    for told, on in [(board.before, -1), *((told, on) for on, told in enumerate(board.days))]:
        found = day_of(case.week, case.brief, day(on))
        if told is None:
            assert not (found.cooks or found.take_out)
            continue
        assert [pot.key for pot in told.pots] == sorted(one.cook.key for one in found.cooks)
        assert sum("Freeze" in pot.uses for pot in told.pots) == len(found.freeze)
        assert len(told.thaw) == len(found.take_out)
        assert told.used == found.hands_on_min

"""Where a left-over could go, in words."""

from decimal import Decimal

from coaching.domain.units import System
from plans.domain.book import Food
from plans.domain.brief import Reason
from plans.domain.shopping import Line
from plans.printables.shop_words import left_words
from tests.plans.printables.plain import plain

PEAS = Food("peas", "Peas", "pods", "vegetables")
LINE = Line(
    food="peas",
    need_g=Decimal(700),
    gross_g=Decimal(700),
    house_g=Decimal(0),
    from_house_g=Decimal(0),
    buy_g=Decimal(1000),
    packs=((Decimal(1000), 1),),
    takings=(),
)


def words(*places: Reason) -> str:
    return plain(left_words(LINE, places, PEAS, System.METRIC))


def test_dishes_by_day_then_the_freezer():
    dishes = [Reason("left-dish", {"dish": dish, "on": "2026-06-04"}) for dish in ("Soup", "Stew")]
    assert words(*dishes, Reason("left-freeze", {"days": 3, "frozen": 300})) == (
        "300 g (10 ½ oz) left over. More of it could go into Soup on Thursday or Stew on Thursday. "
        "Use it within 3 days of opening it, or freeze it: then it keeps 300 days."
    )


def test_the_days_it_keeps_or_that_it_keeps():
    assert words(Reason("left-use-within", {"days": 1})).endswith("Use it within 1 day of opening it.")
    assert words(Reason("left-keeps", {})).endswith("It keeps: put it down as in the house.")
    assert words() == ""

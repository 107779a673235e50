"""The drawing of the stock: nothing runs off it, it says what the ledger says, and a table says the same."""

import re
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import pytest
from django.urls import reverse
from hypothesis import given

from clients.views.stock_chart import BOTTOM, LEFT, RIGHT, TOP, Chart, stock_chart
from coaching.domain.units import System
from plans.domain.brief import Plate, Week
from plans.domain.brief_json import week_from_record, week_record
from plans.domain.stock_level import stock_level
from plans.domain.vocabulary import Slot
from tests.clients.weeks.small_week import keep_week
from tests.factories import TODAY
from tests.plans.domain.stock_weeks import DAYS, MONDAY, Case, brief_of, cook, day, weeks


def chart_of(*cooks, plates=(), system: System = System.METRIC, freezer: bool = True) -> Chart:
    week = Week(MONDAY, DAYS, cooks, tuple(plates), {}, 0.0, 0.0)
    (chart,) = stock_chart(week, brief_of("Nell", freezer=freezer), system)
    return chart


def mug(pot, on: int, source: str) -> Plate:
    return Plate(day(on), Slot.MUG, "nell", pot.key, Decimal(1), source)


def corners(path: str) -> list[tuple[int, int]]:
    return [(int(x), int(y)) for x, y in re.findall(r"(-?\d+) (-?\d+)", path)]


def plain(words: str) -> str:
    return words.replace("\u00a0", " ")


@given(weeks())
def test_everything_is_inside_the_drawing_and_the_line_only_goes_right_up_or_down(case: Case):
    for system in System:
        for chart in stock_chart(case.week, case.brief, system):
            for path in (chart.line, chart.fridge, chart.frozen):
                for x, y in corners(path):
                    assert LEFT <= x <= RIGHT
                    assert TOP <= y <= BOTTOM
            line = corners(chart.line)
            assert (line[0], line[-1][0]) == ((LEFT, BOTTOM), RIGHT)
            for (x1, y1), (x2, y2) in pairwise(line):
                assert x2 >= x1
                assert x1 == x2 or y1 == y2
            for mark in (*chart.made, *chart.lost, *chart.days, *chart.ticks):
                assert LEFT <= mark.x <= RIGHT
                assert TOP <= mark.y <= BOTTOM


@given(weeks())
def test_all_stocks_of_a_week_share_scale_and_days(case: Case):
    charts = stock_chart(case.week, case.brief, System.METRIC)
    assert len({chart.ticks for chart in charts}) <= 1
    assert len({chart.days for chart in charts}) <= 1
    assert len(charts) == len(stock_level(case.week, case.brief))


def test_a_pot_in_words_and_lines():
    """Ten mugs of a quarter litre: two are drunk in time, one is frozen, seven are too old after the third day."""
    pot = cook("chicken-pot", 0, "10")
    chart = chart_of(pot, plates=[mug(pot, 0, "fresh"), mug(pot, 1, "kept"), mug(pot, 5, "thawed")])
    assert chart.title == "Chicken stock"
    assert plain(chart.says) == "Of 2.5 l, 750 ml are drunk by the mug and 1.75 l are kept too long."
    assert [plain(fact) for fact in chart.facts] == [
        "Cooked Monday, good in the refrigerator to the end of Thursday.",
        "Freeze 250 ml on Monday in the evening.",
        "1.75 l of the pot of Monday are too old on Friday: cook less, or freeze them the day they are cooked.",
    ]
    assert [tuple(plain(cell["text"]) for cell in row) for row in chart.rows] == [
        ("Mon 15 Jun, morning", "2.5 l cooked", "2.5 l", "0"),
        ("Mon 15 Jun, mug", "250 ml drunk by the mug", "2.25 l", "0"),
        ("Mon 15 Jun, night", "250 ml into the freezer", "2 l", "250 ml"),
        ("Tue 16 Jun, mug", "250 ml drunk by the mug", "1.75 l", "250 ml"),
        ("Fri 19 Jun, morning", "1.75 l kept too long", "0", "250 ml"),
        ("Fri 19 Jun, night", "250 ml out of the freezer, to thaw", "250 ml", "0"),
        ("Sat 20 Jun, mug", "250 ml drunk by the mug", "0", "0"),
    ]
    assert [plain(mark.words) for mark in (*chart.made, *chart.lost)] == ["+2.5 l", "1.75 l too old"]
    assert [mark.words for mark in chart.days] == ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
    assert [mark.words for mark in chart.ticks] == ["0", "0.5", "1", "1.5", "2", "2.5"]
    assert chart.ticks[-1].y == chart.made[0].y == TOP


def test_a_kitchen_that_reads_quarts_gets_quarts():
    """Eight mugs of 250 ml are 2.11 US quarts (NIST Handbook 44: a gallon is 231 cubic inches)."""
    chart = chart_of(cook("chicken-pot", 5, "8"), system=System.US)
    assert chart.unit == "quarts"
    assert [plain(mark.words) for mark in chart.ticks] == ["0", "½", "1", "1 ½", "2", "2 ½"]
    assert plain(chart.says) == "Of 2 quarts, 2 quarts are left at the end."
    assert chart.facts[-1].endswith("are left: use them by Tuesday.")


def test_without_a_freezer_nobody_is_told_to_freeze():
    chart = chart_of(cook("beef-pot", 0, "4"), freezer=False)
    assert chart.frozen == ""
    assert plain(chart.facts[-1]) == (
        "1 l of the pot of Monday are too old on Thursday: cook less, or drink them before."
    )


def test_what_no_pot_gives_is_said():
    chart = chart_of(cook("beef-pot", 0, "1"), cook("stew", 0, "4"))
    assert plain(chart.facts[-1]) == "350 ml are asked for that no pot of this week gives."


@pytest.mark.django_db
def test_the_weeks_page_draws_it_with_a_table_of_the_same(kitchen, sign_in):
    row = keep_week(kitchen, TODAY)
    page = sign_in("coach").get(reverse("week", args=[row.pk])).content.decode()
    assert page.count('role="img"') == 1
    assert "Stock through the week" in page
    assert "The same as a table" in page
    assert page.count("Tue 9 Jun, morning") == 1
    planned = week_from_record(row.plan)
    row.plan = week_record(replace(planned, cooks=planned.cooks[1:]))
    row.save(update_fields=["plan"])
    assert (
        "Stock through the week" not in sign_in("coach").get(reverse("week", args=[row.pk])).content.decode()
    )

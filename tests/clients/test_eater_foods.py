"""What an eater may eat, on the coach's page: every food, its reasons in words, and what opens next."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from clients.models import CheckIn, Enrolment, Instruction, Introduction
from clients.wording.foods import ToCome, food_words, reason_words
from plans.domain.book import Stage
from plans.domain.brief import FoodAllowance, Reason
from plans.domain.opening import FoodOpening
from plans.domain.vocabulary import Allowance
from tests.clients.weeks.small_book import file_book, open_foods
from tests.factories import NOON, TODAY, CautionFactory, CheckInFactory, EaterFactory, FoodFactory
from tests.plans.test_wording import CODES, FACTS

DAY = timedelta(days=1)
TASTE = Stage("taste", 3, "Taste", "To test.", 14, 21)


@pytest.fixture
def eater(cast, noon):
    file_book(cast.practice)
    open_foods(cast.version)
    return cast.household.eaters.get()


def page_of(browser, eater, **asked) -> str:
    response = browser.get(reverse("eater_foods", args=[eater.pk]), asked)
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def row_of(page: str, food: str) -> str:
    """The table row of one food."""
    start = page.index(f'<th scope="row"><span>{food}')
    return page[start : page.index("</tr>", start)]


@pytest.mark.parametrize("to_staff", [True, False])
@pytest.mark.parametrize("code", [code for code in CODES if code != "opens-at"])
def test_every_code_of_the_engine_has_words_here_too(code: str, to_staff: bool):
    words = reason_words(Reason(code, FACTS), said={} if to_staff else None)
    assert words and "%(" not in words


def test_only_staff_read_who_asked_to_leave_a_food_out():
    reason = Reason("clinician", {"food": "Egg"})
    assert (
        reason_words(reason, said={"Egg": "Dr Sand, 3 June"})
        == "left out on the word of Dr Sand, 3 June: Egg"
    )
    assert reason_words(reason) == "left out: your clinician asked for it"


@pytest.mark.parametrize(
    ("given", "more", "detail"),
    [
        (
            FoodAllowance(Allowance.NOT_YET, reasons=(Reason("opens-at", {"stage": "Taste"}),)),
            {"to_come": ToCome(FoodOpening("egg", TODAY + 2 * DAY, FoodAllowance(Allowance.FREELY)), TASTE)},
            "opens at stage 3, Taste, earliest 12 June",
        ),
        (
            FoodAllowance(Allowance.NOT_YET, reasons=(Reason("opens-at", {"stage": "Taste"}),)),
            {},
            "opens at Taste",
        ),
        (
            FoodAllowance(
                Allowance.NOT_YET,
                reasons=(Reason("condition", {"condition": "loose-stools"}),),
            ),
            {"to_come": ToCome(FoodOpening("egg", None, FoodAllowance(Allowance.FREELY)), None)},
            "open again once this is over",
        ),
        (FoodAllowance(Allowance.FLAVOUR_ONLY), {}, "cook it in, take it out before serving"),
        (
            FoodAllowance(Allowance.FIRST_TASTES, most_g=Decimal(5), untried=True),
            {},
            "ready to be introduced, starting amount 5 g",
        ),
        (
            FoodAllowance(Allowance.FIRST_TASTES, most_g=Decimal(5)),
            {"grows": (TODAY + 4 * DAY, Decimal(10))},
            "at most 5 g on this day, from 14 June 10 g",
        ),
        (FoodAllowance(Allowance.FIRST_TASTES, most_g=Decimal(0)), {}, "none of it on this day"),
        (
            FoodAllowance(
                Allowance.AS_PREPARED,
                (frozenset({"raw"}),),
                flavour_forms=(frozenset({"boiled"}),),
            ),
            {},
            "raw; as a flavour too only boiled",
        ),
        (FoodAllowance(Allowance.FREELY), {}, ""),
    ],
)
def test_the_detail_says_how_how_much_and_when(given, more, detail):
    assert food_words(given, on=TODAY, **more).detail == detail


def test_what_is_closed_does_not_say_how_it_would_be_cooked():
    reasons = (
        Reason("clinician", {"food": "Egg"}),
        Reason("as-prepared", {"stage": "Taste", "note": "Soft."}),
    )
    assert food_words(FoodAllowance(Allowance.NOT_YET, reasons=reasons), on=TODAY).points == (
        "Left out: your clinician asked for it",
    )


def test_every_food_stands_there_with_what_opens_next_on_top(eater, sign_in):
    page = page_of(sign_in("coach"), eater)
    assert page.index("What opens next") < page.index("Every food")
    assert "You decide when." in page
    assert "8 foods" in page
    # In the first stage since 2 June, five days at least: over, so the next may begin today, 10 June.
    assert "Stage 2, Second" in page
    assert "earliest 10 June" in page
    assert "opens at stage 2, Second, earliest 10 June" in row_of(page, "Onion")


def test_reasons_are_in_words(cast, eater, sign_in):
    Instruction.objects.create(
        eater=eater, foods=["parsnip"], said_by="Dr Sand", said_on=TODAY, recorded_at=NOON
    )
    Introduction.objects.create(
        eater=eater,
        food="carrot",
        form="boiled",
        first_day=TODAY - 5 * DAY,
        watch_until=TODAY - 2 * DAY,
        outcome="reacted",
        left_out_until=TODAY + 20 * DAY,
    )
    page = page_of(sign_in("coach"), eater)
    assert "Left out on the word of Dr Sand, 10 June: Parsnip" in row_of(page, "Parsnip")
    carrot = row_of(page, "Carrot")
    assert "earliest 30 June" in carrot
    assert "Left out until 30 June" in carrot


def test_search_group_and_allowance_narrow_the_list(eater, sign_in):
    browser = sign_in("coach")
    assert "1 food<" in page_of(browser, eater, q="parsn")
    assert "2 foods<" in page_of(browser, eater, group="soft roots")
    closed = page_of(browser, eater, allowance="not yet")
    assert 'scope="row"><span>Onion' in closed
    assert 'scope="row"><span>Carrot' not in closed
    assert "No food fits" in page_of(browser, eater, q="zzz")


def test_another_day_is_looked_at_and_what_is_no_day_is_kept_as_typed(eater, sign_in):
    browser = sign_in("coach")
    assert "Sunday 14 June 2026" in page_of(browser, eater, on="2026-06-14")
    before = page_of(browser, eater, on="2026-05-01")
    assert "before day one, everything is open" in before
    for typed in ("soon", "9999-12-31", "0001-01-01"):
        page = page_of(browser, eater, on=typed)
        assert "is no day that can be looked at" in page
        assert f'value="{typed}"' in page
        assert "Wednesday 10 June 2026" in page


def test_a_day_to_come_keeps_the_conditions_of_today(cast, eater, sign_in):
    cast.version.document = cast.version.document | {
        "modifiers": [{"when": "loose-stools", "food": "carrot", "allowance": "not yet"}]
    }
    cast.version.digest = "c" * 64
    cast.version.save(update_fields=["document", "digest"])
    CheckInFactory(eater=eater, on=TODAY, stool_form=7)
    assert CheckIn.objects.count() == 1
    page = page_of(sign_in("coach"), eater, on=(TODAY + 9 * DAY).isoformat())
    assert "Not while stools are loose" in row_of(page, "Carrot")
    assert "Without a change of stage" in page


def test_an_eater_without_a_protocol_and_one_on_hold_are_told_so(cast, eater, sign_in):
    alone = EaterFactory(household=cast.household)
    browser = sign_in("coach")
    assert "follows no protocol" in page_of(browser, alone)
    Enrolment.objects.filter(eater=eater).update(state="held", held_since=TODAY)
    assert "nothing moves before you resume it" in page_of(browser, eater)


def test_what_blocks_weeks_stands_first(eater, sign_in):
    CautionFactory(eater=eater, rule="kidney-disease", strength="clinician-first")
    assert "waits for a clinician’s agreement" in page_of(sign_in("coach"), eater)


def test_many_foods_come_page_by_page_and_all_at_once_to_print(cast, eater, sign_in):
    FoodFactory.create_batch(60, practice=cast.practice)
    browser = sign_in("coach")
    page = page_of(browser, eater)
    assert page.count('<th scope="row">') == 50
    assert "All on one page, to print" in page
    assert page_of(browser, eater, all="1").count('<th scope="row">') == 68


@pytest.mark.parametrize("more", [0, 120])
def test_the_queries_do_not_grow(cast, eater, sign_in, django_assert_max_num_queries, more):
    FoodFactory.create_batch(more, practice=cast.practice)
    for number in range(more // 20):
        Instruction.objects.create(
            eater=eater, foods=["carrot"], said_by=f"Dr {number}", said_on=TODAY, recorded_at=NOON
        )
    browser = sign_in("coach")
    # Session, user, membership; eater; zone; enrolment, spells; instructions; check-ins, introductions; foods; search;
    # blocks twice.
    with django_assert_max_num_queries(14):
        browser.get(reverse("eater_foods", args=[eater.pk]), {"all": "1"})

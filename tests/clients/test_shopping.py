"""Ticks and what is in the house: written down once, kept when the week changes, lost to nobody."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from clients.models import Consent, ShoppingTick, Store, Week
from clients.selectors.shopping import shopping_page, week_to_shop, weeks_to_shop
from clients.services.packet_facts import packet_facts
from clients.services.shopping import food_typed, grams_typed, shopping_tick, shopping_untick
from clients.services.stores import store_change, store_note, store_used_up
from clients.services.weeks import week_values
from coaching.domain.errors import Refused
from tests.clients.weeks.small_book import file_book, open_foods
from tests.clients.weeks.small_week import keep_week
from tests.factories import NOON, TODAY, CautionFactory

MONDAY = TODAY + timedelta(days=5)
DAY = timedelta(days=1)


@pytest.fixture
def home(cast, noon):
    """The coach's household with a book that fits it and an agreement."""
    file_book(cast.practice)
    open_foods(cast.version)
    Consent.objects.create(
        client=cast.household.clients.get(), text="Agreed.", agreed_on=TODAY, recorded_at=NOON
    )
    return cast.household


@pytest.fixture
def week(home) -> Week:
    return keep_week(home, MONDAY)


def tick(home, by, food="carrot", grams="500"):
    return shopping_tick(household=home, start=MONDAY, food=food, amount_g=Decimal(grams), by=by, at=NOON)


def untick(home, food="carrot", grams="500"):
    shopping_untick(household=home, start=MONDAY, food=food, amount_g=Decimal(grams))


def note(home, by, food="carrot", grams="300", **fields) -> Store:
    given = {"place": "refrigerator", "known": {"carrot", "parsnip"}} | fields
    return store_note(household=home, food=food, amount_g=Decimal(grams), by=by, at=NOON, **given)


def page_of(home, today=TODAY):
    return shopping_page(home, MONDAY, today=today)


def replan(home, week: Week, **changes) -> Week:
    """The same week planned again, with other pots."""
    plan = week.plan | changes
    return Week.objects.create(
        household=home,
        start=MONDAY,
        state=Week.State.PLANNED,
        brief=week.brief,
        plan=plan,
        asked_at=NOON + Week.objects.count() * DAY,
    )


def test_a_tick_is_kept_once_and_the_larger_amount_stands(home, cast):
    tick(home, cast.client, grams="500")
    tick(home, cast.client, grams="1000")
    tick(home, cast.client, grams="500")
    row = ShoppingTick.objects.get()
    assert (row.amount_g, row.before_g, row.ticked_by) == (1000, 500, cast.client.user)


def test_undo_takes_back_the_last_tick_and_nothing_else(home, cast):
    tick(home, cast.client, grams="500")
    tick(home, cast.client, grams="1000")
    untick(home, grams="1000")
    untick(home, grams="1000")
    assert ShoppingTick.objects.get().amount_g == 500
    untick(home, grams="500")
    assert not ShoppingTick.objects.exists()


def test_while_something_blocks_the_week_nothing_is_ticked(home, cast):
    CautionFactory(eater=home.eaters.get(), rule="kidney-disease", strength="do-not-start")
    with pytest.raises(Refused, match="do not start"):
        tick(home, cast.client)


@pytest.mark.parametrize("typed", ["", "many", "-1", "0", "NaN", "Infinity", "1e9"])
def test_a_tick_without_its_amount_is_refused(typed):
    with pytest.raises(Refused):
        grams_typed(typed)


@pytest.mark.parametrize("typed", ["", "A food", "../x", "a" * 81, "a\nb"])
def test_a_tick_without_its_food_is_refused(typed):
    with pytest.raises(Refused):
        food_typed(typed)


def test_ticks_stay_when_the_week_is_planned_again(home, cast, week):
    line = page_of(home).line("carrot")
    tick(home, cast.client, food=line.food, grams=line.tick_to)
    assert page_of(home).done == 1
    replan(home, week)
    assert page_of(home).line(line.food).is_done
    doubled = [one | {"portions": f"{Decimal(one['portions']) * 2}"} for one in week.plan["cooks"]]
    replan(home, week, cooks=doubled)
    more = page_of(home).line(line.food)
    assert (more.state, more.is_done) == ("more", False)
    assert more.in_basket
    replan(home, week, cooks=[], plates=[])
    assert [one.food for one in page_of(home).not_needed] == [line.food]


def test_what_is_in_the_house_is_taken_off_until_its_date(home, cast, week):
    before = page_of(home).line("carrot")
    note(home, cast.client, grams="90000")
    assert page_of(home).line("carrot") is None
    assert [one.food for one in page_of(home).in_house] == ["carrot"]
    Store.objects.update(best_by=TODAY - DAY)
    page = page_of(home)
    assert page.line("carrot") == before
    assert page.past == ("Carrot",)


def test_the_printed_list_takes_it_off_too_unless_it_is_past_its_date(home, cast, week):
    def printed():
        plan, brief = week_values(week)
        facts = packet_facts(
            household=home, week=plan, brief=brief, paper="a4", language="en", today=TODAY
        ).shopping
        return (
            {one.food for aisle in facts.aisles for one in aisle.purchases},
            {one.food for one in facts.in_house},
        )

    row = note(home, cast.coach, grams="90000")
    bought, in_house = printed()
    assert "Carrot" not in bought
    assert in_house == {"Carrot"}
    row.best_by = TODAY - DAY
    row.save(update_fields=["best_by"])
    bought, in_house = printed()
    assert "Carrot" in bought
    assert in_house == set()


def test_once_the_week_runs_only_what_is_still_to_be_cooked_counts(home, cast, week):
    last = max(one["on"] for one in week.plan["cooks"])
    after = MONDAY + timedelta(days=8)
    assert page_of(home, today=after).total == 0
    assert last < after.isoformat()
    assert page_of(home, today=MONDAY + timedelta(days=3)).total <= page_of(home).total


def test_the_week_to_shop_for_begins_soon_or_runs(home):
    for days in (-7, -3, 4, 11):
        Week.objects.create(
            household=home, start=TODAY + timedelta(days=days), state=Week.State.PLANNED, asked_at=NOON
        )
    weeks = weeks_to_shop(home, TODAY)
    assert [(one.start - TODAY).days for one in weeks] == [-3, 4, 11]
    assert week_to_shop(weeks, TODAY).start == TODAY - timedelta(days=3)
    assert week_to_shop(weeks, TODAY + 2 * DAY).start == TODAY + timedelta(days=4)
    assert week_to_shop(weeks[1:], TODAY).start == TODAY + timedelta(days=4)
    assert week_to_shop([], TODAY) is None


def test_a_store_is_noted_changed_and_used_up(home, cast):
    row = note(home, cast.coach, best_by=TODAY)
    store_change(
        store=row, amount_g=Decimal("120.5"), place="freezer", best_by=None, by=cast.coach, at=NOON + DAY
    )
    row.refresh_from_db()
    assert (row.amount_g, row.place, row.best_by, row.noted_on) == (
        Decimal("120.5"),
        "freezer",
        None,
        TODAY + DAY,
    )
    store_used_up(store=row, by=cast.coach, at=NOON)
    store_used_up(store=row, by=cast.coach, at=NOON + DAY)
    row.refresh_from_db()
    assert row.used_up_at == NOON
    with pytest.raises(Refused, match="used up"):
        store_change(store=row, amount_g=Decimal(1), place="freezer", best_by=None, by=cast.coach, at=NOON)


@pytest.mark.parametrize(
    "changes", [{"food": "moon-cheese"}, {"grams": "0"}, {"grams": "100001"}, {"place": "attic"}]
)
def test_what_cannot_be_in_a_house_is_refused(home, cast, changes):
    with pytest.raises(Refused):
        note(home, cast.coach, **changes)
    assert not Store.objects.exists()


def test_the_page_notes_a_food_by_any_of_its_names_and_in_any_unit(home, sign_in):
    browser = sign_in("coach")
    url = reverse("stores", args=[home.pk])
    typed = {"food": "carrots", "amount": "2", "unit": "piece", "place": "refrigerator", "best_by": ""}
    assert browser.post(url, typed).status_code == 302
    # A carrot is 61 g.
    assert Store.objects.get().amount_g == 122
    page = browser.get(url).content.decode()
    assert "Carrot" in page
    assert (
        reverse("stores", args=[home.pk])
        in browser.get(reverse("household", args=[home.pk])).content.decode()
    )


def test_a_scale_weighs_bones_too_and_pieces_are_the_edible_part(home, sign_in):
    url = reverse("stores", args=[home.pk])
    for amount, unit in (("1", "kg"), ("7", "piece")):
        typed = {"food": "Chicken thigh, bone in", "amount": amount, "unit": unit, "place": "freezer"}
        assert sign_in("coach").post(url, typed).status_code == 302
    # Seven pieces of 94 g edible, 70 % of the thigh: 940 g bought.
    assert sorted(Store.objects.values_list("amount_g", flat=True)) == [940, 1000]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"food": "carot"}, "Did you mean Carrot?"),
        ({"food": "xyzzy"}, "Try another word for it"),
        ({"food": "carrot, onion"}, "one food at a time"),
        ({"amount": "0"}, "greater than or equal"),
        ({"amount": "lots"}, "number"),
        ({"unit": "cup"}, "does not say what that weighs"),
        ({"best_by": "soon"}, "date"),
        ({"place": "attic"}, "not one of the available choices"),
    ],
)
def test_a_mistake_keeps_what_was_typed(home, sign_in, changes, words):
    typed = {"food": "carrot", "amount": "123", "unit": "g", "place": "freezer", "best_by": ""} | changes
    page = sign_in("coach").post(reverse("stores", args=[home.pk]), typed).content.decode()
    assert words in page
    assert f'value="{typed["amount"]}"' in page
    assert not Store.objects.exists()


def test_the_coach_changes_one_and_says_that_it_is_gone(home, cast, sign_in):
    row = note(home, cast.coach)
    browser = sign_in("coach")
    url = reverse("store_edit", args=[row.pk])
    assert 'value="300"' in browser.get(url).content.decode()
    typed = {"amount": "200", "unit": "g", "place": "freezer", "best_by": ""}
    assert browser.post(url, typed).status_code == 302
    assert Store.objects.get().amount_g == 200
    browser.post(reverse("store_used_up", args=[row.pk]))
    assert "Nothing noted yet" in browser.get(reverse("stores", args=[home.pk])).content.decode()
    refused = browser.post(url, typed)
    assert "used up" in refused.content.decode()


def test_the_coach_reads_the_list_from_the_weeks_page(home, cast, week, sign_in):
    browser = sign_in("coach")
    url = reverse("week_shopping", args=[week.pk])
    assert url in browser.get(reverse("week", args=[week.pk])).content.decode()
    tick(home, cast.client, grams="90000")
    page = " ".join(browser.get(url).content.decode().split())
    assert "bought" in page
    assert "/tick/" not in page
    CautionFactory(eater=home.eaters.get(), rule="kidney-disease", strength="clinician-first")
    assert "Carrot" not in browser.get(url).content.decode()


def test_queries_do_not_grow_with_stores_or_ticks(home, cast, week, sign_in, django_assert_num_queries):
    browser = sign_in("coach")
    urls = [reverse("stores", args=[home.pk]), reverse("week_shopping", args=[week.pk])]
    counts = []
    for more in (2, 30):
        for number in range(more):
            Store.objects.create(
                household=home, food="carrot", amount_g=1, noted_on=TODAY, best_by=TODAY + number * DAY
            )
            ShoppingTick.objects.create(
                household=home, start=MONDAY, food=f"food-{more}-{number}", amount_g=5, ticked_at=NOON
            )
        for url in urls:
            with django_assert_num_queries(30, exact=False) as counted:
                browser.get(url)
            counts.append(len(counted))
    assert counts[:2] == counts[2:]

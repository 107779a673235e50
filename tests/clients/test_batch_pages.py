"""The page of a batch: filled in from the kitchen or a week, worked out and shown, told what is wrong, never stored."""

import html
import re
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.domain.people import KitchenFacts
from clients.forms.batch import PORTIONS, BatchForm
from clients.models import Client, Week
from clients.services.batch_facts import BatchTable
from clients.services.weeks import week_plan, week_values
from coaching.practice.models import AuditEntry, Practice
from plans.domain.batch.asking import Table
from plans.domain.batch.plan import batch_for
from plans.domain.batch.trade import Kind
from plans.selectors import kitchen_safety
from tests.clients.weeks.conftest import kitchen  # noqa: F401
from tests.factories import NOON, TODAY, CheckInFactory, EaterFactory

MONDAY = date(2026, 6, 15)
SUMMER = {
    "kind": "poultry",
    "start_on": "2026-06-15",
    "start_at": "10:00",
    "portions_0": "4",
    "portions_1": "4",
    "portions_2": "4",
    "broth": "250",
    "pot_1": "10",
    "burners": "2",
    "jars_quart-wide": "4",
    "jars_pint-wide": "4",
    "freezer": "on",
    "iced_water": "on",
}
"""Twelve portions from ten in the morning on a Monday, in a pot of ten litres."""


def page_of(household) -> str:
    return reverse("batch", args=[household.pk])


def read(response) -> str:
    """The words of a page as they read: no markup, plain spaces."""
    text = re.sub(r"<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", html.unescape(text))


@pytest.fixture
def work_out(cast, sign_in, noon):
    """Post what is typed, as the coach, in a zone and units of one's choice."""

    def worked_out(units="metric", zone="Europe/Berlin", **typed):
        Practice.objects.filter(pk=cast.practice.pk).update(units=units)
        Client.objects.filter(household=cast.household).update(time_zone=zone)
        return sign_in("coach").post(page_of(cast.household), SUMMER | typed)

    return worked_out


def test_the_form_begins_with_the_kitchen_the_table_and_tomorrow_at_ten(cast, sign_in, noon):
    Practice.objects.filter(pk=cast.practice.pk).update(units="metric")
    household = cast.household
    household.kitchen |= {"burners": 3, "jar_sizes": {"pint-wide": 5}, "shallow_l": 2.5, "iced_water": True}
    household.save(update_fields=["kitchen"])
    eater = household.eaters.get()
    eater.allergies = ["celery"]
    eater.save(update_fields=["allergies"])
    CheckInFactory(eater=eater, on=TODAY, stool_form=7)
    EaterFactory(household=household, name="Small", born=TODAY - timedelta(days=700), appetite="0.5")
    response = sign_in("coach").get(page_of(household))
    form = response.context["form"]
    shown = {name: form[name].initial for name in form.fields}
    assert (shown["start_on"], shown["start_at"]) == (TODAY + timedelta(days=1), time(10))
    assert (shown["pot_1"], shown["burners"], shown["jars_pint-wide"]) == (Decimal("7.5"), 3, 5)
    assert (shown["shallow"], shown["iced_water"], shown["broth"]) == (Decimal("2.5"), True, 250)
    assert (shown["loose_stools"], shown["small_child"]) == (True, True)
    assert [shown[name] for name in PORTIONS] == [Decimal("1.5")] * 4 + [None] * 3
    assert f"{eater.name}: Celery" in read(response)
    assert "What goes in" not in read(response)


def test_a_batch_is_shown_whole_and_nothing_is_stored(cast, work_out):
    before = AuditEntry.objects.count()
    page = read(work_out(cuts="necks and feet"))
    # 12 portions of 250 ml are 3 l of broth. A pound of bones takes a quart, 2.0864 ml a gram (NIST Handbook 44).
    # 5 % an hour of 105 minutes boil off and a tenth of the weight stays behind (common practice, no source), so that a
    # gram gives 1.8038 ml.
    for words in (
        "Poultry stock, Monday 15 June",
        "Poultry, meaty bones: necks and feet 1.65 kg (3 lb 11 oz) to buy, for 12 portions",
        "Water 3.45 l",
        "10:00 On burner 1, in cold water; 30 min to the first bubbles",
        "10:30 to 12:15 Bare simmer, 1 h 45 min",
        "12:15 Off the heat",
        "by 14:15 Below 70 °F (21 °C)",
        "by 18:15 Below 41 °F (5 °C)",
        "Broth as it comes 3 l",
        "Of the usual strength.",
        "5 % of the water boils off in an hour",
        "Monday 15 June 4 portions fresh from the pot 1 l",
        "Tuesday 16 June 4 portions from the refrigerator",
        "Refrigerator: eat by Thursday 18 June",
        "Freezer: at its best until 13 September 2026",
        "Reheat to 165 °F (74 °C)",
        "Quart jars (0.95 l), wide mouth 2",
        "Do not can stock in a water bath",
        "A local food code overrules all of this",
        "Made 15 Jun 2026 Refrigerator: eat by 18 Jun 2026",
    ):
        assert words in page
    assert "Look at this first" not in page
    assert AuditEntry.objects.count() == before


@pytest.mark.parametrize(
    ("at_home", "is_told"),
    [({"mon": 120}, True), ({"mon": 134}, True), ({"mon": 135}, False), ({"tue": 60}, False)],
)
def test_a_day_with_too_little_time_at_home_is_told(cast, work_out, at_home, is_told):
    """From ten o'clock to a quarter past twelve, on a Monday."""
    cast.household.kitchen |= {"at_home_min": at_home}
    cast.household.save(update_fields=["kitchen"])
    page = read(work_out())
    assert ("it takes 2 h 15 min, and on Monday somebody is at home for 2 h" in page) is is_told
    assert ("Look at this first" in page) is is_told


def test_a_us_kitchen_reads_pounds_quarts_and_inches(work_out):
    page = read(work_out("us", broth="1", pot_1="8", portions_6="4"))
    assert "lb" in page and "quarts" in page
    assert re.search(r"[½¾1] in \(\d", page)
    assert (
        "Sunday 21 June 4 portions from the freezer, into the refrigerator on Saturday 20 June to thaw"
        in page
    )
    assert "Frozen 15 Jun 2026, best by 13 Sep 2026" in page


def test_a_small_pot_gives_a_stronger_stock_in_plain_words(work_out):
    page = read(work_out(pot_1="4", burners="1"))
    assert "times as strong as usual, which is fine: to each 100 ml from the jar add" in page
    assert "Water to add" in page


def test_two_pots_on_one_burner_follow_each_other(work_out):
    page = read(work_out(pot_1="3", pot_2="3", burners="1", kind="beef", portions_0="20"))
    assert "Pot 1 (3 l)" in page
    assert page.count("On burner 1") > 1


def test_warnings_stand_before_the_work_with_their_source(work_out):
    page = read(work_out(iced_water="", finish_at="11:00"))
    assert page.index("Look at this first") < page.index("What goes in")
    assert "the rest does not cool in time by itself" in page
    assert "WAC 246-215-03515" in page
    assert "The last pot leaves the heat at Monday 15 June, 12:15, after Monday 15 June, 11:00." in page


def test_bones_at_hand_without_portions_go_into_the_freezer(work_out):
    page = read(work_out(portions_0="", portions_1="", portions_2="", broth="", bones="1.5"))
    assert "1.5 kg (3 lb 5 oz) of those at hand" in page
    assert "Day by day" not in page
    assert "are left over: freeze them" in page


def test_soup_keeps_the_vegetables_and_counts_meat(work_out):
    page = read(work_out(vegetables="120", meat="60", kind="beef"))
    assert "Beef soup, Monday 15 June" in page
    assert "Vegetables 1.45 kg" in page


@pytest.mark.parametrize(
    ("day", "begun", "off", "cold"),
    [
        # In New York clocks go from 2:00 to 3:00 on 14 March 2027, from 2:00 to 1:00 on 1 November 2026 (tzdata).
        # Half an hour up and 105 minutes of simmer pass, then six hours, whatever the clocks do.
        ("2027-03-14", "01:15", "04:30", "10:30"),
        ("2026-11-01", "00:30", "01:45", "07:45"),
    ],
)
def test_on_a_day_the_clocks_change_elapsed_hours_count(work_out, day, begun, off, cold):
    page = read(work_out(zone="America/New_York", start_on=day, start_at=begun, simmer_min="105"))
    assert "The clocks are changed in the meantime." in page
    assert f"{begun} On burner 1" in page
    assert f"{off} Off the heat" in page
    assert f"by {cold} Below 41" in page


def test_an_ordinary_day_says_nothing_of_clocks(work_out):
    assert "The clocks are changed" not in read(work_out())


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"pot_1": "huge"}, "pot_1", "Enter a number."),
        ({"pot_1": ""}, "pot_1", "This field is required."),
        ({"kind": "unicorn"}, "kind", "not one of the available choices"),
        ({"start_on": "soon"}, "start_on", "Enter a valid date."),
        ({"start_on": "2031-01-01"}, "start_on", "Choose a day from yesterday up to a year from now."),
        ({"start_on": "0001-01-01"}, "start_on", "Choose a day from yesterday up to a year from now."),
        ({"start_at": "dawn"}, "start_at", "Enter a valid time."),
        ({"simmer_min": "300"}, "simmer_min", "Poultry: write 90 to 120 minutes, or leave it empty for 105."),
        ({"kind": "fish", "simmer_min": "90"}, "simmer_min", "Fish: write 30 to 40 minutes"),
        ({"burners": "0"}, "burners", "greater than or equal to 1"),
        ({"jars_pint-wide": "-2"}, "jars_pint-wide", "greater than or equal to 0"),
        ({"broth": ""}, "broth", "Say how much broth goes into a portion."),
        ({"portions_0": "many"}, "portions_0", "Enter a number."),
        ({"finish_at": "09:00"}, "finish_at", "This is before the batch begins."),
        ({"finish_on": "2026-06-15"}, "finish_at", "Give the time as well"),
        ({"finish_at": "09:00", "finish_on": "9999-12-31"}, "finish_on", "one of the next two"),
        ({"first_day": "9999-12-31"}, "first_day", "Choose a day near the one it is cooked on."),
        ({"fridge_days": "9"}, "fridge_days", "less than or equal to 4"),
        ({"elevation": "9000"}, "elevation", "less than or equal to 5500"),
        ({"portions_0": "0", "portions_1": "", "portions_2": ""}, "bones", "Give the bones there are"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_everything_typed_is_kept(work_out, typed, field, said):
    response = work_out(**typed, cuts="wings")
    form = response.context["form"]
    assert response.status_code == 200
    assert said in " ".join(form.errors[field])
    assert "batch" not in response.context
    page = response.content.decode()
    assert 'value="wings"' in page
    assert all(f'value="{value}"' in page for value in typed.values() if value and value != "unicorn")


def test_an_ask_the_domain_refuses_is_told_above_the_fields(work_out, monkeypatch):
    def refuse(ask):
        raise ValueError("no burner")

    monkeypatch.setattr("clients.forms.batch.check", refuse)
    assert "Nothing can be cooked of this." in read(work_out())


TABLE = BatchTable("Europe/Berlin", TODAY, Decimal(2), Table(), ())
amounts = st.decimals("0.1", 30, places=1).map(str)


@settings(max_examples=40)
@given(
    typed=st.fixed_dictionaries(
        {
            "kind": st.sampled_from([kind.value for kind in Kind]),
            "pot_1": st.decimals("0.5", 40, places=1).map(str),
            "broth": st.decimals(50, 900, places=0).map(str),
            "portions_0": amounts,
        },
        optional={
            "pot_2": st.decimals("0.5", 40, places=1).map(str),
            "portions_1": amounts,
            "portions_6": amounts,
            "bones": amounts,
            "meat": amounts,
            "vegetables": amounts,
            "jars_half-gallon-wide": st.sampled_from(["0", "3"]),
            "finish_at": st.sampled_from(["10:05", "12:00", "20:00"]),
            "elevation": st.sampled_from(["1000", "2000"]),
            "freezer": st.just("on"),
            "garlic_badly_borne": st.just("on"),
        },
    )
)
def test_whatever_the_form_accepts_is_a_batch(typed):
    form = BatchForm(
        {"start_on": "2026-06-15", "start_at": "10:00", "burners": "2", **typed}, units="metric", table=TABLE
    )
    assert form.is_valid(), form.errors
    batch = batch_for(form.ask(), kitchen_safety())
    assert batch.broth_ml > 0
    # A pot counts up to seven eighths of its brim (common practice, no source).
    assert max(pot.filling.full_ml for pot in batch.pots) <= max(form.pots_full_ml()) * Decimal("0.8751")


def test_a_form_shown_and_sent_again_asks_the_same(cast):
    facts = KitchenFacts.from_record(cast.household.kitchen)
    initial = BatchForm.initial_from(facts, TABLE, "metric")
    typed = {name: value for name, value in initial.items() if value not in (None, False)}
    form = BatchForm(typed | {"kind": "pork"}, units="metric", table=TABLE)
    assert form.is_valid(), form.errors
    ask = form.ask()
    assert ask.need.total == 8
    assert ask.stove.pots_ml == (Decimal("6562.5"),)
    assert ask.starts_at == datetime(TODAY.year, TODAY.month, TODAY.day, 8, tzinfo=UTC) + timedelta(days=1)


@pytest.fixture
def planned(kitchen) -> Week:  # noqa: F811
    """A planned week of the coach's household, mugs of stock and all."""
    week = Week.objects.create(household=kitchen, start=MONDAY, asked_at=NOON)
    week_plan(week_id=week.pk, at=NOON)
    return Week.objects.get(pk=week.pk)


def test_a_weeks_stock_leads_to_a_batch_filled_in_with_what_the_week_takes(planned, sign_in):
    browser = sign_in("coach")
    week_page = browser.get(reverse("week", args=[planned.pk])).content.decode()
    links = re.findall(r'href="([^"]+/batch/\?[^"]+)"', week_page)
    assert links
    week, _brief = week_values(planned)
    mugs = sum(
        plate.portions
        for plate in week.plates
        if any(cook.key == plate.cook and cook.recipe == "stock-pot" for cook in week.cooks)
    )
    total = Decimal(0)
    for link in links:
        response = browser.get(html.unescape(link))
        form = response.context["form"]
        assert "Filled in with what the week takes from Chicken stock" in read(response)
        assert form["kind"].initial == "poultry"
        total += sum(form[name].initial or 0 for name in PORTIONS)
    assert mugs <= total <= mugs + Decimal("0.1") * len(links) * len(PORTIONS)


def test_a_week_that_is_not_there_or_another_household_has_is_a_missing_page(planned, sign_in, cast):
    browser = sign_in("owner")
    cook = next(cook.key for cook in week_values(planned)[0].cooks if cook.recipe == "stock-pot")
    here, elsewhere = page_of(planned.household), page_of(cast.other_household)
    assert browser.get(here, {"week": planned.pk, "cook": cook}).status_code == 200
    for page, asked in (
        (elsewhere, {"week": planned.pk, "cook": cook}),
        (here, {"week": planned.pk, "cook": "none"}),
        (here, {"week": planned.pk}),
        (here, {"week": "nonsense", "cook": cook}),
        (here, {"week": cast.household.pk, "cook": cook}),
    ):
        assert browser.get(page, asked).status_code == 404
    waiting = Week.objects.create(household=planned.household, start=MONDAY, asked_at=NOON)
    assert browser.get(here, {"week": waiting.pk, "cook": cook}).status_code == 404


def test_the_household_leads_to_it(cast, sign_in, noon):
    household = reverse("household", args=[cast.household.pk])
    assert page_of(cast.household) in sign_in("coach").get(household).content.decode()
    assert page_of(cast.household) not in sign_in("assistant").get(household).content.decode()


def test_what_is_known_of_health_stays_out_of_the_address(cast, sign_in, noon):
    page = sign_in("coach").get(page_of(cast.household)).content.decode()
    assert re.search(r'<form method="post" novalidate>', page)
    asked = sign_in("coach").get(page_of(cast.household), {"loose_stools": "on"})
    assert not asked.context["form"].is_bound


def test_the_queries_do_not_grow_with_the_eaters(cast, sign_in, noon, django_assert_num_queries):
    browser = sign_in("coach")
    counts = []
    for more in (1, 6):
        for number in range(more):
            eater = EaterFactory(household=cast.household, name=f"Eater {more} {number}", allergies=["milk"])
            CheckInFactory(eater=eater, on=TODAY)
        browser.get(page_of(cast.household))
        with django_assert_num_queries(12) as counted:
            browser.post(page_of(cast.household), SUMMER)
        counts.append(len(counted))
    assert counts[0] == counts[1]

"""The nutrition page of an eater's week: amounts against references, what is not known, and whose word counts."""

import json
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from clients.domain.body_measures import Measures
from clients.models import Household, Week
from clients.services.measures import measures_record
from clients.services.nutrition import eater_nutrition
from clients.services.weeks import week_values
from clients.views.nutrition_page import amount_words, nutrition_page
from plans.domain.body import Activity
from plans.domain.brief_json import week_record
from plans.domain.nutrients import total
from plans.domain.vocabulary import Slot
from plans.models import Food
from plans.selectors import nutrient_table
from tests.clients.weeks.small_week import keep_week
from tests.factories import NOON, TODAY, EaterFactory, FoodFactory

MONDAY = date(2026, 6, 15)
DAY = timedelta(days=1)


@pytest.fixture
def week(kitchen: Household) -> Week:
    return keep_week(kitchen, MONDAY)


@pytest.fixture
def eater(kitchen: Household):
    """A woman of 38 years who was asked about pregnancy and breast-feeding."""
    eater = kitchen.eaters.get()
    eater.sex, eater.answers = "female", {"pregnant": False, "breastfeeding": False}
    eater.save(update_fields=["sex", "answers"])
    return eater


def url_of(week, eater) -> str:
    return reverse("week_nutrition", args=[week.pk, eater.pk])


def page_of(browser, week, eater) -> str:
    response = browser.get(url_of(week, eater))
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def row_of(page: str, nutrient: str) -> str:
    start = page.index(f'<th scope="row">{nutrient}</th>')
    return page[start : page.index("</tr>", start)]


def change(eater, **fields):
    for name, value in fields.items():
        setattr(eater, name, value)
    eater.save(update_fields=list(fields))
    return eater


def with_mugs(week: Week, count: int) -> Week:
    """The same week with so many mugs of stock for its eater, one a day."""
    plan, _ = week_values(week)
    (mugs,) = (cook for cook in plan.cooks if cook.recipe == "stock-pot")
    plates = tuple(
        replace(plan.plates[0], on=MONDAY + day * DAY, slot=Slot.MUG, cook=mugs.key, without=())
        for day in range(count)
    )
    week.plan = week_record(replace(plan, plates=plan.plates + plates))
    week.save(update_fields=["plan"])
    return week


def with_oil(week: Week) -> Week:
    """The same week with cod liver oil in the place of its parsnips."""
    text = json.dumps(week.brief).replace('"parsnip"', '"cod-liver-oil"')
    week.brief = json.loads(text)
    week.save(update_fields=["brief"])
    return week


class TestAmounts:
    def test_means_are_over_the_days_that_have_a_plate(self, week, eater):
        # Soup: 600 g thigh and 4 carrots of 61 g for four. Soup of two roots: 300 g parsnip more. Two plates, two days.
        found = eater_nutrition(week=week, eater=eater)
        assert found.plated.grams == {"carrot": 122, "chicken-thigh": 300, "parsnip": 75}
        assert (found.intakes.days, found.plated.meals, found.planned_days, found.planned_meals) == (
            2,
            2,
            7,
            28,
        )
        known = total(found.plated.grams, nutrient_table())["calcium_mg"].value
        assert found.intakes.nutrients["calcium_mg"].mean == known / 2

    def test_a_mug_of_stock_counts_by_the_stocks_own_row_or_is_unknown(self, week, eater):
        found = eater_nutrition(week=with_mugs(week, 2), eater=eater)
        assert found.plated.grams["stock"] == Decimal("505")
        assert "stock" in found.intakes.energy.unknown_for
        assert "bones" not in found.plated.grams
        stock = Food.objects.get(key="stock")
        stock.document |= {"nutrients_like": "chicken-stock"}
        stock.save(update_fields=["document"])
        assert "stock" not in eater_nutrition(week=week, eater=eater).intakes.energy.unknown_for

    def test_figures_given_after_planning_count(self, week, eater):
        with_mugs(week, 1)
        stock = Food.objects.get(key="stock")
        stock.document |= {"nutrients": {"calcium_mg": 6}, "nutrients_source": "Own kitchen, weighed"}
        stock.save(update_fields=["document"])
        found = eater_nutrition(week=week, eater=eater).intakes
        assert "stock" not in found.nutrients["calcium_mg"].unknown_for
        assert "stock" in found.nutrients["iron_mg"].unknown_for

    def test_the_age_is_that_of_the_first_day(self, week, eater):
        # 18 and 19 are in different groups (Institute of Medicine 1997): calcium, magnesium, phosphorus.
        change(eater, born=date(2007, 6, 16))
        assert eater_nutrition(week=week, eater=eater).intakes.groups == ("females-14-18",)
        change(eater, born=date(2007, 6, 15))
        assert eater_nutrition(week=week, eater=eater).intakes.groups == ("females-19-30",)

    @pytest.mark.parametrize(
        ("answers", "groups"),
        [
            ({"pregnant": True, "breastfeeding": False}, ("pregnancy-31-50",)),
            ({"pregnant": False, "breastfeeding": True}, ("lactation-31-50",)),
            ({"pregnant": True, "breastfeeding": True}, ()),
        ],
    )
    def test_pregnancy_and_breast_feeding_come_from_the_screening(self, week, eater, answers, groups):
        change(eater, answers=answers)
        assert eater_nutrition(week=week, eater=eater).intakes.groups == groups

    def test_liver_is_held_against_the_upper_level_of_vitamin_a(self, kitchen, eater):
        thigh = Food.objects.get(key="chicken-thigh")
        thigh.document |= {"limits": ["liver"], "nutrients_like": "chicken-liver"}
        thigh.save(update_fields=["document"])
        upper = (
            eater_nutrition(week=keep_week(kitchen, MONDAY), eater=eater)
            .intakes.nutrients["vit_a_rae_ug"]
            .upper
        )
        assert upper.found is not None

    def test_cod_liver_oil_is_too_though_nobody_gave_it_the_limit(self, kitchen, eater):
        found = eater_nutrition(week=with_oil(keep_week(kitchen, MONDAY)), eater=eater)
        assert found.intakes.nutrients["vit_a_rae_ug"].upper.found > 0

    def test_a_week_that_is_not_planned_has_none(self, week, eater):
        assert eater_nutrition(week=Week(household=week.household, start=MONDAY), eater=eater) is None


class TestPage:
    def test_it_says_what_it_is_and_is_not(self, week, eater, sign_in):
        page = page_of(sign_in("coach"), week, eater)
        for words in (
            "does not detect, rule out or treat anything",
            "licensed clinician or a registered dietitian",
            "nobody knows what was eaten",
            "2 of the week’s 7 days are counted, with 2 planned meals",
            "The week has room for 28 meals",
            "Reference amounts for women of 31 to 50 years",
            "Dietary Reference Intakes of the United States and Canada",
            "USDA FoodData Central",
            "iodine, phosphorus, copper, manganese, biotin, pantothenic acid",
            "Planned by Small protocol",
            "data-print",
        ):
            assert words in page, words
        assert "deficien" not in page and "style=" not in page

    def test_a_food_reckoned_by_another_is_named_with_it(self, week, eater, sign_in):
        assert "Reckoned by the figures" not in page_of(sign_in("coach"), week, eater)
        thigh = Food.objects.get(key="chicken-thigh")
        thigh.document |= {"nutrients_like": "chicken-breast"}
        thigh.save(update_fields=["document"])
        page = page_of(sign_in("coach"), week, eater)
        assert "Reckoned by the figures of a food much like it: Chicken thigh" in page

    def test_how_sure_stands_where_the_spread_is_published(self, week, eater, sign_in):
        page = page_of(sign_in("coach"), week, eater)
        assert "sure that the usual intake is above the EAR" in row_of(page, "Magnesium")
        assert "sure that" not in row_of(page, "Selenium")

    def test_a_row_has_mean_reference_percent_words_coverage_and_upper_amount(self, week, eater, sign_in):
        found = eater_nutrition(week=week, eater=eater).intakes.nutrients["calcium_mg"]
        row = row_of(page_of(sign_in("coach"), week, eater), "Calcium")
        assert amount_words(found.mean, "mg") in row
        assert "RDA 1000 mg" in row and "EAR 800 mg" in row and "Upper level 2500 mg" in row
        assert f"{found.percent} %" in row
        assert "Below the average requirement in this plan" in row and "100 %" in row
        assert "Not above the upper amount." in row

    def test_what_is_not_known_is_said_and_never_none(self, week, eater, sign_in):
        row = row_of(page_of(sign_in("coach"), week, eater), "Vitamin B12")
        assert "Not known: too little of the food has a figure." in row
        assert "Not for Chicken thigh, bone in" in row
        assert "0 %" not in row.replace("100 %", "")

    def test_foods_without_any_figures_are_named_once_with_their_amount(self, week, eater, sign_in):
        page = page_of(sign_in("coach"), with_mugs(week, 2), eater)
        assert "the largest amount first: Chicken stock, 168 g a day" in page
        assert "Chicken stock" not in row_of(page, "Calcium")
        assert "at least" in row_of(page, "Calcium")

    def test_what_lies_low_is_worth_asking_about(self, week, eater, sign_in):
        page = page_of(sign_in("coach"), week, eater)
        asking = page[page.index("Worth asking about") : page.index("Not known from this table")]
        assert "Below the average requirement in this plan" in asking and "Calcium" in asking
        assert "Vitamin B12, Iodine" in asking

    def test_without_measures_the_energy_says_what_is_missing(self, week, eater, sign_in):
        page = page_of(sign_in("coach"), week, eater)
        assert "Not computed. Missing: weight, height, how active." in page
        assert reverse("eater_measures", args=[eater.pk]) in page

    def test_with_measures_the_equation_is_named(self, cast, week, eater, sign_in):
        # 575.77 - 7.01 × 38.25 + 6.60 × 165 + 12.14 × 62 kcal (National Academies 2023, women, low active).
        measures = Measures(TODAY, Decimal(62), Decimal(165), Activity.LOW_ACTIVE)
        measures_record(eater=eater, measures=measures, by=cast.coach, at=NOON)
        page = page_of(sign_in("coach"), week, eater)
        assert "2149 kcal" in page and "Estimated energy requirement 2023, adults" in page
        assert "62 kg; 165 cm; Low active" in page and "as of 10 June 2026" in page
        # 0.8 g a kg (Institute of Medicine 2005).
        protein = row_of(page[page.index('id="table-main"') :], "Protein")
        assert "RDA 49.6 g" in protein and "by the weight" in protein

    def test_no_larger_share_is_named_while_meals_are_missing(self, cast, week, eater, sign_in):
        measures = Measures(TODAY, Decimal(62), Decimal(165), Activity.LOW_ACTIVE)
        measures_record(eater=eater, measures=measures, by=cast.coach, at=NOON)
        assert "appetite share" not in page_of(sign_in("coach"), week, eater)

    def test_a_larger_share_is_named_where_the_dishes_fall_short(self, cast, week, eater):
        measures = Measures(TODAY, Decimal(62), Decimal(165), Activity.LOW_ACTIVE)
        measures_record(eater=eater, measures=measures, by=cast.coach, at=NOON)
        found = eater_nutrition(week=week, eater=eater)
        whole = replace(found, planned_meals=found.plated.meals, appetite=Decimal("0.5"))
        energy = replace(found.intakes.energy, percent=40, at_least=True)
        page = nutrition_page(
            replace(whole, intakes=replace(found.intakes, energy=energy)), answers={}, units="metric"
        )
        # 0.5 × 100 / 40 = 1.25.
        assert "appetite share of 0.5" in page["energy"]["larger"]
        assert "at 1.25 at the most" in page["energy"]["larger"]
        enough = replace(found.intakes, energy=replace(energy, percent=90))
        assert (
            nutrition_page(replace(whole, intakes=enough), answers={}, units="metric")["energy"]["larger"]
            == ""
        )

    def test_an_unstated_sex_shows_both(self, week, eater, sign_in):
        change(eater, sex="unstated")
        page = page_of(sign_in("coach"), week, eater)
        assert "men of 31 to 50 years and women of 31 to 50 years" in page or (
            "women of 31 to 50 years and men of 31 to 50 years" in page
        )
        row = row_of(page, "Iron")
        assert "RDA 18 mg" in row and "RDA 8 mg" in row and "women of 31 to 50 years" in row

    def test_both_at_once_says_that_there_is_no_group(self, week, eater, sign_in):
        change(eater, answers={"pregnant": True, "breastfeeding": True})
        page = page_of(sign_in("coach"), week, eater)
        assert "No reference amounts are published for both at once" in page
        assert "none published" in row_of(page, "Calcium")
        assert "No equation is published for this age and condition." in page

    @pytest.mark.parametrize(
        ("answers", "sex", "is_said"),
        [({}, "female", True), ({}, "male", False), ({"pregnant": True}, "female", False)],
    )
    def test_what_the_screening_did_not_ask_is_said(self, week, eater, sign_in, answers, sex, is_said):
        change(eater, answers=answers, sex=sex)
        page = page_of(sign_in("coach"), week, eater)
        assert ("no answer on pregnancy and breast-feeding" in page) is is_said

    def test_shares_of_energy_stand_against_their_ranges(self, week, eater, sign_in):
        page = page_of(sign_in("coach"), week, eater)
        split = page[page.index("Where the energy comes from") :]
        # Adults: protein 10-35, fat 20-35, carbohydrate 45-65 % of energy (Institute of Medicine 2005).
        for words in ("10 to 35 %", "20 to 35 %", "45 to 65 %", "Below the published range"):
            assert words in split

    def test_an_infant_has_no_ranges_and_is_no_error(self, week, eater, sign_in):
        page = page_of(sign_in("coach"), week, change(eater, born=date(2026, 2, 1), answers={}))
        assert "infants under 6 months" in page

    def test_the_week_leads_to_it(self, week, eater, sign_in):
        page = sign_in("coach").get(reverse("week", args=[week.pk])).content.decode()
        assert url_of(week, eater) in page


class TestNothingToShow:
    def test_a_week_that_is_not_planned(self, kitchen, eater, sign_in):
        asked = Week.objects.create(household=kitchen, start=MONDAY, asked_at=NOON)
        assert "There is no plan to add up" in page_of(sign_in("coach"), asked, eater)

    def test_an_eater_who_came_later(self, week, kitchen, sign_in):
        page = page_of(sign_in("coach"), week, EaterFactory(household=kitchen))
        assert "Nothing is planned for them" in page

    def test_an_eater_of_another_household(self, cast, week, sign_in):
        stranger = cast.other_household.eaters.get()
        assert sign_in("owner").get(url_of(week, stranger)).status_code == 404


def test_a_larger_week_asks_no_more_of_the_database(
    cast, week, eater, sign_in, django_assert_max_num_queries
):
    browser = sign_in("coach")
    page_of(browser, week, eater)
    with django_assert_max_num_queries(100) as few:
        page_of(browser, week, eater)
    with_mugs(week, 7)
    for number in range(20):
        FoodFactory(practice=cast.practice)
        EaterFactory(household=week.household)
        measures = Measures(TODAY - number * DAY, Decimal(60))
        measures_record(eater=eater, measures=measures, by=cast.coach, at=NOON)
    with django_assert_max_num_queries(len(few.captured_queries)):
        page_of(browser, week, eater)


@pytest.mark.parametrize(
    ("value", "beside", "words"),
    [
        ("319.7", [], "320 mg"),
        ("319.7", ["320"], "319.7 mg"),
        ("320", ["320"], "320 mg"),
        ("12.34", [], "12.3 mg"),
        ("0.004", [], "0.004 mg"),
        ("0.0004", [], "less than 0.001 mg"),
        ("0", [], "0 mg"),
        ("1.0999", ["1.1"], "1.1 mg"),
        ("1000", [], "1000 mg"),
    ],
)
def test_amounts_are_rounded_once_and_never_onto_another(value, beside, words):
    assert amount_words(Decimal(value), "mg", beside=map(Decimal, beside)) == words

"""Optional measures: given in the practice's units, kept exactly, never overwritten, and only for coaches."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from clients.domain.body_measures import Measures
from clients.forms.measures import MeasuresForm
from clients.models import Measures as MeasuresRow
from clients.selectors.measures import latest_measures
from clients.services.measures import measures_record
from clients.wording.measures import height_words, measure_words, weight_words
from coaching.domain.errors import Refused
from coaching.domain.units import System
from plans.domain.body import Activity, Condition, Feeding
from tests.factories import NOON, TODAY

DAY = timedelta(days=1)
TYPED = {"measured_on": TODAY.isoformat(), "activity": "low-active"}
METRIC = TYPED | {"weight_kg": "62.5", "height_cm": "165"}
# 137.8 lb × 0.45359237 and 5 ft 5 in × 2.54 cm: exact by definition (NIST Handbook 44, Appendix C).
US = TYPED | {"weight_kg": "137.8", "height_ft": "5", "height_in": "5"}
US_KG, US_CM = Decimal("62.505028586"), Decimal("165.1")


@pytest.fixture
def eater(cast, noon):
    return cast.household.eaters.get()


def form(data: dict, units: str = "metric", **more) -> MeasuresForm:
    plain = {"condition": Condition.NONE, "asks_activity": True, "held": None, "today": TODAY}
    return MeasuresForm(data, units=units, **(plain | more))


def record(eater, cast, at=NOON, **measures):
    measures.setdefault("measured_on", TODAY)
    return measures_record(eater=eater, measures=Measures(**measures), by=cast.coach, at=at)


def page_of(browser, eater, data: dict | None = None) -> str:
    url = reverse("eater_measures", args=[eater.pk])
    response = browser.get(url) if data is None else browser.post(url, data)
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


class TestForm:
    def test_metric_figures_are_taken_as_they_are(self):
        sent = form(METRIC)
        assert sent.is_valid()
        assert sent.values() == Measures(TODAY, Decimal("62.5"), Decimal(165), Activity.LOW_ACTIVE)

    def test_pounds_feet_and_inches_are_converted_exactly(self):
        sent = form(US, "us")
        assert sent.is_valid()
        assert sent.values() == Measures(TODAY, US_KG, US_CM, Activity.LOW_ACTIVE)

    def test_everything_but_the_day_may_stay_empty(self):
        assert form({"measured_on": TODAY.isoformat()}).is_valid()
        assert set(form({}).errors) == {"measured_on"}

    @pytest.mark.parametrize(
        ("typed", "units", "field", "told"),
        [
            ({"height_cm": "1.7"}, "metric", "height_cm", "from 20 to 280: 1.70 m is 170"),
            ({"weight_kg": "62500"}, "metric", "weight_kg", "in kilograms, from 0.3 to 650"),
            ({"weight_kg": "0.2"}, "us", "weight_kg", "in pounds, from 0.67 to 1433"),
            ({"height_ft": "65"}, "us", "height_ft", "whole feet, from 0 to 9"),
            ({"height_ft": "5", "height_in": "12"}, "us", "height_in", "from 0 to 11.9"),
            ({"height_ft": "9", "height_in": "3"}, "us", "height_ft", "8 inches to 9 feet 2 inches"),
            ({"height_in": "5"}, "us", "height_ft", "8 inches to 9 feet 2 inches"),
            ({"activity": "sometimes"}, "metric", "activity", "not one of the available choices"),
            ({"weight_kg": "sixty"}, "metric", "weight_kg", "Enter a number"),
        ],
    )
    def test_a_slip_is_told_beside_its_field(self, typed, units, field, told):
        sent = form(TYPED | typed, units)
        assert told in " ".join(sent.errors[field])

    @pytest.mark.parametrize("units", ["metric", "us"])
    @pytest.mark.parametrize("end", [0, 1])
    def test_what_the_form_takes_can_be_kept(self, units, end):
        least_most = (
            form({}, units).fields["weight_kg"].min_value,
            form({}, units).fields["weight_kg"].max_value,
        )
        sent = form({"measured_on": TODAY.isoformat(), "weight_kg": str(least_most[end])}, units)
        assert sent.is_valid()
        assert Decimal("0.3") <= sent.values().weight_kg <= 650

    def test_a_pregnancy_asks_for_its_week_and_the_weight_before(self):
        sent = form(
            METRIC | {"pregnancy_week": "20", "weight_before_kg": "58"}, condition=Condition.PREGNANCY
        )
        assert sent.is_valid()
        assert (sent.values().pregnancy_week, sent.values().weight_before_kg) == (20, 58)
        assert "from 0 to 45" in str(form({"pregnancy_week": "50"}, condition=Condition.PREGNANCY).errors)

    def test_breast_feeding_asks_what_the_child_gets(self):
        sent = form(METRIC | {"feeding": "only-0-to-6-months"}, condition=Condition.LACTATION)
        assert sent.is_valid()
        assert sent.values().feeding is Feeding.ONLY_0_TO_6_MONTHS

    @pytest.mark.parametrize("condition", [Condition.NONE, Condition.BOTH])
    def test_neither_is_asked_otherwise(self, condition):
        assert not {"pregnancy_week", "weight_before_kg", "feeding"} & set(
            form({}, condition=condition).fields
        )

    def test_a_small_child_is_not_asked_how_active(self):
        sent = form({"measured_on": TODAY.isoformat(), "weight_kg": "11"}, asks_activity=False)
        assert sent.is_valid()
        assert "activity" not in sent.fields and sent.values().activity is None

    @given(
        st.decimals("0.68", "1432", places=2),
        st.decimals("8", "110", places=1),
        st.sampled_from(["metric", "us"]),
    )
    def test_what_nobody_touches_keeps_its_last_digit(self, pounds, inches, units):
        held = Measures(
            TODAY - DAY, pounds * Decimal("0.45359237"), inches * Decimal("2.54"), Activity.ACTIVE
        )
        shown = form(None, units, held=held)
        again = form(
            {name: shown.get_initial_for_field(field, name) for name, field in shown.fields.items()}
            | {"measured_on": TODAY.isoformat()},
            units,
            held=held,
        )
        assert again.is_valid(), again.errors
        assert again.values() == Measures(TODAY, held.weight_kg, held.height_cm, Activity.ACTIVE)


class TestRecording:
    def test_a_change_is_a_new_row_and_the_old_one_stays(self, cast, eater):
        record(eater, cast, weight_kg=Decimal(60), measured_on=TODAY - DAY)
        record(eater, cast, weight_kg=Decimal(61))
        assert MeasuresRow.objects.filter(eater=eater).count() == 2
        assert latest_measures(eater).weight_kg == 61

    def test_the_latest_day_counts_and_of_one_day_the_last_word(self, cast, eater):
        record(eater, cast, weight_kg=Decimal(61))
        record(eater, cast, weight_kg=Decimal(60), measured_on=TODAY - DAY, at=NOON + DAY)
        assert latest_measures(eater).weight_kg == 61
        record(eater, cast, weight_kg=Decimal(62), at=NOON + 2 * DAY)
        assert latest_measures(eater).weight_kg == 62

    def test_what_comes_back_is_what_went_in(self, cast, eater):
        measures = Measures(
            TODAY, US_KG, US_CM, Activity.ACTIVE, 20, Decimal("58.05982336"), Feeding.PARTLY_7_TO_12_MONTHS
        )
        measures_record(eater=eater, measures=measures, by=cast.coach, at=NOON)
        assert latest_measures(eater) == measures

    def test_the_same_again_writes_nothing(self, cast, eater):
        assert record(eater, cast, weight_kg=Decimal(60)) is not None
        assert record(eater, cast, weight_kg=Decimal(60)) is None

    def test_nothing_takes_back_what_is_held(self, cast, eater):
        record(eater, cast, weight_kg=Decimal(60))
        record(eater, cast, at=NOON + DAY)
        assert latest_measures(eater).is_empty

    @pytest.mark.parametrize(
        ("measures", "field"),
        [
            ({}, ""),
            ({"weight_kg": Decimal(60), "measured_on": TODAY + DAY}, "measured_on"),
            ({"weight_kg": Decimal(60), "measured_on": date(1980, 1, 1)}, "measured_on"),
            ({"weight_kg": Decimal("0.2")}, "weight_kg"),
            ({"height_cm": Decimal("1.7")}, "height_cm"),
            ({"pregnancy_week": 46}, "pregnancy_week"),
        ],
    )
    def test_what_cannot_be_is_refused_and_nothing_written(self, cast, eater, measures, field):
        with pytest.raises(Refused) as refused:
            record(eater, cast, **measures)
        assert [problem.field for problem in refused.value.problems] == [field]
        assert not MeasuresRow.objects.exists()

    @pytest.mark.parametrize(
        "measures",
        [
            {"weight_kg": Decimal("0.2")},
            {"height_cm": Decimal(300)},
            {"pregnancy_week": 46},
            {"weight_before_kg": 10},
        ],
    )
    def test_the_database_refuses_them_too(self, eater, measures):
        with pytest.raises(IntegrityError), transaction.atomic():
            MeasuresRow.objects.create(eater=eater, measured_on=TODAY, recorded_at=NOON, **measures)


class TestPage:
    def test_measures_are_saved_shown_and_told_to_be_optional(self, eater, sign_in):
        browser = sign_in("coach")
        assert "Optional, and used only to compute" in page_of(browser, eater)
        response = browser.post(reverse("eater_measures", args=[eater.pk]), METRIC)
        assert response["Location"] == reverse("eater_measures", args=[eater.pk])
        page = page_of(browser, eater)
        assert "10 June 2026: Weight 62.5 kg; Height 165 cm; How active Low active" in page
        assert 'value="62.5"' in page

    def test_a_practice_of_us_units_asks_for_pounds_and_feet(self, cast, eater, sign_in):
        cast.practice.units = "us"
        cast.practice.save(update_fields=["units"])
        browser = sign_in("coach")
        browser.post(reverse("eater_measures", args=[eater.pk]), US)
        assert latest_measures(eater).weight_kg == US_KG
        page = page_of(browser, eater)
        assert "Weight 137.8 lb; Height 5 ft 5 in" in page
        assert "Weight, lb" in page and "Height, feet" in page

    def test_a_slip_keeps_what_was_typed_and_changes_nothing(self, eater, sign_in):
        page = page_of(sign_in("coach"), eater, METRIC | {"height_cm": "1.65"})
        assert "1.70 m is 170" in page
        assert 'value="1.65"' in page and 'value="62.5"' in page
        assert not MeasuresRow.objects.exists()

    def test_a_refusal_stands_beside_its_field(self, eater, sign_in):
        page = page_of(sign_in("coach"), eater, METRIC | {"measured_on": (TODAY + DAY).isoformat()})
        assert "This day is still to come." in page
        assert "Nothing is filled in." in page_of(sign_in("coach"), eater, {"measured_on": TODAY.isoformat()})

    @pytest.mark.parametrize(
        ("answers", "asked", "not_asked"),
        [
            ({"pregnant": True}, "Week of the pregnancy", "What the child gets"),
            ({"breastfeeding": True}, "What the child gets", "Week of the pregnancy"),
            ({"pregnant": True, "breastfeeding": True}, "no equation is published", "Week of the pregnancy"),
            ({}, "How active", "Week of the pregnancy"),
        ],
    )
    def test_only_what_the_screening_calls_for_is_asked(self, eater, sign_in, answers, asked, not_asked):
        eater.answers = answers
        eater.save(update_fields=["answers"])
        page = page_of(sign_in("coach"), eater)
        assert asked.lower() in page.lower()
        assert not_asked not in page

    def test_an_assistant_is_never_asked_for_them_nor_shown_any(self, cast, eater, sign_in):
        record(eater, cast, weight_kg=Decimal("62.5"))
        browser = sign_in("assistant")
        url = reverse("eater_measures", args=[eater.pk])
        assert browser.get(url).status_code == browser.post(url, METRIC).status_code == 404
        household = browser.get(reverse("household", args=[eater.household_id])).content.decode()
        assert url not in household and "62.5" not in household
        of_the_coach = sign_in("coach").get(reverse("household", args=[eater.household_id])).content.decode()
        assert url in of_the_coach

    def test_a_longer_history_asks_no_more_of_the_database(
        self, cast, eater, sign_in, django_assert_max_num_queries
    ):
        browser = sign_in("coach")
        record(eater, cast, weight_kg=Decimal(60))
        page_of(browser, eater)
        with django_assert_max_num_queries(100) as few:
            page_of(browser, eater)
        for days in range(1, 8):
            record(eater, cast, weight_kg=Decimal(60 + days), measured_on=TODAY - days * DAY)
        with django_assert_max_num_queries(len(few.captured_queries)):
            page_of(browser, eater)


@pytest.mark.parametrize(
    ("kg", "metric", "us"),
    [("62.5", "62.5 kg", "137.8 lb"), ("60", "60 kg", "132.3 lb"), ("3.25", "3.3 kg", "7.2 lb")],
)
def test_a_weight_is_rounded_for_show(kg, metric, us):
    assert weight_words(Decimal(kg), System.METRIC) == metric
    assert weight_words(Decimal(kg), System.US) == us


@pytest.mark.parametrize(
    ("cm", "metric", "us"), [("165.1", "165.1 cm", "5 ft 5 in"), ("182.87", "182.9 cm", "6 ft 0 in")]
)
def test_a_height_is_rounded_before_it_is_parted_into_feet(cm, metric, us):
    assert height_words(Decimal(cm), System.METRIC) == metric
    assert height_words(Decimal(cm), System.US) == us


def test_only_what_is_known_is_said():
    assert measure_words(Measures(TODAY), System.METRIC) == []
    said = measure_words(
        Measures(TODAY, pregnancy_week=20, feeding=Feeding.ONLY_0_TO_6_MONTHS), System.METRIC
    )
    assert [pair["value"] for pair in said] == ["week 20", "Breast milk only, first six months"]

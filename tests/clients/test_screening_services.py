"""Cautions follow the answers; a clinician's word is written down once, for what was known then."""

from datetime import timedelta
from decimal import Decimal

import pytest

from clients.models import Caution, SignOff
from clients.services.screening import screening_record, sign_off_record, sign_offs_record
from coaching.domain.errors import Refused
from coaching.practice.models import AuditEntry
from tests.factories import NOON, TODAY, CautionFactory

FIRST, STOP, TELL = (
    Caution.Strength.CLINICIAN_FIRST,
    Caution.Strength.DO_NOT_START,
    Caution.Strength.TELL,
)


@pytest.fixture
def eater(cast):
    return cast.household.eaters.get()


def sign(caution: Caution, by, **changes) -> SignOff:
    values = {"clinician": "Dr. Ash", "profession": "Family doctor", "agreed_on": TODAY, "note": "Fine."}
    return sign_off_record(caution=caution, by=by, at=NOON, **values | changes)


def standing(eater) -> dict[str, str]:
    rows = Caution.objects.filter(eater=eater, lifted_at__isnull=True)
    return {row.rule: row.strength for row in rows}


def test_answers_raise_cautions_and_are_kept(cast, eater):
    screening_record(
        eater=eater, answers={"warfarin": True, "weight-kg": Decimal("71.5")}, by=cast.coach, at=NOON
    )
    assert standing(eater) == {"warfarin": TELL}
    eater.refresh_from_db()
    assert eater.answers == {"warfarin": True, "weight-kg": "71.5"}
    entry = AuditEntry.objects.get()
    assert entry.action == "screening recorded"
    assert "warfarin" not in str(entry.facts)


def test_new_answers_lift_what_no_longer_holds_and_keep_what_does(cast, eater):
    both = screening_record(
        eater=eater, answers={"warfarin": True, "kidney-disease": True}, by=cast.coach, at=NOON
    )
    later = NOON + timedelta(days=3)
    one = screening_record(
        eater=eater, answers={"kidney-disease": True, "asthma": True}, by=cast.coach, at=later
    )
    assert standing(eater) == {"kidney-disease": FIRST, "asthma": TELL}
    assert Caution.objects.get(rule="warfarin").lifted_at == later
    kidney = next(row for row in both if row.rule == "kidney-disease")
    assert kidney.pk in {row.pk for row in one}


def test_a_caution_on_the_same_facts_keeps_its_sign_off(cast, eater):
    screening_record(eater=eater, answers={"kidney-disease": True}, by=cast.coach, at=NOON)
    sign(Caution.objects.get(), cast.coach)
    screening_record(eater=eater, answers={"kidney-disease": True, "asthma": True}, by=cast.coach, at=NOON)
    assert Caution.objects.get(rule="kidney-disease").sign_off.clinician == "Dr. Ash"


def test_other_facts_need_another_word_of_the_clinician(cast, eater):
    figures = {"height-cm": Decimal(175), "weight-kg": Decimal(56)}
    screening_record(eater=eater, answers=figures, by=cast.coach, at=NOON)
    underweight = Caution.objects.get(rule="underweight")
    sign(underweight, cast.coach)
    screening_record(eater=eater, answers=figures | {"weight-kg": Decimal(54)}, by=cast.coach, at=NOON)
    underweight.refresh_from_db()
    assert underweight.lifted_at == NOON
    fresh = Caution.objects.get(rule="underweight", lifted_at__isnull=True)
    assert not SignOff.objects.filter(caution=fresh).exists()


def test_a_sign_off_is_recorded_with_who_wrote_it_down(cast, eater):
    caution = CautionFactory(eater=eater, rule="kidney-disease", strength=FIRST)
    signed = sign(caution, cast.coach, clinician="  Dr. Ash ")
    assert (signed.clinician, signed.recorded_by, signed.recorded_at) == ("Dr. Ash", cast.coach.user, NOON)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"clinician": " "}, "clinician"),
        ({"profession": ""}, "profession"),
        ({"agreed_on": TODAY + timedelta(days=1)}, "agreed_on"),
    ],
)
def test_a_sign_off_needs_a_name_a_profession_and_a_day_that_came(cast, eater, changes: dict, field: str):
    caution = CautionFactory(eater=eater, rule="kidney-disease", strength=FIRST)
    with pytest.raises(Refused) as refused:
        sign(caution, cast.coach, **changes)
    assert [problem.field for problem in refused.value.problems] == [field]
    assert not SignOff.objects.exists()
    assert sign(caution, cast.coach)


@pytest.mark.parametrize("strength", [STOP, TELL])
def test_only_clinician_first_is_signed_off(cast, eater, strength: str):
    with pytest.raises(Refused):
        sign(CautionFactory(eater=eater, strength=strength), cast.coach)


def test_a_lifted_caution_is_not_signed_off(cast, eater):
    with pytest.raises(Refused):
        sign(CautionFactory(eater=eater, strength=FIRST, lifted_at=NOON), cast.coach)


def test_a_caution_is_signed_off_once(cast, eater):
    caution = CautionFactory(eater=eater, strength=FIRST)
    sign(caution, cast.coach)
    with pytest.raises(Refused):
        sign(caution, cast.coach, clinician="Dr. Elm")
    assert SignOff.objects.get().clinician == "Dr. Ash"


def test_several_cautions_are_signed_off_together_or_not_at_all(cast, eater):
    one = CautionFactory(eater=eater, rule="kidney-disease", strength=FIRST)
    two = CautionFactory(eater=eater, rule="under-18", strength=FIRST)
    stop = CautionFactory(eater=eater, rule="pregnant", strength=STOP)
    word = {"clinician": "Dr. Ash", "profession": "Dietitian", "agreed_on": TODAY}
    with pytest.raises(Refused):
        sign_offs_record(cautions=[one, stop], **word, by=cast.coach, at=NOON)
    assert not SignOff.objects.exists()
    assert len(sign_offs_record(cautions=[one, two], **word, by=cast.coach, at=NOON)) == 2

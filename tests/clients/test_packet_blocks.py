"""What keeps a household from weeks and packets."""

import pytest

from clients.models import Caution, Consent, Enrolment, SignOff
from clients.selectors.cautions import packet_blocks
from clients.wording.blocks import block_words
from coaching.practice.models import Practice
from tests.factories import NOON, TODAY, CautionFactory, CheckInFactory, EaterFactory

FIRST, STOP = Caution.Strength.CLINICIAN_FIRST, Caution.Strength.DO_NOT_START


@pytest.fixture
def household(cast):
    """A household nothing holds up."""
    client = cast.household.clients.get()
    Consent.objects.get_or_create(
        client=client, defaults={"text": "Coaching only.", "agreed_on": TODAY, "recorded_at": NOON}
    )
    return cast.household


def codes(household) -> list[str]:
    return [block.code for block in packet_blocks(household)]


def test_nothing_is_in_the_way(household):
    assert packet_blocks(household) == []


def test_a_practice_that_is_not_set_up(household):
    Practice.objects.filter(pk=household.practice_id).update(rules_checked_at=None)
    household.practice.refresh_from_db()
    assert codes(household) == ["not-set-up"]


def test_a_client_who_has_not_agreed(household):
    Consent.objects.all().delete()
    assert codes(household) == ["no-consent"]


def test_clinician_first_until_it_is_signed_off(household):
    caution = CautionFactory(eater=household.eaters.get(), rule="kidney-disease", strength=FIRST)
    [block] = packet_blocks(household)
    assert (block.code, block.rule, block.caution) == ("clinician-first", "kidney-disease", caution.pk)
    SignOff.objects.create(
        caution=caution, clinician="Dr. Ash", profession="Doctor", agreed_on=TODAY, recorded_at=NOON
    )
    assert codes(household) == []


def test_do_not_start_whatever_anyone_signed(household):
    caution = CautionFactory(eater=household.eaters.get(), rule="pregnant", strength=STOP)
    SignOff.objects.create(
        caution=caution, clinician="Dr. Ash", profession="Doctor", agreed_on=TODAY, recorded_at=NOON
    )
    assert codes(household) == ["do-not-start"]


def test_a_caution_that_only_tells_or_was_lifted_holds_nothing_up(household):
    eater = household.eaters.get()
    CautionFactory(eater=eater, rule="warfarin")
    CautionFactory(eater=eater, rule="pregnant", strength=STOP, lifted_at=NOON)
    assert codes(household) == []


def test_someone_who_follows_no_protocol_holds_nothing_up(household):
    CautionFactory(eater=EaterFactory(household=household), rule="infant", strength=STOP)
    assert codes(household) == []
    CautionFactory(eater=household.eaters.first(), rule="pregnant", strength=STOP)
    Enrolment.objects.update(state=Enrolment.State.ENDED)
    assert codes(household) == []


def test_a_protocol_on_hold_still_counts(household):
    CautionFactory(eater=household.eaters.get(), rule="pregnant", strength=STOP)
    Enrolment.objects.update(state=Enrolment.State.HELD)
    assert codes(household) == ["do-not-start"]


def test_an_open_red_flag_pauses_moving_on_and_not_the_kitchen(household):
    CheckInFactory(eater=household.eaters.get(), red_flags=["fever"])
    assert codes(household) == []


def test_every_block_is_a_sentence_that_says_what_to_do(household):
    eater = household.eaters.get()
    CautionFactory(eater=eater, rule="weight-loss", strength=FIRST, facts={"percent": "6.0"})
    CautionFactory(eater=eater, rule="pregnant", strength=STOP)
    Consent.objects.all().delete()
    household.practice.rules_checked_at = None
    sentences = [block_words(block, "112") for block in packet_blocks(household)]
    assert len(sentences) == 4
    assert any("6.0 %" in sentence and eater.name in sentence for sentence in sentences)


@pytest.mark.parametrize("eaters", [1, 12])
def test_the_same_few_questions_for_any_table(household, django_assert_num_queries, eaters: int):
    for _ in range(eaters):
        CautionFactory(eater=EaterFactory(household=household), rule="pregnant", strength=STOP)
    with django_assert_num_queries(2):  # consent, cautions
        packet_blocks(household)

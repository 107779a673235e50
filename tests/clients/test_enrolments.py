"""Stages change by a coach's decision only, one open spell at a time, and never past a caution."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from clients.models import Caution, Enrolment, SignOff, Spell
from clients.services import enrolments as services
from coaching.domain.errors import Refused
from coaching.practice.models import AuditEntry
from tests.factories import (
    NOON,
    TODAY,
    CautionFactory,
    CheckInFactory,
    EaterFactory,
    EnrolmentFactory,
    ProtocolFactory,
    ProtocolVersionFactory,
)

FIRST, STOP = Caution.Strength.CLINICIAN_FIRST, Caution.Strength.DO_NOT_START
LEAST_DAYS = 5
"""Of the first stage of the small protocol."""


@pytest.fixture
def enrolment(cast) -> Enrolment:
    """In the first stage since eight days."""
    return Enrolment.objects.get(eater__household=cast.household)


def open_spell(enrolment: Enrolment) -> Spell:
    return enrolment.spells.get(ended_on__isnull=True)


def begun(enrolment: Enrolment, days_ago: int) -> None:
    enrolment.spells.update(began_on=TODAY - timedelta(days=days_ago))


def move_on(enrolment: Enrolment, by, **more) -> Spell:
    seen = more.pop("seen", None) or open_spell(enrolment).pk
    return services.stage_move_on(enrolment=enrolment, seen=seen, by=by, at=NOON, **more)


def refusals(call, **arguments) -> list[str]:
    with pytest.raises(Refused) as refused:
        call(**arguments)
    assert all(problem.fix for problem in refused.value.problems)
    return [problem.message for problem in refused.value.problems]


def test_moving_on_closes_one_spell_and_opens_the_next_today(cast, enrolment):
    before = open_spell(enrolment)
    after = move_on(enrolment, cast.coach)
    before.refresh_from_db()
    assert (before.ended_on, after.stage, after.began_on, after.ended_on) == (TODAY, "second", TODAY, None)
    assert AuditEntry.objects.get().facts == {"stage": "second"}


@pytest.mark.parametrize(("days", "needs_reason"), [(0, True), (LEAST_DAYS - 1, True), (LEAST_DAYS, False)])
def test_before_the_least_days_a_reason_is_asked_for(cast, enrolment, days: int, needs_reason: bool):
    begun(enrolment, days)
    if needs_reason:
        with pytest.raises(Refused) as refused:
            move_on(enrolment, cast.coach, reason="  ")
        assert [problem.field for problem in refused.value.problems] == ["reason"]
    spell = move_on(enrolment, cast.coach, reason="Travels tomorrow" if needs_reason else "")
    assert spell.stage == "second"
    assert spell.began_why == ("Travels tomorrow" if needs_reason else "Moved on")


@pytest.mark.parametrize("strength", [FIRST, STOP])
def test_a_standing_caution_blocks_moving_on(cast, enrolment, strength: str):
    CautionFactory(eater=enrolment.eater, rule="kidney-disease", strength=strength)
    assert len(refusals(move_on, enrolment=enrolment, by=cast.coach, reason="Please")) == 1
    assert open_spell(enrolment).stage == "first"


def test_a_signed_off_or_lifted_or_telling_caution_does_not(cast, enrolment):
    signed = CautionFactory(eater=enrolment.eater, rule="kidney-disease", strength=FIRST)
    SignOff.objects.create(
        caution=signed, clinician="Dr. Ash", profession="Doctor", agreed_on=TODAY, recorded_at=NOON
    )
    CautionFactory(eater=enrolment.eater, rule="pregnant", strength=STOP, lifted_at=NOON)
    CautionFactory(eater=enrolment.eater, rule="warfarin")
    CautionFactory(eater=EaterFactory(household=cast.household), rule="pregnant", strength=STOP)
    assert move_on(enrolment, cast.coach).stage == "second"


def test_an_open_red_flag_blocks_moving_on_until_it_is_answered(cast, enrolment):
    flagged = CheckInFactory(eater=enrolment.eater, red_flags=["fever"])
    assert len(refusals(move_on, enrolment=enrolment, by=cast.coach)) == 1
    flagged.flags_answered_at = NOON
    flagged.save(update_fields=["flags_answered_at"])
    assert move_on(enrolment, cast.coach).stage == "second"


def test_nobody_moves_on_before_day_one_or_from_the_last_stage_or_on_hold(cast, enrolment):
    begun(enrolment, -3)
    assert refusals(move_on, enrolment=enrolment, by=cast.coach, reason="Please") == [
        "The stage has not begun yet."
    ]
    begun(enrolment, 8)
    services.enrolment_hold(enrolment=enrolment, reason="Flu", by=cast.coach, at=NOON)
    assert refusals(move_on, enrolment=enrolment, by=cast.coach) == ["The protocol is on hold."]
    services.enrolment_resume(enrolment=enrolment, by=cast.coach, at=NOON)
    move_on(enrolment, cast.coach)
    assert refusals(move_on, enrolment=enrolment, by=cast.coach, reason="Please") == [
        "This is the last stage."
    ]


def test_a_decision_on_what_is_no_longer_so_is_refused(cast, enrolment):
    seen = open_spell(enrolment).pk
    move_on(enrolment, cast.coach, seen=seen)
    assert refusals(move_on, enrolment=enrolment, by=cast.coach, seen=seen, reason="Again") == [
        "The stage changed while this page was open."
    ]
    assert enrolment.spells.count() == 2


def test_stepping_back_goes_to_an_earlier_stage_with_a_reason(cast, enrolment):
    move_on(enrolment, cast.coach)
    arguments = {"enrolment": enrolment, "by": cast.coach, "at": NOON}
    seen = open_spell(enrolment).pk
    for stage, reason in (("first", ""), ("second", "Cramps"), ("third", "Cramps")):
        with pytest.raises(Refused):
            services.stage_step_back(seen=seen, stage=stage, reason=reason, **arguments)
    spell = services.stage_step_back(seen=seen, stage="first", reason="Cramps", **arguments)
    assert (spell.stage, spell.began_why, spell.began_on) == ("first", "Cramps", TODAY)
    assert enrolment.spells.filter(ended_on__isnull=True).count() == 1


def test_stepping_back_is_allowed_while_a_caution_stands(cast, enrolment):
    move_on(enrolment, cast.coach)
    CautionFactory(eater=enrolment.eater, rule="pregnant", strength=STOP)
    seen = open_spell(enrolment).pk
    assert services.stage_step_back(
        enrolment=enrolment, seen=seen, stage="first", reason="Cramps", by=cast.coach, at=NOON
    )


def test_a_hold_needs_a_reason_and_is_resumed_once(cast, enrolment):
    arguments = {"enrolment": enrolment, "by": cast.coach, "at": NOON}
    assert refusals(services.enrolment_hold, reason=" ", **arguments) == ["The reason is missing."]
    held = services.enrolment_hold(reason="Flu", **arguments)
    assert (held.state, held.held_since, held.held_why) == (Enrolment.State.HELD, TODAY, "Flu")
    assert refusals(services.enrolment_hold, reason="Flu", **arguments)
    resumed = services.enrolment_resume(**arguments)
    assert (resumed.state, resumed.held_since, resumed.held_why) == (Enrolment.State.ACTIVE, None, "")
    assert refusals(services.enrolment_resume, **arguments)
    assert open_spell(enrolment).stage == "first"


def test_an_ended_protocol_keeps_its_history_and_takes_no_decision(cast, enrolment):
    arguments = {"enrolment": enrolment, "by": cast.coach, "at": NOON}
    seen = open_spell(enrolment).pk
    assert refusals(services.enrolment_end, reason="", **arguments)
    ended = services.enrolment_end(reason="Moved away", **arguments)
    assert ended.state == Enrolment.State.ENDED
    assert enrolment.spells.get().ended_on == TODAY
    assert refusals(move_on, enrolment=enrolment, by=cast.coach, seen=seen)
    assert refusals(services.enrolment_end, reason="Again", **arguments)


def test_ending_before_day_one_ends_on_day_one(cast, enrolment):
    begun(enrolment, -3)
    services.enrolment_end(enrolment=enrolment, reason="Changed their mind", by=cast.coach, at=NOON)
    spell = enrolment.spells.get()
    assert spell.ended_on == spell.began_on


def test_day_one_moves_only_while_it_lies_ahead(cast, enrolment):
    arguments = {"enrolment": enrolment, "by": cast.coach, "at": NOON}
    assert refusals(services.day_one_change, start_on=TODAY + timedelta(days=9), **arguments) == [
        "Day one has come."
    ]
    Enrolment.objects.update(start_on=TODAY + timedelta(days=3))
    assert refusals(services.day_one_change, start_on=TODAY - timedelta(days=1), **arguments)
    services.day_one_change(start_on=TODAY + timedelta(days=9), **arguments)
    assert open_spell(enrolment).began_on == TODAY + timedelta(days=9)


@pytest.fixture
def newcomer(cast):
    """Somebody at the table who was screened and follows nothing."""
    return EaterFactory(household=cast.household, answers={"asthma": False})


def start(cast, eater, **changes) -> Enrolment:
    values = {"version": cast.version, "stage": "first", "start_on": TODAY} | changes
    return services.enrolment_start(eater=eater, by=cast.coach, at=NOON, **values)


def test_starting_opens_the_first_spell_on_day_one(cast, newcomer):
    started = start(cast, newcomer, start_on=TODAY + timedelta(days=14))
    spell = started.spells.get()
    assert (spell.stage, spell.began_on, spell.ended_on) == ("first", TODAY + timedelta(days=14), None)


@pytest.mark.parametrize(
    ("changes", "field"),
    [({"start_on": TODAY - timedelta(days=1)}, "start_on"), ({"stage": "third"}, "protocol")],
)
def test_a_past_day_one_and_an_unknown_stage_are_refused(cast, newcomer, changes: dict, field: str):
    with pytest.raises(Refused) as refused:
        start(cast, newcomer, **changes)
    assert [problem.field for problem in refused.value.problems] == [field]
    assert not newcomer.enrolments.exists()
    assert start(cast, newcomer)


def test_a_household_that_began_elsewhere_may_have_begun(cast, newcomer):
    assert start(cast, newcomer, start_on=TODAY - timedelta(days=30), may_have_begun=True)


def test_unpublished_and_foreign_versions_are_refused(cast, newcomer):
    draft = ProtocolVersionFactory(protocol=ProtocolFactory(practice=cast.practice), published_at=None)
    foreign = Enrolment.objects.get(eater__household=cast.foreign_household).version
    for version in (draft, foreign):
        assert refusals(start, cast=cast, eater=newcomer, version=version)


def test_one_protocol_at_a_time(cast, enrolment):
    enrolment.eater.answers = {"asthma": False}
    enrolment.eater.save(update_fields=["answers"])
    assert len(refusals(start, cast=cast, eater=enrolment.eater)) == 1


def test_nobody_starts_unscreened_or_while_do_not_start_holds(cast, newcomer):
    unscreened = EaterFactory(household=cast.household)
    assert len(refusals(start, cast=cast, eater=unscreened)) == 1
    caution = CautionFactory(eater=newcomer, rule="pregnant", strength=STOP)
    assert len(refusals(start, cast=cast, eater=newcomer)) == 1
    caution.lifted_at = NOON
    caution.save(update_fields=["lifted_at"])
    CautionFactory(eater=newcomer, rule="kidney-disease", strength=FIRST)
    assert start(cast, newcomer)


def test_today_is_the_households_own(cast, newcomer):
    """At noon in London it is already the next day on Kiritimati (UTC+14)."""
    client = cast.household.clients.get()
    client.time_zone = "Pacific/Kiritimati"
    client.save(update_fields=["time_zone"])
    assert refusals(start, cast=cast, eater=newcomer, start_on=TODAY) == ["Day one lies in the past."]
    assert start(cast, newcomer, start_on=TODAY + timedelta(days=1))


class Course(RuleBasedStateMachine):
    """Any order of decisions on any day: one open spell while the protocol is open, none after, no gap, no overlap."""

    def __init__(self) -> None:
        super().__init__()
        self.enrolment = EnrolmentFactory(
            version=Course.version, eater=EaterFactory(household=Course.household)
        )
        self.now = NOON
        self.cautions: list[Caution] = []

    @property
    def ended(self) -> bool:
        return Enrolment.objects.get(pk=self.enrolment.pk).state == Enrolment.State.ENDED

    def attempt(self, service, **more) -> bool:
        try:
            service(enrolment=self.enrolment, by=Course.coach, at=self.now, **more)
        except Refused:
            return False
        return True

    @rule(days=st.integers(0, 9))
    def time_passes(self, days: int) -> None:
        self.now += timedelta(days=days)

    @precondition(lambda self: not self.ended)
    @rule(reason=st.sampled_from(["", "Well"]), stale=st.booleans())
    def move_on(self, reason: str, stale: bool) -> None:
        spell = open_spell(self.enrolment)
        early = (self.now.date() - spell.began_on).days < LEAST_DAYS
        done = self.attempt(services.stage_move_on, seen=uuid4() if stale else spell.pk, reason=reason)
        assert not (done and (stale or (early and not reason) or self.barred()))

    @precondition(lambda self: not self.ended)
    @rule(stage=st.sampled_from(["first", "second", "third"]), reason=st.sampled_from(["", "Ill"]))
    def step_back(self, stage: str, reason: str) -> None:
        seen = open_spell(self.enrolment).pk
        self.attempt(services.stage_step_back, seen=seen, stage=stage, reason=reason)

    @rule(reason=st.sampled_from(["", "Ill"]))
    def hold(self, reason: str) -> None:
        self.attempt(services.enrolment_hold, reason=reason)

    @rule()
    def resume(self) -> None:
        self.attempt(services.enrolment_resume)

    @rule(strength=st.sampled_from([FIRST, STOP]))
    def a_caution_is_raised(self, strength: str) -> None:
        self.cautions.append(
            CautionFactory(eater=self.enrolment.eater, rule=f"rule-{len(self.cautions)}", strength=strength)
        )

    @precondition(lambda self: self.cautions)
    @rule()
    def a_caution_is_lifted(self) -> None:
        Caution.objects.filter(pk=self.cautions.pop().pk).update(lifted_at=self.now)

    @rule(reason=st.sampled_from(["", "", "", "Finished"]))
    def end(self, reason: str) -> None:
        self.attempt(services.enrolment_end, reason=reason)

    def barred(self) -> bool:
        return bool(self.cautions)

    @invariant()
    def one_open_spell_while_open_and_none_after(self) -> None:
        assert self.enrolment.spells.filter(ended_on__isnull=True).count() == (0 if self.ended else 1)

    @invariant()
    def spells_follow_each_other_without_gap_or_overlap(self) -> None:
        ends: list[date] = sorted(
            spell.ended_on for spell in self.enrolment.spells.all() if spell.ended_on is not None
        )
        begins = sorted(spell.began_on for spell in self.enrolment.spells.all())
        assert begins[1:] == (ends[: len(begins) - 1])


def test_any_order_of_decisions(cast):
    Course.version, Course.household, Course.coach = cast.version, cast.household, cast.coach
    run_state_machine_as_test(
        Course, settings=settings(max_examples=25, stateful_step_count=20, deadline=None)
    )

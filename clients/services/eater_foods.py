"""What an eater may eat on a day, and why: the engine's answers for every food of the book, and what opens next."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from uuid import UUID

from clients.domain.instructions import Instruction, words_of
from clients.models import Eater, Enrolment
from clients.selectors.instructions import instructions_of
from clients.services.briefs import eater_rules, open_enrolments, rulebooks, rules_on
from clients.wording.foods import AheadWords, FoodWords, ToCome, ahead_words, day_words, food_words
from coaching.practice.models import Practice
from plans.domain.allowance import EaterRules, day_allowances
from plans.domain.book import Food, Protocol, Stage
from plans.domain.brief import FoodAllowance
from plans.domain.opening import StageAhead, by_food, next_step, what_opens
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Allowance
from plans.selectors import foods_of, protocol_of


@dataclass(frozen=True)
class EaterFoods:
    """One eater's answers for the day ``on``. ``ahead`` counts from today on, whatever day is looked at."""

    eater: Eater
    enrolment: Enrolment | None
    protocol: Protocol | None
    book: RuleBook
    rules: EaterRules
    instructions: tuple[Instruction, ...]
    on: date
    today: date
    given: Mapping[str, FoodAllowance]
    ahead: tuple[StageAhead, ...]

    @property
    def foods(self) -> Mapping[str, Food]:
        return self.book.foods

    @property
    def stage(self) -> Stage | None:
        """The stage on the day; None before day one and without a protocol."""
        key = self.rules.stage_on(self.on)
        return self.protocol.stage(key) if self.protocol and key else None

    @property
    def is_held(self) -> bool:
        return self.enrolment is not None and self.enrolment.state == Enrolment.State.HELD

    @cached_property
    def stages(self) -> Mapping[str, Stage]:
        return {stage.key: stage for stage in self.protocol.stages} if self.protocol else {}

    @cached_property
    def _to_come(self) -> Mapping[str, ToCome]:
        return {
            food: ToCome(opening, self.stages.get(stage))
            for food, (stage, opening) in by_food(self.ahead).items()
        }

    @cached_property
    def _said(self) -> Mapping[str, str]:
        """Who asked for each food that is left out, by the food's name."""
        return {
            self.foods[food].name if food in self.foods else food: "; ".join(
                f"{one.said_by}, {day_words(one.said_on, beside=self.on)}" for one in said
            )
            for food, said in words_of(self.instructions, self.on).items()
        }

    def words(self, food: str, *, to_staff: bool) -> FoodWords:
        """One food in words. Only staff read which clinician asked to leave it out."""
        given = self.given[food]
        is_taste = given.allowance is Allowance.FIRST_TASTES and not given.untried
        return food_words(
            given,
            on=self.on,
            to_come=self._to_come.get(food),
            grows=next_step(self.book, self.rules, food, self.on) if is_taste else None,
            said=self._said if to_staff else None,
        )

    def ahead_words(self) -> tuple[AheadWords, ...]:
        """What opens next, in words that a client may read too."""
        return ahead_words(self.ahead, stages=self.stages, foods=self.foods, today=self.today)


def eaters_foods(
    eaters: Iterable[Eater], *, practice: Practice, on: date, today: date
) -> tuple[EaterFoods, ...]:
    """The answers for each eater of one household on a day, in a number of queries that does not grow.

    The stage that runs is taken to go on. Conditions are those in force on the day, for days to come those of today.
    """
    eaters = list(eaters)
    enrolments = open_enrolments(eaters)
    instructions = instructions_of(eaters)

    def rules_as_of(day: date) -> Mapping[UUID, EaterRules]:
        return eater_rules(eaters, enrolments, today=day, instructions=instructions)

    rules = rules_as_of(min(on, today))
    now = rules if on >= today else rules_as_of(today)
    books = rulebooks(enrolments.values(), foods_of(practice))
    return tuple(
        _answers(
            eater,
            enrolments.get(eater.pk),
            books,
            rules_on(rules[eater.pk], instructions[eater.pk], on),
            rules_on(now[eater.pk], instructions[eater.pk], today),
            instructions[eater.pk],
            on,
            today,
        )
        for eater in eaters
    )


def _answers(
    eater: Eater,
    enrolment: Enrolment | None,
    books: Mapping,
    rules: EaterRules,
    now: EaterRules,
    instructions: tuple[Instruction, ...],
    on: date,
    today: date,
) -> EaterFoods:
    protocol = protocol_of(enrolment.version) if enrolment else None
    book = books[enrolment.version_id if enrolment else None]
    return EaterFoods(
        eater=eater,
        enrolment=enrolment,
        protocol=protocol,
        book=book,
        rules=rules,
        instructions=instructions,
        on=on,
        today=today,
        given=day_allowances(book, rules, on),
        ahead=what_opens(book, protocol, now, today),
    )

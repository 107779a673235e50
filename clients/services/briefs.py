"""What a household asks of the planner: who eats, what each may have on each day, the kitchen, the book."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID

from clients.domain.check_in import CONDITION_DAYS, conditions_in_force
from clients.domain.instructions import Instruction, forbidden_on
from clients.domain.presence import away_from_record, away_on
from clients.domain.wants import wants_in_order
from clients.models import CheckIn, Eater, Enrolment, Household
from clients.models import Introduction as IntroductionRow
from clients.selectors.cautions import OPEN_STATES
from clients.selectors.instructions import instructions_of
from clients.services.brief_facts import contents_of, day_targets, kitchen_on, stored_in
from clients.services.check_ins import answers_of
from plans.domain.allowance import EaterRules, Introduction, day_allowances
from plans.domain.book import Food, Recipe
from plans.domain.brief import Brief, BriefEater, FoodAllowance
from plans.domain.limits import FLAGS
from plans.domain.records import form_of
from plans.domain.rulebook import RuleBook
from plans.selectors import book_of, protocol_of


def brief_for(household: Household, start: date, *, today: date, days: int = 7) -> Brief:
    """The brief of a household for consecutive days from ``start``.

    Every eater stays in the stage of the open spell; before day one, and without a protocol, everything is free save
    what age, condition and exclusions forbid. Conditions are those in force ``today``, when the week is asked for.
    """
    book = book_of(household.practice)
    foods = _foods_in_use(book.foods, book.recipes)
    eaters = list(household.eaters.order_by("position", "name", "pk"))
    enrolments = open_enrolments(eaters)
    instructions = instructions_of(eaters)
    rules = eater_rules(eaters, enrolments, today=today, instructions=instructions)
    compiled = rulebooks(enrolments.values(), book.foods)
    targets = day_targets(eaters, start)
    dates = [start + timedelta(days=day) for day in range(days)]
    return Brief(
        start=start,
        days=days,
        eaters=tuple(
            _eater(
                eater,
                compiled[enrolments[eater.pk].version_id if eater.pk in enrolments else None],
                [(on, rules_on(rules[eater.pk], instructions[eater.pk], on)) for on in dates],
                foods,
                enrolments.get(eater.pk),
                targets[eater.pk],
            )
            for eater in eaters
        ),
        foods=foods,
        recipes=book.recipes,
        kitchen=kitchen_on(household, dates),
        stores=stored_in(household, foods, start, today=today),
        contents=contents_of(book),
        wants=wants_in_order(household.wants),
    )


def open_enrolments(eaters: Iterable[Eater]) -> dict[UUID, Enrolment]:
    """The open enrolment of each eater that has one, with its version and spells."""
    rows = (
        Enrolment.objects.filter(eater__in=eaters, state__in=OPEN_STATES)
        .select_related("version__protocol")
        .prefetch_related("spells")
    )
    return {enrolment.eater_id: enrolment for enrolment in rows}


def eater_rules(
    eaters: Iterable[Eater],
    enrolments: Mapping[UUID, Enrolment],
    *,
    today: date,
    instructions: Mapping[UUID, tuple[Instruction, ...]] | None = None,
) -> dict[UUID, EaterRules]:
    """What decides each eater's allowances, as it stands today; ``rules_on`` says what clinicians ask on other days.

    ``instructions`` are read unless they are at hand already.
    """
    eaters = list(eaters)
    if instructions is None:
        instructions = instructions_of(eaters)
    reports: dict[UUID, list] = {eater.pk: [] for eater in eaters}
    recent = today - timedelta(days=CONDITION_DAYS)
    for check_in in CheckIn.objects.filter(eater__in=eaters, on__gt=recent, on__lte=today):
        reports[check_in.eater_id].append((check_in.on, answers_of(check_in)))
    introductions: dict[UUID, list[Introduction]] = {eater.pk: [] for eater in eaters}
    for row in IntroductionRow.objects.filter(eater__in=eaters).order_by("first_day", "food", "pk"):
        introductions[row.eater_id].append(_introduction(row))
    return {
        eater.pk: EaterRules(
            born=eater.born,
            sex=eater.sex,
            flags=frozenset(flag for flag in FLAGS if eater.answers.get(flag) is True),
            allergies=frozenset(eater.allergies),
            excluded=frozenset(eater.excluded),
            stages=_stages(enrolments.get(eater.pk)),
            conditions=conditions_in_force(reports[eater.pk], today),
            introductions=tuple(introductions[eater.pk]),
            forbidden=forbidden_on(instructions[eater.pk], today),
        )
        for eater in eaters
    }


def rules_on(rules: EaterRules, instructions: Iterable[Instruction], on: date) -> EaterRules:
    """An eater's rules with what clinicians leave out on a day."""
    return replace(rules, forbidden=forbidden_on(instructions, on))


def _introduction(row: IntroductionRow) -> Introduction:
    return Introduction(
        food=row.food,
        form=form_of(row.form),
        first_day=row.first_day,
        watch_until=row.watch_until,
        outcome=row.outcome,
        left_out_until=row.left_out_until,
    )


def _stages(enrolment: Enrolment | None) -> tuple[tuple[date, str], ...]:
    """(from, stage) of every spell; the open one, which has no end, counts on.

    A stage that the version lacks was left when the eater was moved to it: the days spent there count for the stage
    they came to, which is never beyond their place.
    """
    if enrolment is None:
        return ()
    spells = sorted(enrolment.spells.all(), key=lambda spell: (spell.began_on, spell.ended_on or date.max))
    known = {stage.key for stage in protocol_of(enrolment.version).stages}
    stages: list[tuple[date, str]] = []
    for spell in reversed(spells):
        stages.append((spell.began_on, spell.stage if spell.stage in known else stages[-1][1]))
    return tuple(reversed(stages))


def rulebooks(enrolments: Iterable[Enrolment], foods: Mapping[str, Food]) -> dict[UUID | None, RuleBook]:
    """A compiled rule book for each version in use, and under None the one of those who follow none."""
    versions = {enrolment.version_id: enrolment.version for enrolment in enrolments}
    compiled = {
        pk: RuleBook.compile(protocol_of(version), foods.values()) for pk, version in versions.items()
    }
    return {None: RuleBook.compile(None, foods.values()), **compiled}


def _foods_in_use(foods: Mapping[str, Food], recipes: Iterable[Recipe]) -> dict[str, Food]:
    """The foods that some recipe uses or makes: nothing else can come to the table."""
    used = {line.food for recipe in recipes for line in recipe.ingredients} | {
        recipe.makes for recipe in recipes
    }
    return {key: foods[key] for key in sorted(used) if key in foods}


def _eater(
    eater: Eater,
    book: RuleBook,
    rules: Sequence[tuple[date, EaterRules]],
    foods: Mapping[str, Food],
    enrolment: Enrolment | None,
    targets: Mapping[str, float],
) -> BriefEater:
    days: list[dict[str, FoodAllowance]] = []
    for on, held in rules:
        allowances = day_allowances(book, held, on)
        days.append({key: allowances[key] for key in foods})
    return BriefEater(
        key=str(eater.pk),
        name=eater.name,
        appetite=eater.appetite,
        born=eater.born,
        days=tuple(days),
        leaning=eater.leaning,
        dislikes=frozenset(eater.dislikes),
        follows="" if enrolment is None else str(enrolment.version),
        away=away_on(away_from_record(eater.away), (on for on, _ in rules)),
        targets=targets,
    )

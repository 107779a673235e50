"""What one eater may eat on one day, and why: the row of the stage and the steps that follow it.

The order is the rule of the house, *strictest wins*: the rule of the stage on that date; introductions; modifiers for
conditions in force; exclusions; limits of age and condition; clinician instructions. An introduction may open exactly
one food in one form, for eating and for flavouring; every step after it can only tighten. The reason that decides
stands first.

Modifiers come after introductions because a condition is of today, and what was tolerated or begun before it says
nothing of how the food sits now: the pause, or the care that is asked, wins for eating. The introduction itself goes
on: its watch days are not moved, and other new foods still wait for them.

First tastes step up by days from the first day of the food's own introduction. Without one that is open or went well
they stand at the first amount and are *untried*: ready to be introduced, but in no dish. While an introduction is
watched, other foods that were never introduced wait: one unknown at a time.

A planned challenge of the stage gives its dose on each dose day, whatever the row of the stage gives, and nothing of
its food on washout days. A food that was tolerated stays open in its form, unless the eater is in a stage whose planned
challenges include it: there the background diet stays as it is until all are tested (Tuck and Barrett, Journal of
Gastroenterology and Hepatology, 2017). A reaction leaves out the food and all that contains it until
``left_out_until``, or for good; what earlier introductions had opened it does not open again.
"""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from plans.domain.book import Challenge, Form
from plans.domain.brief import FoodAllowance, Reason
from plans.domain.limits import MILK_ONLY_BELOW_MONTHS, concerns, younger_than
from plans.domain.quantities import grams
from plans.domain.records import form_text, number_text
from plans.domain.rulebook import RuleBook, forms_text
from plans.domain.tighten import barred, meets, noted, tightened
from plans.domain.vocabulary import Allowance

NO_PROTOCOL = FoodAllowance(Allowance.FREELY, reasons=(Reason("no-protocol", {}),))
_EATEN = (Allowance.AS_PREPARED, Allowance.FREELY)


@dataclass(frozen=True, slots=True)
class Introduction:
    """One new food in one form. ``outcome`` is open, tolerated, reacted or unclear; the last watch day counts."""

    food: str
    form: Form
    first_day: date
    watch_until: date
    outcome: str = "open"
    left_out_until: date | None = None


@dataclass(frozen=True, slots=True)
class EaterRules:
    """What decides an eater's allowances.

    ``stages`` are (from, stage key), oldest first; an empty key means that no protocol is followed from then on.
    ``flags`` are words of ``limits.FLAGS``, ``allergies`` allergen families, ``excluded`` and ``forbidden`` food keys:
    left out by choice and by a clinician's instruction.
    """

    born: date
    sex: str = "unstated"
    flags: frozenset[str] = frozenset()
    allergies: frozenset[str] = frozenset()
    excluded: frozenset[str] = frozenset()
    stages: tuple[tuple[date, str], ...] = ()
    conditions: frozenset[str] = frozenset()
    introductions: tuple[Introduction, ...] = ()
    forbidden: frozenset[str] = frozenset()

    def stage_on(self, on: date) -> str:
        """The stage on a day; empty before the first and when no protocol is followed."""
        stage = ""
        for begun, key in self.stages:
            if begun > on:
                break
            stage = key
        return stage


def allowance(book: RuleBook, rules: EaterRules, food: str, form: Form | None, on: date) -> FoodAllowance:
    """What an eater may do with one food on one day. A ``form`` that is not open makes it *not yet*, saying why.

    Raises KeyError for a food or stage that is not in the book.
    """
    if food not in book.foods:
        raise KeyError(food)
    given = _Day(book, rules, on).answer(food)
    if form is None or given.allowance is Allowance.NOT_YET:
        return given
    for forms in (given.forms, given.flavour_forms if given.allowance is Allowance.FLAVOUR_ONLY else ()):
        if not meets(form, forms):
            return barred(given, Reason("form-not-open", {"forms": forms_text(forms)}))
    return given


def day_allowances(book: RuleBook, rules: EaterRules, on: date) -> dict[str, FoodAllowance]:
    """The allowances of every food of the book on one day, by food key. Raises KeyError for an unknown stage."""
    return _Day(book, rules, on).answers()


class _Day:
    """One eater on one day. Each underscored step takes what the step before it gave."""

    def __init__(self, book: RuleBook, rules: EaterRules, on: date) -> None:
        self.book = book
        self.rules = rules
        self.on = on
        self.stage = rules.stage_on(on)
        self.rows = book.stages[self.stage] if self.stage else None
        begun = [tried for tried in rules.introductions if tried.first_day <= on]
        self.begun = sorted(begun, key=lambda tried: (tried.first_day, tried.food, sorted(tried.form)))
        self.watched = [tried for tried in self.begun if tried.outcome == "open" and on <= tried.watch_until]
        self.conditions = sorted(rules.conditions & book.modifiers.keys()) if self.rows else []
        self.limits = [limit for limit in book.limited if concerns(limit, rules.born, rules.flags, on)]
        self.milk_only = younger_than(rules.born, on, months=MILK_ONLY_BELOW_MONTHS)

    def answers(self) -> dict[str, FoodAllowance]:
        """Every food: the bare row of the stage where nothing else can matter, all steps where it can."""
        if self.rows is None:
            day = dict.fromkeys(self.book.foods, NO_PROTOCOL)
        else:
            day = {key: row.given for key, row in self.rows.items()}
        for key in self._touched():
            day[key] = self.answer(key)
        return day

    def answer(self, food: str) -> FoodAllowance:
        """One food, step by step."""
        given = self._at_stage(food)
        given = self._introduced(food, given)
        given = self._modified(food, given)
        given = self._excluded(food, given)
        given = self._limited(food, given)
        return self._instructed(food, given)

    def _touched(self) -> set[str]:
        book, rules = self.book, self.rules
        if self.milk_only:
            return set(book.foods)
        touched = {key for key, row in (self.rows or {}).items() if row.steps}
        for condition in self.conditions:
            touched.update(book.modifiers[condition])
        for key in (*rules.excluded, *rules.forbidden, *(tried.food for tried in rules.introductions)):
            touched.update(book.used_in.get(key, ()))
        if rules.allergies:
            touched.update(
                key for key, food in book.foods.items() if not rules.allergies.isdisjoint(food.families)
            )
        for limit in self.limits:
            touched.update(book.limited[limit])
        return touched & book.foods.keys()

    def _at_stage(self, food: str) -> FoodAllowance:
        if self.rows is None:
            return NO_PROTOCOL
        row = self.rows[food]
        if row.steps is None:
            return row.given
        if self.watched and all(tried.food != food for tried in self.begun):
            waiting = self.watched[0]
            facts = {"food": self._name(waiting.food), "until": waiting.watch_until.isoformat()}
            return barred(row.given, Reason("one-at-a-time", facts))
        begun = [tried.first_day for tried in self._tries(food)[1]]
        most_g = row.steps.on_day((self.on - max(begun)).days if begun else 0)
        (why,) = row.given.reasons
        code = why.code if begun else "first-tastes-untried"
        today = Reason(code, {**why.facts, "most_g": number_text(most_g)})
        return FoodAllowance(Allowance.FIRST_TASTES, row.given.forms, most_g, (today,), untried=not begun)

    def _introduced(self, food: str, given: FoodAllowance) -> FoodAllowance:
        """What introductions left out or opened, in the order they were begun: a later one overrules."""
        kept_out, went_well = self._tries(food)
        most_g = given.most_g  # a reaction takes the cap of a first taste away: a later try is under it again
        if kept_out:
            given = barred(given, self._left_out(kept_out))
        challenges = self._challenges(food)
        dosed = None
        for tried in went_well:
            if challenges and tried.outcome == "tolerated":
                continue
            if tried.form in challenges:
                dosed = tried
            else:
                given = self._open(given, tried, most_g)
        return self._dosed(given, dosed, challenges[dosed.form]) if dosed else given

    def _tries(self, food: str) -> tuple[Introduction | None, list[Introduction]]:
        """The reaction that keeps a food out today, and its introductions that are open or went well, but for those
        before a reaction."""
        kept_out = None
        went_well: list[Introduction] = []
        for tried in self.begun:
            if tried.outcome == "reacted" and food in self.book.used_in.get(tried.food, ()):
                went_well = []
                if tried.left_out_until is None or self.on < tried.left_out_until:
                    kept_out = tried
            elif tried.food == food and (tried.outcome == "tolerated" or tried in self.watched):
                went_well.append(tried)
        return kept_out, went_well

    def _open(self, given: FoodAllowance, tried: Introduction, most_g: Decimal | None) -> FoodAllowance:
        """The food also in the form that is tried, if it was not open in it already."""
        if given.allowance in _EATEN and meets(tried.form, given.forms):
            return given
        reasons = (self._trying(tried), *given.reasons)
        if given.allowance is Allowance.NOT_YET and tried.outcome == "open":
            return FoodAllowance(Allowance.FIRST_TASTES, (tried.form,), most_g, reasons)
        if given.allowance is Allowance.FIRST_TASTES:
            return replace(given, forms=_joined(given.forms, tried.form), reasons=reasons)
        forms = _joined(given.forms, tried.form) if given.allowance in _EATEN else (tried.form,)
        flavours = given.forms if given.allowance is Allowance.FLAVOUR_ONLY else given.flavour_forms
        closed = given.allowance is Allowance.NOT_YET
        flavour_forms = (tried.form,) if closed else _joined(flavours, tried.form)
        return FoodAllowance(Allowance.AS_PREPARED, forms, most_g, reasons, flavour_forms=flavour_forms)

    def _challenges(self, food: str) -> dict[Form, Challenge]:
        """The planned challenges of a food at the stage of the day, by their forms."""
        return {
            challenge.form: challenge
            for challenge in self.book.challenges
            if challenge.stage == self.stage and challenge.food == food
        }

    def _dosed(self, given: FoodAllowance, tried: Introduction, challenge: Challenge) -> FoodAllowance:
        """The day's dose of a planned challenge; nothing on its washout days. A dose nobody can weigh is none."""
        day = (self.on - tried.first_day).days
        if day >= challenge.dose_days:
            return barred(given, Reason("washout", {"until": tried.watch_until.isoformat()}))
        quantity, unit = challenge.doses[min(day, len(challenge.doses) - 1)]
        dose_g = grams(quantity, unit, self.book.foods[tried.food]) or Decimal(0)
        eaten = given.allowance is Allowance.FIRST_TASTES or given.allowance in _EATEN
        forms = _joined(given.forms, tried.form) if eaten else (tried.form,)
        return FoodAllowance(Allowance.FIRST_TASTES, forms, dose_g, (self._trying(tried), *given.reasons))

    def _trying(self, tried: Introduction) -> Reason:
        facts: dict[str, str | int] = {
            "form": form_text(tried.form),
            "first_day": tried.first_day.isoformat(),
            "until": tried.watch_until.isoformat(),
        }
        return Reason("tolerated" if tried.outcome == "tolerated" else "introduction", facts)

    def _modified(self, food: str, given: FoodAllowance) -> FoodAllowance:
        for condition in self.conditions:
            for asked in self.book.modifiers[condition].get(food, ()):
                given = tightened(given, asked)
        return given

    def _excluded(self, food: str, given: FoodAllowance) -> FoodAllowance:
        for family in sorted(self.rules.allergies & self.book.foods[food].families):
            given = barred(given, Reason("allergy", {"family": family}))
        for part in sorted(self.rules.excluded & self.book.made_of[food]):
            given = barred(given, Reason("excluded", {"food": self._name(part)}))
        return given

    def _limited(self, food: str, given: FoodAllowance) -> FoodAllowance:
        if self.milk_only:
            return barred(given, Reason("milk-only", {"months": MILK_ONLY_BELOW_MONTHS}))
        for limit in self.limits:
            if food not in self.book.limited[limit]:
                continue
            reason = Reason(limit.code, {"forms": forms_text(limit.forms)} if limit.forms else {})
            if limit.notice:
                given = noted(given, reason)
            elif limit.forms:
                flavour_forms = limit.forms if limit.stays_behind else ()
                asked = FoodAllowance(
                    Allowance.FREELY, limit.forms, reasons=(reason,), flavour_forms=flavour_forms
                )
                given = tightened(given, asked)
            else:
                given = barred(given, reason)
        return given

    def _instructed(self, food: str, given: FoodAllowance) -> FoodAllowance:
        for part in sorted(self.rules.forbidden & self.book.made_of[food]):
            given = barred(given, Reason("clinician", {"food": self._name(part)}))
        return given

    def _left_out(self, tried: Introduction) -> Reason:
        facts: dict[str, str | int] = {"food": self._name(tried.food), "tried": tried.first_day.isoformat()}
        if tried.left_out_until is None:
            return Reason("reacted", facts)
        return Reason("left-out", facts | {"until": tried.left_out_until.isoformat()})

    def _name(self, food: str) -> str:
        return self.book.foods[food].name if food in self.book.foods else food


def _joined(forms: tuple[Form, ...], form: Form) -> tuple[Form, ...]:
    """These forms and one more. None of them stand for any form, which leaves nothing to add."""
    return tuple(dict.fromkeys((*forms, form))) if forms else ()

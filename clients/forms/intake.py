"""A new client, step by step. Each step is drawn from what was typed so far, and says what is still wrong with it.

What is typed is kept as lists of text by field name, per step, so that a draft shows again exactly what was typed.
"""

import re
from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import Any, ClassVar

from django import forms
from django.utils.datastructures import MultiValueDict
from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clients.domain.naming import FoodName
from clients.domain.people import MOST_EATERS, NewClient, NewEater, NewHousehold
from clients.domain.questions import Answers, Person
from clients.domain.screening import Caution, Strength, screen, strongest
from clients.forms.enrolments import ConsentForm, EnrolmentForm, place_choices
from clients.forms.exclusions import ExclusionsForm
from clients.forms.kitchen import KitchenForm
from clients.forms.people import EaterForm, HouseholdForm
from clients.forms.screening import ScreeningForm
from coaching.practice.domain.countries import allergen_list_of
from coaching.practice.models import Practice
from plans.models import ProtocolVersion

Typed = Mapping[str, list[str]]
EATER_KEYS = "eater"
IS_CLIENT = "is_client"
KEY = re.compile(r"[a-z0-9]{1,12}")


@dataclass(frozen=True, slots=True)
class FieldProblem:
    """One thing to put right: whose, in which field, what; ``href`` leads there."""

    who: str
    label: str
    message: str
    href: str


@dataclass(frozen=True, slots=True)
class Part:
    """One form of a step, with whose it is (blank for the household's own) and the cautions to read beside it."""

    form: forms.Form
    who: str = ""
    key: str = ""
    cautions: tuple[Caution, ...] = ()


@dataclass
class Sitting:
    """A draft on the table: what was typed so far, and what the practice offers."""

    practice: Practice
    today: date
    zone: str
    typed: dict[str, Typed]
    foods: list[FoodName] = field(default_factory=list)
    versions: list[ProtocolVersion] = field(default_factory=list)

    @cached_property
    def steps(self) -> "dict[str, Step]":
        """Every step, drawn from what was typed."""
        return {kind.key: kind(self) for kind in STEPS}

    @cached_property
    def eaters(self) -> list[NewEater]:
        """The eaters so far, as typed; empty until the step about them is right."""
        step = self.steps[EatersStep.key]
        return step.eaters() if step.is_done else []

    @cached_property
    def choices(self) -> list[tuple[Any, Any]]:
        return place_choices(self.versions)

    def cautions(self, key: str) -> tuple[Caution, ...]:
        """What the answers of one eater raise; nothing until their screening is filled in."""
        return self.steps[ScreeningStep.key].cautions(key)

    @property
    def is_ready(self) -> bool:
        """True once every step is filled in rightly."""
        return all(step.is_done for step in self.steps.values())


class Step(ABC):
    """One step: its forms, whether they are right, and what they say."""

    key: ClassVar[str]
    title: ClassVar[Promise]
    lead: ClassVar[Promise | str] = ""
    needs_eaters: ClassVar[bool] = False

    def __init__(self, sitting: Sitting) -> None:
        self.sitting = sitting
        typed = sitting.typed.get(self.key)
        self.data = None if typed is None else MultiValueDict(typed)

    @cached_property
    def parts(self) -> list[Part]:
        parts = list(self.build())
        for part in parts:
            part.form.helper.one_of_many = (
                True  # the page has one summary of what is wrong, for all its forms
            )
        return parts

    @abstractmethod
    def build(self) -> Iterator[Part]:
        """The forms of this step, bound to what was typed if anything was."""

    @cached_property
    def is_done(self) -> bool:
        """True when the step was filled in and nothing is wrong with it."""
        return self.data is not None and bool(self.parts) and all(part.form.is_valid() for part in self.parts)

    @property
    def problems(self) -> list[FieldProblem]:
        """Everything wrong with what was typed, in the order of the page."""
        return [problem for part in self.parts if part.form.is_bound for problem in _problems_of(part)]

    def field_names(self) -> list[str]:
        """The names of this step's fields in the page."""
        return [bound.html_name for part in self.parts for bound in part.form]

    def tidied(self) -> dict[str, list[str]]:
        """Fields to keep differently from how they were typed, once the step is right."""
        return {}


def _problems_of(part: Part) -> Iterator[FieldProblem]:
    form = part.form
    for message in form.non_field_errors():
        yield FieldProblem(part.who, "", str(message), "")
    for bound in form:
        href = f"#{bound.auto_id}_0" if bound.use_fieldset else f"#{bound.auto_id}"
        for message in bound.errors:
            yield FieldProblem(part.who, str(bound.label), str(message), href)


class HouseholdStep(Step):
    key = "household"
    title = _("Client")
    lead = _("Who signs up, and what you call their household.")

    def build(self) -> Iterator[Part]:
        initial = {"time_zone": self.sitting.zone}
        yield Part(HouseholdForm(self.data, initial=initial))

    @property
    def form(self) -> HouseholdForm:
        return self.parts[0].form

    def label(self) -> str:
        """What the draft is called in the list: the client's name, right or wrong."""
        typed = self.data or {}
        return (typed.get("name") or typed.get("household") or "").strip()


class EatersStep(Step):
    """Each eater has a short random key, so that a name or a place in the list can change and nothing mixes up."""

    key = "eaters"
    title = _("Eaters")
    lead = _("Everybody who eats from this kitchen, whether they follow a protocol or not.")

    @property
    def keys(self) -> list[str]:
        """The keys of the eaters, in the order they stand."""
        if self.data is None:
            return ["first"]
        typed = (key for key in self.data.getlist(EATER_KEYS) if KEY.fullmatch(key))
        return list(dict.fromkeys(typed))[:MOST_EATERS]

    @property
    def client_key(self) -> str:
        """Which eater is the client; blank for none."""
        return self.keys[0] if self.data is None else self.data.get(IS_CLIENT, "")

    def build(self) -> Iterator[Part]:
        name = self.sitting.steps[HouseholdStep.key].label()
        for place, key in enumerate(self.keys):
            initial = {"name": name} if place == 0 else {}
            data = self.data if self.data is not None and f"{key}-name" in self.data else None
            form = EaterForm(data, today=self.sitting.today, prefix=key, initial=initial)
            who = form["name"].value() or gettext("Eater %(number)s") % {"number": place + 1}
            yield Part(form, str(who), key)

    def field_names(self) -> list[str]:
        return [EATER_KEYS, IS_CLIENT, *super().field_names()]

    def eaters(self) -> list[NewEater]:
        """The eaters of the valid step."""
        return [NewEater(**part.form.values(), is_client=part.key == self.client_key) for part in self.parts]


class _EachEater(Step):
    """A step that asks the same of every eater."""

    needs_eaters = True

    def build(self) -> Iterator[Part]:
        keys = self.sitting.steps[EatersStep.key].keys
        for key, eater in zip(keys, self.sitting.eaters, strict=False):
            yield Part(self.form_for(key, eater), eater.name, key)

    @abstractmethod
    def form_for(self, key: str, eater: NewEater) -> forms.Form:
        """The form of one eater, bound to ``data_of(key)``."""

    def data_of(self, key: str) -> MultiValueDict | None:
        """What was typed for one eater; nothing for one added since, who has not been asked yet."""
        return self.data if self.data is not None and key in self.data.getlist(EATER_KEYS) else None

    def field_names(self) -> list[str]:
        return [EATER_KEYS, *super().field_names()]


class KitchenStep(Step):
    key = "kitchen"
    title = _("Kitchen")
    lead = _("How much fits in the pot, and how much time there is to stand beside it.")

    def build(self) -> Iterator[Part]:
        yield Part(KitchenForm(self.data, units=self.sitting.practice.units))


class ExclusionsStep(_EachEater):
    key = "exclusions"
    title = _("Left out")
    lead = _("What must not be on the plate: this goes before everything a protocol allows.")

    def form_for(self, key: str, eater: NewEater) -> ExclusionsForm:
        allergen_list = allergen_list_of(self.sitting.practice.country)
        return ExclusionsForm(
            self.data_of(key), foods=self.sitting.foods, allergen_list=allergen_list, prefix=key
        )

    def tidied(self) -> dict[str, list[str]]:
        tidy: dict[str, list[str]] = {}
        for part in self.parts:
            tidy |= part.form.tidied()
        return tidy


class ScreeningStep(_EachEater):
    key = "screening"
    title = _("Screening")
    lead = _(
        "Ask before the first stage. Figures may stay empty; a group is answered by a tick or by “none of these”."
    )

    def form_for(self, key: str, eater: NewEater) -> ScreeningForm:
        return ScreeningForm(
            self.data_of(key),
            person=Person(eater.born, eater.sex),
            today=self.sitting.today,
            units=self.sitting.practice.units,
            prefix=key,
        )

    def answers(self, key: str) -> Answers | None:
        """The answers of one eater, once they are right."""
        for part in self.parts:
            if part.key == key and part.form.is_bound and part.form.is_valid():
                return part.form.answers()
        return None

    def cautions(self, key: str) -> tuple[Caution, ...]:
        """What one eater's age and answers raise; nothing until the answers are right."""
        answers = self.answers(key)
        if answers is None:
            return ()
        keys = self.sitting.steps[EatersStep.key].keys
        eater = self.sitting.eaters[keys.index(key)]
        return screen(Person(eater.born, eater.sex), answers, self.sitting.today)


class ConsentStep(Step):
    key = "consent"
    title = _("Agreement")
    lead = _("What the client agrees to before anything is planned.")

    def build(self) -> Iterator[Part]:
        yield Part(
            ConsentForm(self.data, text=self.sitting.practice.client_agreement, today=self.sitting.today)
        )

    def tidied(self) -> dict[str, list[str]]:
        return {"shown": [self.parts[0].form.digest]}


class ProtocolStep(_EachEater):
    key = "protocol"
    title = _("Protocol")
    lead = _(
        "Who follows which protocol, and from which day. Someone who follows none is cooked for all the same."
    )

    def build(self) -> Iterator[Part]:
        for part in super().build():
            yield replace(part, cautions=self.sitting.cautions(part.key))

    def form_for(self, key: str, eater: NewEater) -> EnrolmentForm:
        return EnrolmentForm(
            self.data_of(key),
            choices=self.sitting.choices,
            today=self.sitting.today,
            barred=self._barred(key, eater),
            prefix=key,
        )

    def _barred(self, key: str, eater: NewEater) -> str:
        if strongest(self.sitting.cautions(key)) is not Strength.DO_NOT_START:
            return ""
        return gettext(
            "“Do not start” holds for %(eater)s. Choose “Follows none”, and screen again once it no longer holds."
        ) % {"eater": eater.name}


STEPS: tuple[type[Step], ...] = (
    HouseholdStep,
    EatersStep,
    KitchenStep,
    ExclusionsStep,
    ScreeningStep,
    ConsentStep,
    ProtocolStep,
)


def assemble(sitting: Sitting) -> NewHousehold:
    """The household a ready sitting describes."""
    steps = sitting.steps
    client = steps[HouseholdStep.key].form
    keys = steps[EatersStep.key].keys
    by_key = {
        kind.key: {part.key: part.form for part in steps[kind.key].parts}
        for kind in (ExclusionsStep, ScreeningStep, ProtocolStep)
    }
    eaters = tuple(
        NewEater(
            name=eater.name,
            born=eater.born,
            sex=eater.sex,
            appetite=eater.appetite,
            leaning=eater.leaning,
            is_client=eater.is_client,
            answers=by_key[ScreeningStep.key][key].answers(),
            enrolment=by_key[ProtocolStep.key][key].enrolment(),
            **by_key[ExclusionsStep.key][key].values(),
        )
        for key, eater in zip(keys, sitting.eaters, strict=True)
    )
    return NewHousehold(
        name=client.cleaned_data["household"],
        client=NewClient(**client.values()),
        kitchen=steps[KitchenStep.key].parts[0].form.facts(),
        eaters=eaters,
        consent=steps[ConsentStep.key].parts[0].form.consent(),
    )

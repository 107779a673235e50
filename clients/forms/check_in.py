"""The check-in form: one thumb, one minute. Everything may be left blank; nothing typed is lost."""

from decimal import Decimal

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Div, Field, Fieldset, Layout
from django import forms
from django.utils.translation import gettext_lazy as _

from clients.domain.check_in import RED_FLAGS, SYMPTOMS, Answers
from clients.wording.check_in import RED_FLAG, STOOL_FORM, SYMPTOM

SCALE_HINT = '{% include "clients/_scale_hint.html" %}'


def _scale(label, *, help_text="") -> forms.TypedChoiceField:
    """Eleven targets from 0 to 10; none chosen means not answered."""
    return forms.TypedChoiceField(
        label=label,
        help_text=help_text,
        required=False,
        coerce=int,
        empty_value=None,
        choices=[(str(n), str(n)) for n in range(11)],
        widget=forms.RadioSelect,
    )


class CheckInForm(forms.Form):
    """Turns what was tapped into ``Answers``. Symptom fields are named ``symptom-KEY``."""

    stool_form = forms.TypedChoiceField(
        label=_("What was the stool like?"),
        help_text=_("If there were several, the loosest one."),
        required=False,
        coerce=int,
        empty_value=None,
        choices=[(str(number), words) for number, words in STOOL_FORM.items()],
        widget=forms.RadioSelect,
    )
    stool_count = forms.IntegerField(
        label=_("How many times?"),
        required=False,
        min_value=0,
        max_value=30,
        widget=forms.NumberInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    energy = _scale(_("Energy"), help_text=_("0 is none at all, 10 is plenty."))
    mood = _scale(_("Mood"), help_text=_("0 is very low, 10 is very good."))
    sleep_hours = forms.DecimalField(
        label=_("Hours slept"),
        required=False,
        min_value=Decimal(0),
        max_value=Decimal(24),
        max_digits=3,
        decimal_places=1,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "0.5", "autocomplete": "off"}),
    )
    foods_tried = forms.CharField(
        label=_("New foods tried"),
        required=False,
        max_length=300,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    notes = forms.CharField(
        label=_("Anything else"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    red_flags = forms.MultipleChoiceField(
        label=_("Any of these since the last check-in?"),
        required=False,
        choices=[(flag.key, RED_FLAG[flag.key]) for flag in RED_FLAGS],
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        for key in SYMPTOMS:
            self.fields[f"symptom-{key}"] = _scale(SYMPTOM[key])
        self.helper = FormHelper(self)
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Fieldset(
                _("How bad was it?"), HTML(SCALE_HINT), *[self._row(f"symptom-{key}") for key in SYMPTOMS]
            ),
            Fieldset(_("Stool"), "stool_form", "stool_count"),
            Fieldset(_("You"), self._row("energy"), self._row("mood"), "sleep_hours"),
            Fieldset(_("Food and notes"), "foods_tried", "notes"),
            Fieldset(_("Signs that need a doctor"), Div("red_flags", css_class="red-flags")),
        )

    @staticmethod
    def _row(name: str) -> Field:
        return Field(name, wrapper_class="scale")

    def answers(self) -> Answers:
        """The valid form as answers; call after ``is_valid``."""
        data = self.cleaned_data
        rated = {key: data[f"symptom-{key}"] for key in SYMPTOMS}
        return Answers(
            symptoms={key: rating for key, rating in rated.items() if rating is not None},
            stool_form=data["stool_form"],
            stool_count=data["stool_count"],
            energy=data["energy"],
            sleep_hours=data["sleep_hours"],
            mood=data["mood"],
            foods_tried=data["foods_tried"].strip(),
            notes=data["notes"].strip(),
            red_flags=tuple(data["red_flags"]),
        )

    @staticmethod
    def initial_from(answers: Answers) -> dict[str, object]:
        """Initial values that show an earlier report of the same day again."""
        simple = ("stool_form", "stool_count", "energy", "sleep_hours", "mood", "foods_tried", "notes")
        initial: dict[str, object] = {name: getattr(answers, name) for name in simple}
        initial |= {f"symptom-{key}": str(rating) for key, rating in answers.symptoms.items()}
        initial["red_flags"] = list(answers.red_flags)
        return initial

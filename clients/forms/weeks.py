"""Asking for a week, and for a packet."""

from datetime import date, timedelta

from crispy_forms.layout import Field
from django import forms
from django.conf import settings
from django.utils.translation import gettext_lazy as _

from clients.forms.people import date_field, plain_helper
from coaching.practice.models import Practice

MOST_DAYS_AHEAD = 366
MOST_DAYS_BACK = 7


class WeekForm(forms.Form):
    """The first of the seven days."""

    start = date_field(label=_("First day"), help_text=_("Seven days are planned from here."))

    def __init__(self, *args, today: date, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.helper = plain_helper(*self._fields())

    def _fields(self) -> tuple[Field, ...]:
        return (Field("start"),)

    def clean_start(self) -> date:
        """A day within reach: the planner needs neither history nor the far future."""
        start = self.cleaned_data["start"]
        if not -MOST_DAYS_BACK <= (start - self.today) / timedelta(days=1) <= MOST_DAYS_AHEAD:
            raise forms.ValidationError(_("Choose a day from last week up to a year from now."))
        return start


class PacketForm(WeekForm):
    """The first day, the paper and the language of a packet."""

    paper = forms.ChoiceField(label=_("Paper"), choices=Practice.Paper, widget=forms.RadioSelect)
    language = forms.ChoiceField(label=_("Language"), choices=settings.LANGUAGES)

    def _fields(self) -> tuple[Field, ...]:
        return (Field("start"), Field("paper"), Field("language"))

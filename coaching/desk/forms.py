"""The desk's few forms."""

from crispy_forms.helper import FormHelper
from django import forms
from django.utils.translation import gettext_lazy as _


class RedFlagAnswerForm(forms.Form):
    """What a clinician answered to a red flag."""

    answer = forms.CharField(
        label=_("What the clinician said"),
        help_text=_(
            "Who was asked, when, and what they said to do. Advice to move on stays paused until this is here."
        ),
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper(self)
        self.helper.form_tag = False

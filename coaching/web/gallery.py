"""Invented samples for the components page, so that every piece can be seen in every state."""

from crispy_forms.bootstrap import AppendedText, FormActions
from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Field, Fieldset, Layout, Submit
from django import forms
from django.core.paginator import Paginator
from django.utils.translation import gettext_lazy as _

SCORES = [(number, str(number)) for number in range(11)]
LEANINGS = [("meat", _("more meat")), ("even", _("even")), ("plants", _("more vegetables"))]
KITCHEN = [
    ("pot", _("A pot of 8 litres or more")),
    ("jars", _("Jars with lids")),
    ("freezer", _("Room in a freezer")),
]


class SampleForm(forms.Form):
    """One field of every kind."""

    name = forms.CharField(label=_("Name"), max_length=60, help_text=_("As it should stand on sheets."))
    born = forms.DateField(label=_("Born on"), widget=forms.DateInput(attrs={"type": "date"}))
    weight = forms.DecimalField(label=_("Bones for one pot"), min_value=0, required=False)
    leaning = forms.ChoiceField(label=_("Leans to"), choices=LEANINGS)
    pain = forms.TypedChoiceField(
        label=_("Belly pain since the last check-in"),
        choices=SCORES,
        widget=forms.RadioSelect,
        help_text=_("0 is none, 10 is the worst you can think of."),
    )
    eats = forms.ChoiceField(
        label=_("At the table"),
        choices=[("with", _("Eats with everyone")), ("apart", _("Eats apart"))],
        widget=forms.RadioSelect,
    )
    kitchen = forms.MultipleChoiceField(
        label=_("In the kitchen"), choices=KITCHEN, widget=forms.CheckboxSelectMultiple, required=False
    )
    reminders = forms.BooleanField(label=_("Send reminders"), help_text=_("Never in quiet hours."))
    photo = forms.FileField(label=_("Photo of the pot"), required=False)
    notes = forms.CharField(label=_("Notes"), widget=forms.Textarea(attrs={"rows": 3}), required=False)
    coach = forms.CharField(label=_("Coach"), disabled=True, required=False, initial="Imke Vale")

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.attrs = {"novalidate": True}
        self.helper.form_action = "#forms"
        self.helper.form_method = "get"
        self.helper.layout = Layout(
            Fieldset(_("Who eats"), "name", "born", "leaning", "coach"),
            Fieldset(_("How it goes"), Field("pain", wrapper_class="scale"), "eats", "notes"),
            Fieldset(_("What is there"), AppendedText("weight", "kg"), "kitchen", "photo", "reminders"),
            FormActions(
                Submit("save", _("Save"), css_id=f"{self.prefix}-save"),
                HTML('<a class="btn btn-plain" href="#forms">{}</a>'.format(_("Leave without saving"))),
            ),
        )


def _cells(label_values: list[tuple[str, str, bool]]) -> list[dict[str, object]]:
    return [{"label": label, "text": text, "num": num} for label, text, num in label_values]


def _soup_rows() -> list[list[dict[str, object]]]:
    amounts = [
        ("Marrow bones", "1,500 g", "3 lb 5 oz", "6–8 h"),
        ("Chicken frames", "1,250 g", "2 lb 12 oz", "2–3 h"),
        ("Fish heads", "900 g", "2 lb", "45 min"),
    ]
    return [
        _cells([("", food, False), ("Metric", metric, True), ("US", us, True), ("Simmer", time, True)])
        for food, metric, us, time in amounts
    ]


STAGES = [
    {"name": _("Broth and soft meat"), "state": "done", "note": _("9 days")},
    {"name": _("Soft vegetables"), "state": "now", "note": _("day 5 of about 10")},
    {"name": _("Egg yolk, live-culture liquid"), "state": "ahead", "note": ""},
    {"name": _("Baked and roasted"), "state": "ahead", "note": ""},
    {"name": _("Raw, peeled"), "state": "ahead", "note": ""},
]

BOARD = [
    {
        "who": "Marsh household",
        "why": _("Ivo ticked a red flag in today’s check-in"),
        "note": _("They were told at once to call their clinician. Advice to move on is paused."),
        "url": "#board",
        "actions": [{"url": "#board", "label": _("Read")}, {"url": "#board", "label": _("Call")}],
    },
    {
        "who": "Adeyemi household",
        "why": _("No check-in for 4 days"),
        "note": _("Two reminders sent."),
        "url": "#board",
        "actions": [{"url": "#board", "label": _("Write")}],
    },
    {
        "who": "Lindqvist household",
        "why": _("Tove may be ready for the next stage"),
        "note": _("10 of 10 quiet days; at least 7 asked for."),
        "url": "#board",
        "actions": [{"url": "#board", "label": _("Look and decide")}],
    },
]

DAYS = [
    {
        "name": _("Mon"),
        "date": _("6 April"),
        "is_today": False,
        "entries": [{"title": _("Marrow broth, 6 l"), "note": _("start by 9:00"), "url": "#week"}],
    },
    {
        "name": _("Tue"),
        "date": _("7 April"),
        "is_today": False,
        "entries": [
            {"title": _("Beef and marrow soup"), "note": "", "url": "#week"},
            {"title": _("Ivo’s plate"), "note": _("broth and meat apart, no onion"), "url": ""},
        ],
    },
    {
        "name": _("Wed"),
        "date": _("8 April"),
        "is_today": True,
        "entries": [
            {"title": _("Boiled chicken, soft carrots"), "note": _("carrots peeled"), "url": "#week"},
            {
                "title": _("Courgette, first tastes"),
                "note": _("1 teaspoon, then watch 4 days"),
                "url": "#week",
            },
        ],
    },
    {
        "name": _("Thu"),
        "date": _("9 April"),
        "is_today": False,
        "entries": [{"title": _("Leftover soup"), "note": _("freezer, 2 jars"), "url": "#week"}],
    },
    {
        "name": _("Fri"),
        "date": _("10 April"),
        "is_today": False,
        "entries": [{"title": _("Fish stock, 3 l"), "note": _("45 minutes, no longer"), "url": "#week"}],
    },
    {
        "name": _("Sat"),
        "date": _("11 April"),
        "is_today": False,
        "entries": [{"title": _("Meatballs in stock"), "note": "", "url": "#week"}],
    },
    {"name": _("Sun"), "date": _("12 April"), "is_today": False, "entries": []},
]


def samples() -> dict[str, object]:
    """Everything components/gallery.html shows. Invented people; no database."""
    filled = {"full-name": "Tove", "full-leaning": "even"}
    wrong = SampleForm(
        {
            "wrong-name": "",
            "wrong-born": "31.31.2031",
            "wrong-weight": "-2",
            "wrong-leaning": "even",
            "wrong-pain": "",
            "wrong-eats": "",
            "wrong-notes": "Slept well.",
        },
        prefix="wrong",
    )
    wrong.is_valid()
    pages = Paginator(range(1, 312), 25)
    return {
        "form": SampleForm(
            prefix="full",
            initial={
                "name": filled["full-name"],
                "leaning": "even",
                "pain": 3,
                "eats": "with",
                "kitchen": ["pot"],
                "reminders": True,
            },
        ),
        "wrong_form": wrong,
        "page_obj": pages.page(5),
        "page_range": pages.get_elided_page_range(5, on_each_side=1, on_ends=1),
        "notices": [
            {"level_tag": "success", "message": _("The week of 6 April is planned.")},
            {"level_tag": "info", "message": _("This is version 3 of the protocol; Tove is on version 2.")},
            {"level_tag": "warning", "message": _("Two eaters have no age yet, so portions are a guess.")},
            {
                "level_tag": "error",
                "message": _("The address did not accept our mail. Check it and send again."),
            },
        ],
        "actions": [
            {"url": "#head", "label": _("Print the packet"), "style": ""},
            {"url": "#head", "label": _("Plan a week"), "style": "primary"},
        ],
        "points": [_("what was eaten in the two days before"), _("when it began and when it went")],
        "stages": STAGES,
        "board": BOARD,
        "days": DAYS,
        "columns": [
            {"label": _("Bones")},
            {"label": _("Metric"), "num": True},
            {"label": _("US"), "num": True},
            {"label": _("Simmer"), "num": True, "url": "#tables", "sorted": "descending"},
        ],
        "rows": _soup_rows(),
        "stats": [
            {"label": _("Households"), "figure": "14", "unit": "", "note": _("3 new this month")},
            {
                "label": _("Check-ins today"),
                "figure": "9",
                "unit": _("of 21"),
                "note": _("the rest by this evening"),
            },
            {
                "label": _("Quiet days"),
                "figure": "62",
                "unit": "%",
                "note": _("median of all eaters, last 14 days"),
            },
        ],
        "tabs": [
            {"url": "#tabs", "label": _("Overview"), "is_here": True, "count": None},
            {"url": "#tabs", "label": _("Eaters"), "is_here": False, "count": 4},
            {"url": "#tabs", "label": _("Weeks"), "is_here": False, "count": 12},
            {"url": "#tabs", "label": _("Packets"), "is_here": False, "count": 0},
        ],
        "steps": [
            {"label": _("You"), "state": "done", "url": "#steps"},
            {"label": _("Health"), "state": "done", "url": "#steps"},
            {"label": _("Household"), "state": "now", "url": ""},
            {"label": _("Kitchen"), "state": "ahead", "url": ""},
            {"label": _("Agreement"), "state": "ahead", "url": ""},
        ],
        "pairs": [
            {"term": _("Stage"), "value": _("Soft vegetables"), "url": "#pairs", "note": _("since 3 April")},
            {"term": _("Leans to"), "value": _("more vegetables")},
            {"term": _("Telephone"), "value": ""},
        ],
        "sieves": [
            {
                "name": "stage",
                "label": _("Stage"),
                "value": "2",
                "options": [
                    {"value": "1", "label": _("Broth and soft meat")},
                    {"value": "2", "label": _("Soft vegetables")},
                ],
            },
            {
                "name": "coach",
                "label": _("Coach"),
                "value": "",
                "options": [{"value": "iv", "label": "Imke Vale"}],
            },
        ],
    }

"""Optional measures of an eater, in the practice's units: converted exactly, rounded only for show."""

from datetime import date
from decimal import ROUND_FLOOR, Decimal
from typing import Any

from crispy_forms.layout import Div, Field, Fieldset
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clients.domain.body_measures import Measures
from clients.forms.people import date_field, number_field, plain_helper
from clients.models import Measures as MeasuresRow
from clients.wording.measures import activity_choices
from coaching.domain.units import CM_PER_INCH, INCHES_PER_FOOT, System, convert
from plans.domain.body import RANGES, Activity, Condition, Feeding

WEIGHT, WEIGHT_BEFORE = "weight_kg", "weight_before_kg"
HEIGHT, FEET, INCHES = "height_cm", "height_ft", "height_in"
SHOWN_WEIGHT, SHOWN_LENGTH = Decimal("0.01"), Decimal("0.1")
_WEIGHT_PLACES, _LENGTH_PLACES = 2, 1


class MeasuresForm(forms.Form):
    """Weight, height and activity, and what a pregnancy or breast-feeding adds. All but the day may stay empty.

    ``held`` are the measures in use: shown again in rounded figures, and kept to the last digit where nobody touches
    them.
    """

    measured_on = date_field(
        label=_("Measured on"), help_text=_("What you leave as it is counts as measured on this day, too.")
    )
    activity = forms.ChoiceField(
        label=_("How active"),
        required=False,
        choices=lambda: [("", _("Not given")), *activity_choices()],
        widget=forms.RadioSelect,
    )

    def __init__(
        self,
        data=None,
        *,
        units: str,
        condition: Condition,
        asks_activity: bool,
        held: Measures | None,
        today: date,
        **kwargs: Any,
    ) -> None:
        self.is_us, self.condition, self.held = units == System.US, condition, held
        super().__init__(data, initial=self._initial(held) | {"measured_on": today}, **kwargs)
        self.fields["measured_on"].widget.attrs["max"] = today.isoformat()
        if not asks_activity:
            del self.fields["activity"]
        body = {WEIGHT: self._weight(WEIGHT, _("Weight")), **self._height()}
        self.fields.update(body)
        parts: list[Any] = [Div("measured_on", *body, css_class="field-grid")]
        if asks_activity:
            parts.append(Field("activity"))
        more = self._more()
        if more:
            self.fields.update(more)
            parts.append(Fieldset(self._legend(), Div(*more, css_class="field-grid")))
        self.helper = plain_helper(*parts)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if self.is_us and FEET not in self.errors and INCHES not in self.errors:
            height = self._typed_height(cleaned)
            least, most, _unit = RANGES[HEIGHT]
            if height is not None and not least <= height <= most:
                self.add_error(
                    FEET, _("Give the height in feet and inches, from 8 inches to 9 feet 2 inches.")
                )
        return cleaned

    def values(self) -> Measures:
        """The valid form as measures, in kilograms and centimetres."""
        typed = self.cleaned_data
        activity, feeding = typed.get("activity"), typed.get("feeding")
        return Measures(
            measured_on=typed["measured_on"],
            weight_kg=self._kilograms(WEIGHT),
            height_cm=self._centimetres(),
            activity=Activity(activity) if activity else None,
            pregnancy_week=None if typed.get("pregnancy_week") is None else int(typed["pregnancy_week"]),
            weight_before_kg=self._kilograms(WEIGHT_BEFORE),
            feeding=Feeding(feeding) if feeding else None,
        )

    def _more(self) -> dict[str, forms.Field]:
        if self.condition is Condition.PREGNANCY:
            return {
                "pregnancy_week": number_field(
                    _("Week of the pregnancy"),
                    least="0",
                    most="45",
                    step="1",
                    help_text=_("As counted by whoever looks after it; it is counted on from that day."),
                    error_messages=_between(_("Give the week of the pregnancy, from 0 to 45.")),
                ),
                WEIGHT_BEFORE: self._weight(WEIGHT_BEFORE, _("Weight before the pregnancy")),
            }
        if self.condition is Condition.LACTATION:
            feeding = forms.ChoiceField(
                label=_("What the child gets"),
                required=False,
                choices=[("", _("Not given")), *MeasuresRow.Feeding.choices],
            )
            return {"feeding": feeding}
        return {}

    def _legend(self) -> Any:
        return _("Pregnancy") if self.condition is Condition.PREGNANCY else _("Breast-feeding")

    def _weight(self, name: str, label: Any) -> forms.DecimalField:
        least, most, _unit = RANGES[name]
        if self.is_us:
            # Up at the lower end and down at the upper one, so that what the field takes can be kept.
            least = convert(least, "kg", "lb").quantize(SHOWN_WEIGHT) + SHOWN_WEIGHT
            most = convert(most, "kg", "lb").quantize(Decimal(1), ROUND_FLOOR)
            message = _("Give the weight in pounds, from %(least)s to %(most)s.")
        else:
            message = _("Give the weight in kilograms, from %(least)s to %(most)s.")
        unit = _("lb") if self.is_us else _("kg")
        return number_field(
            gettext("%(what)s, %(unit)s") % {"what": label, "unit": unit},
            least=str(least),
            most=str(most),
            step="0.01",
            decimal_places=_WEIGHT_PLACES,
            error_messages=_between(message % {"least": least, "most": most}),
        )

    def _height(self) -> dict[str, forms.DecimalField]:
        if self.is_us:
            return {
                FEET: number_field(
                    _("Height, feet"),
                    least="0",
                    most="9",
                    step="1",
                    error_messages=_between(_("Give whole feet, from 0 to 9.")),
                ),
                INCHES: number_field(
                    _("and inches"),
                    least="0",
                    most="11.9",
                    step="0.1",
                    decimal_places=_LENGTH_PLACES,
                    error_messages=_between(_("Give the inches over the whole feet, from 0 to 11.9.")),
                ),
            }
        least, most, _unit = RANGES[HEIGHT]
        message = _("Give the height in centimetres, from %(least)s to %(most)s: 1.70 m is 170.")
        return {
            HEIGHT: number_field(
                _("Height, cm"),
                least=str(least),
                most=str(most),
                step="0.1",
                decimal_places=_LENGTH_PLACES,
                error_messages=_between(message % {"least": least, "most": most}),
            )
        }

    def _kilograms(self, name: str) -> Decimal | None:
        if name not in self.fields:
            return None
        if self.held is not None and name not in self.changed_data:
            return getattr(self.held, name)
        typed = self.cleaned_data[name]
        return convert(typed, "lb", "kg") if self.is_us and typed is not None else typed

    def _centimetres(self) -> Decimal | None:
        names = {FEET, INCHES} if self.is_us else {HEIGHT}
        if self.held is not None and names.isdisjoint(self.changed_data):
            return self.held.height_cm
        return self._typed_height(self.cleaned_data) if self.is_us else self.cleaned_data[HEIGHT]

    @staticmethod
    def _typed_height(cleaned: dict[str, Any]) -> Decimal | None:
        feet, inches = cleaned.get(FEET), cleaned.get(INCHES)
        if feet is None and inches is None:
            return None
        return ((feet or 0) * INCHES_PER_FOOT + (inches or 0)) * CM_PER_INCH

    def _initial(self, held: Measures | None) -> dict[str, Any]:
        if held is None:
            return {}
        return {
            WEIGHT: self._shown_weight(held.weight_kg),
            WEIGHT_BEFORE: self._shown_weight(held.weight_before_kg),
            **self._shown_height(held.height_cm),
            "activity": held.activity or "",
            "pregnancy_week": held.pregnancy_week,
            "feeding": held.feeding or "",
        }

    def _shown_weight(self, weight_kg: Decimal | None) -> Decimal | None:
        if weight_kg is None:
            return None
        return plain((convert(weight_kg, "kg", "lb") if self.is_us else weight_kg).quantize(SHOWN_WEIGHT))

    def _shown_height(self, height_cm: Decimal | None) -> dict[str, Any]:
        if height_cm is None:
            return {}
        if not self.is_us:
            return {HEIGHT: plain(height_cm.quantize(SHOWN_LENGTH))}
        inches = (height_cm / CM_PER_INCH).quantize(SHOWN_LENGTH)
        return {FEET: int(inches // INCHES_PER_FOOT), INCHES: plain(inches % INCHES_PER_FOOT)}


def plain(number: Decimal) -> Decimal:
    """A number without trailing zeros and without an exponent."""
    return number.quantize(Decimal(1)) if number == number.to_integral_value() else number.normalize()


def _between(message: Any) -> dict[str, Any]:
    return {"min_value": message, "max_value": message}

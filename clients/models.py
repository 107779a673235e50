"""People: households and their eaters, how far each has come, and what they report.

Health answers live here and nowhere else; the desk and the printables get only what their page needs.
"""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from coaching.practice.models import Membership, Practice, Row, User
from plans.domain.body import RANGES
from plans.models import ProtocolVersion

NONE_TO_TEN = (MinValueValidator(0), MaxValueValidator(10))


class Household(Row):
    """Who shares a kitchen. ``kitchen`` is the record of that name in ``ladlework/household/1``.

    ``wants`` is what a week is to do well, most wanted first; empty for the usual order.
    """

    practice_path = "practice"
    coach_path = "coach"

    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="households")
    coach = models.ForeignKey(Membership, null=True, on_delete=models.SET_NULL, related_name="households")
    name = models.CharField(_("name"), max_length=120)
    kitchen = models.JSONField(default=dict)
    wants = models.JSONField(default=list)
    created_at = models.DateTimeField()
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name


class Client(Row):
    """The person who signed up: the one we write to."""

    practice_path = "household__practice"
    coach_path = "household__coach"

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="clients")
    user = models.OneToOneField(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="client")
    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("e-mail address"))
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    language = models.CharField(_("language"), max_length=12, default="en")
    time_zone = models.CharField(_("time zone"), max_length=64, default="UTC")

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name


class Consent(Row):
    """What a client agreed to, in the words shown then."""

    client = models.ForeignKey(Client, on_delete=models.CASCADE, related_name="consents")
    kind = models.CharField(max_length=20, default="scope")
    text = models.TextField()
    agreed_on = models.DateField()
    recorded_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.client}, {self.kind}"


class Eater(Row):
    """One person at the table. ``answers`` are the screening answers by key.

    ``away`` are the meals eaten elsewhere week after week, as pairs of weekday and slot.
    """

    practice_path = "household__practice"
    coach_path = "household__coach"

    class Sex(models.TextChoices):
        FEMALE = "female", _("Female")
        MALE = "male", _("Male")
        UNSTATED = "unstated", _("Not stated")

    class Leaning(models.TextChoices):
        NONE = "none", _("No leaning")
        MEAT = "meat", _("More meat")
        VEGETABLES = "vegetables", _("More vegetables")

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="eaters")
    client = models.OneToOneField(
        Client, null=True, blank=True, on_delete=models.SET_NULL, related_name="eater"
    )
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(_("name"), max_length=80)
    born = models.DateField(_("born"))
    sex = models.CharField(_("sex"), max_length=8, choices=Sex, default=Sex.UNSTATED)
    appetite = models.DecimalField(_("share of an adult portion"), max_digits=3, decimal_places=2, default=1)
    leaning = models.CharField(_("leaning"), max_length=10, choices=Leaning, default=Leaning.NONE)
    dislikes = models.JSONField(default=list)
    allergies = models.JSONField(default=list)
    excluded = models.JSONField(default=list)
    away = models.JSONField(default=list)
    answers = models.JSONField(default=dict)

    class Meta:
        ordering = ("household", "position", "name")

    def __str__(self) -> str:
        return self.name


class Enrolment(Row):
    """One eater on one protocol version."""

    class State(models.TextChoices):
        ACTIVE = "active", _("Active")
        HELD = "held", _("On hold")
        ENDED = "ended", _("Ended")

    practice_path = "eater__household__practice"
    coach_path = "eater__household__coach"

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="enrolments")
    version = models.ForeignKey(ProtocolVersion, on_delete=models.PROTECT, related_name="enrolments")
    state = models.CharField(max_length=6, choices=State, default=State.ACTIVE)
    start_on = models.DateField(_("day one"))
    held_since = models.DateField(null=True, blank=True)
    held_why = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["eater"], condition=~Q(state="ended"), name="one_open_enrolment_an_eater"
            ),
        )

    def __str__(self) -> str:
        return f"{self.eater}: {self.version}"


class Spell(Row):
    """One continuous time in one stage. The open one has no ``ended_on``."""

    enrolment = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="spells")
    stage = models.CharField(max_length=80)
    began_on = models.DateField()
    began_why = models.CharField(max_length=300, blank=True)
    ended_on = models.DateField(null=True, blank=True)
    ended_why = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ("enrolment", "began_on")
        constraints = (
            models.UniqueConstraint(
                fields=["enrolment"], condition=Q(ended_on__isnull=True), name="one_open_spell_an_enrolment"
            ),
            models.CheckConstraint(
                condition=Q(ended_on__isnull=True) | Q(ended_on__gte=models.F("began_on")),
                name="spell_ends_after_start",
            ),
        )

    def __str__(self) -> str:
        return f"{self.stage} from {self.began_on}"


class Introduction(Row):
    """One new food in one form for one eater, its watch days and how it ended."""

    class Outcome(models.TextChoices):
        OPEN = "open", _("Watching")
        TOLERATED = "tolerated", _("Tolerated")
        REACTED = "reacted", _("Reacted")
        UNCLEAR = "unclear", _("Unclear")

    practice_path = "eater__household__practice"
    coach_path = "eater__household__coach"

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="introductions")
    food = models.CharField(max_length=80)
    form = models.CharField(max_length=120)
    first_day = models.DateField()
    watch_until = models.DateField()
    outcome = models.CharField(max_length=9, choices=Outcome, default=Outcome.OPEN)
    left_out_until = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ("eater", "first_day")

    def __str__(self) -> str:
        return f"{self.food} from {self.first_day}"


class Instruction(Row):
    """Foods a clinician asked an eater to leave out. It can only forbid, and it is never deleted, only ended.

    It holds from ``said_on`` on, and no longer on ``until`` or ``ended_on``, whichever comes first.
    """

    practice_path = "eater__household__practice"
    coach_path = "eater__household__coach"

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="instructions")
    foods = models.JSONField(default=list)
    said_by = models.CharField(_("said by"), max_length=120)
    said_on = models.DateField(_("said on"))
    until = models.DateField(_("until"), null=True, blank=True)
    note = models.TextField(_("note"), max_length=2000, blank=True)
    recorded_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    recorded_at = models.DateTimeField()
    ended_on = models.DateField(null=True, blank=True)
    ended_why = models.CharField(max_length=300, blank=True)
    ended_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ("eater", "said_on", "recorded_at")
        constraints = (
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gt=models.F("said_on")),
                name="instruction_until_after_said",
            ),
        )

    def __str__(self) -> str:
        return f"{self.eater}: {self.said_by}, {self.said_on}"


def _possible(name: str) -> models.CheckConstraint:
    """A measure is not given, or one that a person can have at all."""
    least, most, _unit = RANGES[name]
    given = {f"{name}__gte": least, f"{name}__lte": most}
    return models.CheckConstraint(
        condition=Q(**{f"{name}__isnull": True}) | Q(**given), name=f"measures_{name}_possible"
    )


class Measures(Row):
    """Optional measures of an eater as they were on a day. Rows are only added; the latest day counts.

    Kilograms and centimetres as exactly as they convert from pounds, feet and inches.
    """

    class Activity(models.TextChoices):
        INACTIVE = "inactive", _("Inactive")
        LOW_ACTIVE = "low-active", _("Low active")
        ACTIVE = "active", _("Active")
        VERY_ACTIVE = "very-active", _("Very active")

    class Feeding(models.TextChoices):
        ONLY_0_TO_6_MONTHS = "only-0-to-6-months", _("Breast milk only, first six months")
        PARTLY_7_TO_12_MONTHS = (
            "partly-7-to-12-months",
            _("Breast milk and other food, seven to twelve months"),
        )

    practice_path = "eater__household__practice"
    coach_path = "eater__household__coach"

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="measures")
    measured_on = models.DateField(_("measured on"))
    weight_kg = models.DecimalField(null=True, blank=True, max_digits=14, decimal_places=11)
    height_cm = models.DecimalField(null=True, blank=True, max_digits=7, decimal_places=4)
    activity = models.CharField(max_length=11, blank=True, choices=Activity)
    pregnancy_week = models.PositiveSmallIntegerField(null=True, blank=True)
    weight_before_kg = models.DecimalField(null=True, blank=True, max_digits=14, decimal_places=11)
    feeding = models.CharField(max_length=21, blank=True, choices=Feeding)
    recorded_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ("eater", "-measured_on", "-recorded_at")
        constraints = tuple(
            _possible(name) for name in ("weight_kg", "height_cm", "pregnancy_week", "weight_before_kg")
        )

    def __str__(self) -> str:
        return f"{self.eater} on {self.measured_on}"


class CheckIn(Row):
    """A dated report by or for one eater; one a day, the last one counts."""

    class By(models.TextChoices):
        CLIENT = "client", _("Client")
        LINK = "link", _("Client, by link")
        COACH = "coach", _("Coach")

    practice_path = "eater__household__practice"
    coach_path = "eater__household__coach"

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="check_ins")
    on = models.DateField()
    by = models.CharField(max_length=6, choices=By)
    symptoms = models.JSONField(default=dict)
    stool_form = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(7)]
    )
    stool_count = models.PositiveSmallIntegerField(null=True, blank=True, validators=[MaxValueValidator(30)])
    energy = models.PositiveSmallIntegerField(null=True, blank=True, validators=NONE_TO_TEN)
    sleep_hours = models.DecimalField(
        null=True,
        blank=True,
        max_digits=3,
        decimal_places=1,
        validators=[MinValueValidator(0), MaxValueValidator(24)],
    )
    mood = models.PositiveSmallIntegerField(null=True, blank=True, validators=NONE_TO_TEN)
    foods_tried = models.CharField(max_length=300, blank=True)
    notes = models.TextField(max_length=2000, blank=True)
    red_flags = models.JSONField(default=list)
    burden = models.DecimalField(null=True, blank=True, max_digits=4, decimal_places=2)
    """Mean of the symptoms given, 0 to 10; kept beside them so that lists can be sorted in the database."""
    recorded_at = models.DateTimeField()
    flags_answered_at = models.DateTimeField(null=True, blank=True)
    flags_answered_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    flags_answer = models.CharField(max_length=600, blank=True)

    class Meta:
        ordering = ("eater", "-on")
        indexes = (models.Index(fields=["on", "eater"]),)
        constraints = (
            models.UniqueConstraint(fields=["eater", "on"], name="one_check_in_a_day"),
            models.CheckConstraint(
                condition=Q(stool_form__isnull=True) | Q(stool_form__range=(1, 7)), name="stool_form_1_to_7"
            ),
        )

    def __str__(self) -> str:
        return f"{self.eater} on {self.on}"


class CheckInLink(Row):
    """An invitation to fill in one check-in without signing in. The URL carries a signed form of the id."""

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="check_in_links")
    on = models.DateField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["eater", "on"], name="one_check_in_link_a_day"),)

    def __str__(self) -> str:
        return f"{self.eater} on {self.on}"


class Caution(Row):
    """A screening result that stands until its answers change."""

    class Strength(models.TextChoices):
        TELL = "tell", _("Tell")
        CLINICIAN_FIRST = "clinician-first", _("Clinician first")
        DO_NOT_START = "do-not-start", _("Do not start")

    practice_path = "eater__household__practice"
    coach_path = "eater__household__coach"

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="cautions")
    rule = models.CharField(max_length=60)
    strength = models.CharField(max_length=16, choices=Strength)
    facts = models.JSONField(default=dict)
    raised_at = models.DateTimeField()
    lifted_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("eater", "raised_at")
        constraints = (
            models.UniqueConstraint(
                fields=["eater", "rule"], condition=Q(lifted_at__isnull=True), name="one_open_caution_a_rule"
            ),
        )

    def __str__(self) -> str:
        return f"{self.eater}: {self.rule}"


class SignOff(Row):
    """The record that a licensed clinician agreed to a caution being passed."""

    caution = models.OneToOneField(Caution, on_delete=models.CASCADE, related_name="sign_off")
    clinician = models.CharField(_("clinician"), max_length=120)
    profession = models.CharField(_("profession"), max_length=120)
    agreed_on = models.DateField(_("agreed on"))
    note = models.TextField(_("note"), max_length=2000, blank=True)
    recorded_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    recorded_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.clinician}, {self.agreed_on}"


class IntakeDraft(Row):
    """A new client's answers so far, by step, kept as typed until the last step makes the household."""

    practice_path = "practice"
    coach_path = "coach"

    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="+")
    coach = models.ForeignKey(Membership, on_delete=models.CASCADE, related_name="intake_drafts")
    label = models.CharField(max_length=120, blank=True)
    answers = models.JSONField(default=dict)
    updated_at = models.DateTimeField()
    archived_at = models.DateTimeField(null=True, blank=True)
    household = models.OneToOneField(
        Household, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ("-updated_at",)

    def __str__(self) -> str:
        return self.label


class Week(Row):
    """A planned week of a household: the brief that was asked and the week (or why there is none).

    The newest planned row of a start is the standing week; no other state counts as a plan. ``waiting`` are changes
    that were asked for and not yet worked out. A row with a ``basis`` works out ``changes`` of it, is offered, and
    becomes the standing week when the coach accepts it. ``locks`` are [day, slot] pairs whose plates stay.
    """

    class State(models.TextChoices):
        ASKED = "asked", _("Being planned")
        PLANNED = "planned", _("Planned")
        NONE = "none", _("No week fits")
        OFFERED = "offered", _("Changed, not yet accepted")
        DROPPED = "dropped", _("Put aside")

    practice_path = "household__practice"
    coach_path = "household__coach"

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="weeks")
    start = models.DateField()
    state = models.CharField(max_length=8, choices=State, default=State.ASKED)
    brief = models.JSONField(default=dict)
    plan = models.JSONField(default=dict)
    basis = models.ForeignKey("self", null=True, on_delete=models.SET_NULL, related_name="revisions")
    changes = models.JSONField(default=list)
    waiting = models.JSONField(default=list)
    locks = models.JSONField(default=list)
    asked_at = models.DateTimeField()
    planned_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-start", "-asked_at")

    def __str__(self) -> str:
        return f"{self.household}, week of {self.start}"


class Packet(Row):
    """One printed bundle: the frozen facts it was drawn from and the file."""

    class State(models.TextChoices):
        ASKED = "asked", _("Being made")
        READY = "ready", _("Ready")
        FAILED = "failed", _("Could not be made")

    practice_path = "household__practice"
    coach_path = "household__coach"

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="packets")
    week = models.ForeignKey(Week, null=True, on_delete=models.SET_NULL, related_name="packets")
    start = models.DateField()
    paper = models.CharField(max_length=6, choices=Practice.Paper)
    language = models.CharField(max_length=12, default="en")
    state = models.CharField(max_length=6, choices=State, default=State.ASKED)
    problem = models.TextField(blank=True)
    facts = models.JSONField(default=dict)
    file = models.FileField(upload_to="packets/", blank=True)
    pages = models.PositiveSmallIntegerField(default=0)
    asked_at = models.DateTimeField()
    made_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-asked_at",)

    def __str__(self) -> str:
        return f"{self.household}, packet of {self.start}"


class Store(Row):
    """Some of a food that is in the house: grams as bought, where it lies, and to which day it is good."""

    class Place(models.TextChoices):
        CUPBOARD = "cupboard", _("Cupboard")
        REFRIGERATOR = "refrigerator", _("Refrigerator")
        FREEZER = "freezer", _("Freezer")

    practice_path = "household__practice"
    coach_path = "household__coach"

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="stores")
    food = models.CharField(max_length=80)
    amount_g = models.DecimalField(
        _("grams"), max_digits=9, decimal_places=2, validators=[MinValueValidator(0)]
    )
    place = models.CharField(_("where"), max_length=12, choices=Place, default=Place.CUPBOARD)
    best_by = models.DateField(_("best by"), null=True, blank=True)
    noted_on = models.DateField()
    used_up_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("place", "food", "best_by")

    def __str__(self) -> str:
        return f"{self.household}: {self.food}"


class ShoppingTick(Row):
    """A food that somebody has put in the basket for a week. ``before_g`` is what was ticked before the last tick."""

    practice_path = "household__practice"
    coach_path = "household__coach"

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="shopping_ticks")
    start = models.DateField()
    food = models.CharField(max_length=80)
    amount_g = models.DecimalField(max_digits=9, decimal_places=2, validators=[MinValueValidator(0)])
    before_g = models.DecimalField(
        max_digits=9, decimal_places=2, default=0, validators=[MinValueValidator(0)]
    )
    ticked_at = models.DateTimeField()
    ticked_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["household", "start", "food"], name="one_tick_a_food_and_week"),
        )

    def __str__(self) -> str:
        return f"{self.household}, {self.start}: {self.food}"


class LeadInTick(Row):
    """Somebody said of a task before day one that it is done, or not needed. ``task`` is its name in the plan."""

    class State(models.TextChoices):
        DONE = "done", _("Done")
        NOT_NEEDED = "not-needed", _("Not needed")

    practice_path = "household__practice"
    coach_path = "household__coach"

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="lead_in_ticks")
    task = models.CharField(max_length=300)
    state = models.CharField(max_length=10, choices=State, default=State.DONE)
    on = models.DateField()
    ticked_at = models.DateTimeField()
    ticked_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        constraints = (models.UniqueConstraint(fields=["household", "task"], name="one_tick_a_lead_in_task"),)

    def __str__(self) -> str:
        return f"{self.household}: {self.task}, {self.state}"

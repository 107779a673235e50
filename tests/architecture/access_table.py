"""Who gets what from each page. The walk compares it with the running program; a page without a row fails the build."""

from dataclasses import dataclass, field
from datetime import timedelta

from django.core.files.base import ContentFile

from clients.models import CheckIn, Household, Instruction, IntakeDraft, Packet, Store, Week
from clients.services.links import check_in_link
from coaching.desk.models import Reminder
from coaching.desk.services.mail_stops import mail_stop_url
from coaching.practice.models import Membership
from plans.models import Recipe, RecipePhoto
from plans.services.drafts import draft_begin
from tests.cast import Cast
from tests.factories import NOON, TODAY, CautionFactory, CheckInFactory, FoodFactory

ROLES = ("nobody", "client", "other_client", "assistant", "coach", "other_coach", "owner", "foreign_coach")

COACHES = frozenset({"coach", "other_coach", "owner", "foreign_coach"})
STAFF = COACHES | {"assistant"}
CLIENTS = frozenset({"client", "other_client"})
OUR_STAFF = STAFF - {"foreign_coach"}
OUR_COACHES = COACHES - {"foreign_coach"}
OF_THE_HOUSEHOLD = frozenset({"coach", "owner"})
"""Who may work on the coach's household: she herself and the owner."""

THIRD_PARTY = {
    "account_change_password",
    "account_confirm_email",
    "account_confirm_login_code",
    "account_email",
    "account_email_verification_sent",
    "account_inactive",
    "account_login",
    "account_logout",
    "account_reauthenticate",
    "account_reset_password",
    "account_reset_password_done",
    "account_reset_password_from_key",
    "account_reset_password_from_key_done",
    "account_set_password",
    "account_signup",
    "mfa_activate_totp",
    "mfa_authenticate",
    "mfa_deactivate_totp",
    "mfa_download_recovery_codes",
    "mfa_generate_recovery_codes",
    "mfa_index",
    "mfa_reauthenticate",
    "mfa_view_recovery_codes",
}
"""Names of the sign-in library's pages, which carry their own rules."""

OPEN = {"alive", "mail_stop", "check_in_by_link"}
"""Pages that need no sign-in."""


@dataclass(frozen=True)
class Page:
    """``yes`` are the roles that get the page itself and ``ok`` what they see; others get 404, nobody the sign-in.

    ``row`` names the row in the page's address (see ``rows_for``), ``more`` its other arguments.
    """

    yes: frozenset[str]
    ok: frozenset[int] = frozenset({200})
    post_only: bool = False
    row: str = ""
    more: dict[str, str] = field(default_factory=dict)

    @property
    def open(self) -> bool:
        return self.yes == frozenset(ROLES)

    @property
    def has_rows(self) -> bool:
        return bool(self.row)

    def expected(self, role: str) -> frozenset[int]:
        if role in self.yes:
            return self.ok
        return frozenset({302}) if role == "nobody" else frozenset({404})


EVERYONE = frozenset(ROLES)
MOVED_ON = frozenset({302})


def _household(row: str, *, yes: frozenset[str] = OF_THE_HOUSEHOLD, **fields) -> Page:
    return Page(yes=yes, row=row, **fields)


def _book(row: str, *, yes: frozenset[str] = OUR_STAFF, **fields) -> Page:
    return Page(yes=yes, row=row, **fields)


PAGES: dict[str, Page] = {
    "home": Page(STAFF | CLIENTS, ok=MOVED_ON),
    "alive": Page(EVERYONE),
    "components": Page(STAFF),
    # The desk
    "board": Page(STAFF),
    "eater_check_ins": _household("eater"),
    "eater_check_in": _household("eater"),
    "red_flag": _household("check_in"),
    "reminders": Page(STAFF),
    "reminder_retry": _household(
        "reminder", yes=OF_THE_HOUSEHOLD | {"assistant"}, ok=MOVED_ON, post_only=True
    ),
    "mail_stop": Page(EVERYONE, row="mail_stop"),
    "check_in_by_link": Page(EVERYONE, row="check_in_link"),
    # The client's own pages
    "portal": Page(CLIENTS),
    "check_in": Page(frozenset({"client"}), row="eater"),
    "check_in_done": Page(frozenset({"client"}), row="check_in"),
    "portal_today": Page(CLIENTS),
    "portal_foods": Page(CLIENTS),
    "portal_packet": Page(frozenset({"client"}), row="packet"),
    "portal_shopping": Page(CLIENTS),
    "portal_shopping_week": Page(frozenset({"client"}), row="planned_week"),
    "portal_tick": Page(frozenset({"client"}), row="planned_week", ok=MOVED_ON, post_only=True),
    "portal_untick": Page(frozenset({"client"}), row="planned_week", ok=MOVED_ON, post_only=True),
    "portal_lead_in": Page(CLIENTS),
    "portal_lead_in_tick": Page(CLIENTS, ok=MOVED_ON, post_only=True),
    "portal_lead_in_calendar": Page(CLIENTS, ok=frozenset({200, 302})),
    "portal_stores": Page(CLIENTS),
    "portal_store_edit": Page(frozenset({"client"}), row="store"),
    # New clients and households
    "intake": Page(COACHES),
    "intake_step": _household("draft", more={"step": "household"}),
    "intake_review": _household("draft"),
    "households": Page(STAFF),
    "household": _household("household", yes=OF_THE_HOUSEHOLD | {"assistant"}),
    "household_edit": _household("household"),
    "kitchen_edit": _household("household"),
    "household_wants": _household("household"),
    "client_edit": _household("client"),
    "client_access": _household("client", ok=MOVED_ON, post_only=True),
    "eater_add": _household("household"),
    "eater_edit": _household("eater"),
    "eater_meals": _household("eater"),
    "eater_exclusions": _household("eater"),
    "eater_screening": _household("eater"),
    "eater_sign_off": _household("eater"),
    "eater_foods": _household("eater"),
    "eater_instructions": _household("eater"),
    "eater_measures": _household("eater"),
    "instruction_end": _household("instruction"),
    "enrolment_start": _household("eater", ok=frozenset({200, 302})),
    "enrolment_decide": _household("enrolment"),
    "enrolment_day_one": _household("enrolment", ok=frozenset({200, 302})),
    "protocol_people": _book("protocol", yes=OUR_COACHES),
    "protocol_people_move": _book("protocol", yes=OUR_COACHES, ok=MOVED_ON),
    # Weeks and packets
    "household_today": _household("household"),
    "weeks": _household("household"),
    "week": _household("week"),
    "week_lock": _household("week", ok=MOVED_ON, post_only=True),
    "week_meal": _household("week", ok=MOVED_ON, more={"meal": "0-evening"}),
    "week_exchange": _household("week", ok=MOVED_ON, post_only=True),
    "week_gone": _household("week", ok=MOVED_ON),
    "week_changes": _household("week", ok=MOVED_ON, post_only=True),
    "week_revise": _household("week", ok=MOVED_ON, post_only=True),
    "week_status": _household("week", ok=MOVED_ON),
    "week_decide": _household("week", ok=MOVED_ON, post_only=True),
    "week_go_back": _household("week", ok=MOVED_ON, post_only=True),
    "batch": _household("household"),
    "lead_in": _household("household"),
    "lead_in_tick": _household("household", ok=MOVED_ON, post_only=True),
    "lead_in_calendar": _household("household", ok=frozenset({200, 302})),
    "week_shopping": _household("week"),
    "week_nutrition": _household("week_of_eater"),
    "stores": _household("household"),
    "store_edit": _household("store"),
    "packets": _household("household"),
    "packet": _household("packet"),
    "packet_file": _household("packet"),
    # The book
    "foods": Page(STAFF),
    "foods_import": Page(COACHES),
    "foods_file": Page(STAFF, more={"kind": "yaml"}),
    "food": _book("food"),
    "food_new": Page(COACHES),
    "food_edit": _book("food", yes=OUR_COACHES),
    "recipes": Page(STAFF),
    "recipes_import": Page(COACHES),
    "recipes_file": Page(STAFF, more={"kind": "yaml"}),
    "recipe_new": Page(COACHES),
    "recipe_read": Page(COACHES),
    "recipe": _book("recipe"),
    "recipe_edit": _book("recipe", yes=OUR_COACHES),
    "recipe_file": _book("recipe"),
    "recipe_photo": _book("recipe"),
    "recipe_lines": Page(COACHES, post_only=True),
    "recipe_preview": Page(COACHES, post_only=True),
    "recipe_archive": _book("recipe", yes=OUR_COACHES, ok=MOVED_ON, post_only=True),
    "protocols": Page(STAFF),
    "protocol_new": Page(COACHES),
    "protocol_import": Page(COACHES),
    "protocol": _book("protocol"),
    "protocol_version": _book("protocol", more={"number": "1"}),
    "protocol_changes": _book("protocol", more={"number": "1"}),
    "protocol_file": _book("protocol", more={"number": "1", "kind": "yaml"}),
    "draft_begin": _book("protocol", yes=OUR_COACHES, ok=MOVED_ON, post_only=True),
    "draft": _book("protocol", yes=OUR_COACHES),
    "draft_panel": _book("protocol", yes=OUR_COACHES),
    "draft_edit": _book("protocol", yes=OUR_COACHES, ok=MOVED_ON, post_only=True),
    "draft_gaps": _book("protocol", yes=OUR_COACHES),
    "draft_changes": _book("protocol", yes=OUR_COACHES),
    "draft_parts": _book("protocol", yes=OUR_COACHES),
    "draft_parts_step": _book("protocol", yes=OUR_COACHES, ok=MOVED_ON, post_only=True, more={"way": "undo"}),
    "draft_head": _book("protocol", yes=OUR_COACHES),
    "draft_part_new": _book("protocol", yes=OUR_COACHES, more={"noun": "stage"}),
    "draft_part_edit": _book("protocol", yes=OUR_COACHES, more={"noun": "stage", "place": "1"}),
    "draft_part_move": _book(
        "protocol",
        yes=OUR_COACHES,
        ok=MOVED_ON,
        post_only=True,
        more={"noun": "stage", "place": "1", "way": "down"},
    ),
    "draft_part_remove": _book("protocol", yes=OUR_COACHES, more={"noun": "stage", "place": "1"}),
    "draft_publish": _book("protocol", yes=OUR_COACHES, post_only=True),
    "draft_discard": _book("protocol", yes=OUR_COACHES),
    # The practice
    "practice": Page(STAFF),
    "practice_edit": Page(frozenset({"owner"})),
    "practice_set_up": Page(COACHES, ok=frozenset({200, 302})),
    "people": Page(STAFF),
    # What puts a row away comes last.
    "store_used_up": _household("store", ok=MOVED_ON, post_only=True),
    "portal_store_used_up": Page(frozenset({"client"}), row="store", ok=MOVED_ON, post_only=True),
    "food_remove": _book("food", yes=OUR_COACHES, ok=MOVED_ON, post_only=True),
    "intake_archive": _household("draft"),
    "household_archive": _household("household"),
}

RECIPE = {
    "key": "carrots",
    "title": "Carrots",
    "kind": "main",
    "slots": ["midday"],
    "main": "carrots",
    "servings": 2,
    "portion": "300 g",
    "ingredients": [{"quantity": 600, "unit": "g", "food": "carrot", "form": "boiled + peeled"}],
    "steps": ["Boil them."],
    "hands_on_min": 10,
    "elapsed_min": 30,
    "fridge_days": 3,
    "freezer_days": 0,
    "batch": True,
}


def rows_for(cast: Cast, *, foreign: bool = False) -> dict[str, dict[str, str]]:
    """URL arguments for each page: rows of the coach's household, or of the practice next door."""
    home = cast.foreign_household if foreign else cast.household
    rows = _rows(home, cast.foreign_coach if foreign else cast.coach)
    return {name: {**page.more, **rows.get(page.row, {})} for name, page in PAGES.items()}


def _rows(home: Household, coach: Membership) -> dict[str, dict[str, str]]:
    eater, client = home.eaters.get(), home.clients.get()
    enrolment = eater.enrolments.get()
    check_in = CheckInFactory(eater=eater, on=TODAY, red_flags=["fever"])
    CautionFactory(eater=eater, strength="clinician-first", rule="thyroxine")
    reminder = Reminder.objects.create(
        client=client, kind="check-in", local_date=TODAY, due_at=NOON, state=Reminder.State.FAILED
    )
    instruction = Instruction.objects.create(
        eater=eater, foods=["carrot"], said_by="Family doctor", said_on=TODAY, recorded_at=NOON
    )
    draft = IntakeDraft.objects.create(practice=home.practice, coach=coach, updated_at=NOON)
    week = Week.objects.create(household=home, start=TODAY, asked_at=NOON)
    planned_week = Week.objects.create(
        household=home, start=TODAY + timedelta(days=5), state=Week.State.PLANNED, asked_at=NOON
    )
    store = Store.objects.create(household=home, food="leek", amount_g=300, noted_on=TODAY)
    packet = Packet(
        household=home, start=TODAY, paper="a4", state=Packet.State.READY, asked_at=NOON, made_at=NOON
    )
    packet.file.save("walk.pdf", ContentFile(b"%PDF-1.7\n"), save=False)
    packet.save(force_insert=True)
    recipe = Recipe.objects.create(
        practice=home.practice, key="carrots", title="Carrots", kind="main", document=RECIPE
    )
    photo = RecipePhoto(recipe=recipe, alt="Carrots", width=1, height=1)
    photo.file.save("walk.jpg", ContentFile(b"a photo"), save=False)
    photo.save(force_insert=True)
    food = FoodFactory(practice=home.practice, key="leek")
    draft_begin(protocol=enrolment.version.protocol, by=None, at=NOON)
    assert CheckIn.objects.filter(eater=eater).count() == 1
    by_id = {
        "household": home,
        "client": client,
        "eater": eater,
        "enrolment": enrolment,
        "check_in": check_in,
        "reminder": reminder,
        "instruction": instruction,
        "draft": draft,
        "week": week,
        "planned_week": planned_week,
        "store": store,
        "packet": packet,
        "recipe": recipe,
        "food": food,
        "protocol": enrolment.version.protocol,
    }
    tokens = {
        "mail_stop": mail_stop_url(client_id=client.pk, kind="check-in"),
        "check_in_link": check_in_link(eater=eater, on=TODAY - timedelta(days=1)),
    }
    of_two = {"week_of_eater": {"pk": str(week.pk), "eater": str(eater.pk)}}
    return (
        {name: {"pk": str(row.pk)} for name, row in by_id.items()}
        | of_two
        | {name: {"token": url.rstrip("/").rsplit("/", 1)[-1]} for name, url in tokens.items()}
    )

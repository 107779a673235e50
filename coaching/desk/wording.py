"""The board's words for why a client needs the coach."""

from django.utils.translation import gettext_lazy as _

ATTENTION = {
    "red-flag": _("Red flag from %(eater)s: seek-care advice was shown"),
    "do-not-start": _("Screening says do not start"),
    "clinician-first": _("A clinician has to agree first"),
    "worse": _("%(eater)s feels worse: %(now)s of 10, was %(before)s"),
    "no-packet": _("No packet yet, day one is in %(days)s days"),
    "silent": _("%(eater)s: no check-in for %(days)s days"),
    "long-hold": _("%(eater)s on hold for %(days)s days"),
    "review-overdue": _("%(eater)s: day %(days)s, the stage is meant for %(most)s at most"),
    "ready-to-review": _("%(eater)s: day %(days)s, time to decide"),
    "starts-soon": _("Starts in %(days)s days"),
    "no-protocol": _("Nobody in this household follows a protocol yet"),
}
ATTENTION_SHORT = {
    "red-flag": _("Red flag"),
    "do-not-start": _("Do not start"),
    "clinician-first": _("Clinician first"),
    "worse": _("Feels worse"),
    "no-packet": _("No packet"),
    "silent": _("Silent"),
    "long-hold": _("Long hold"),
    "review-overdue": _("Review overdue"),
    "ready-to-review": _("Time to decide"),
    "starts-soon": _("Starts soon"),
    "no-protocol": _("No protocol"),
}

REMINDER_WHY = {
    "archived": _("The household was archived."),
    "inactive": _("The client’s account or the protocol is no longer active."),
    "stopped": _("The client does not want this kind of mail."),
    "not-needed": _("It was done, or its date was moved, before the mail was due to go."),
    "late": _("It could not go out in time, and would have said something untrue."),
    "no-address": _("The practice has no postal address yet, and mail must carry one."),
    "refused": _(
        "The mail server says there is no such address. Correct the client’s address, then try again."
    ),
    "given-up": _("The mail server could not be reached in five attempts."),
}

MAIL_KINDS = {
    "countdown": _("The days left until I begin"),
    "check-in": _("A check-in that is still open"),
    "lead-in": _("Things to get ready before I begin"),
}
"""The kinds of reminders, as the person who gets them would say it."""

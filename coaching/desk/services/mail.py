"""Mail: one function draws it, one sends it. What is previewed is what is sent.

Nothing about anyone's health stands in a subject, a body or a link: mail is read over shoulders and kept for ever. It
says that something waits, and links to where it is.
"""

import smtplib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from email.utils import format_datetime, formataddr, parseaddr
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.utils import translation

from coaching.outbox.handlers import Failed
from coaching.practice.models import Practice

ADDRESS_REFUSED = frozenset({550, 551, 553})
"""SMTP replies that mean the mailbox itself (RFC 5321, 4.2.3), unless an enhanced code says otherwise."""


class AddressRefused(Exception):
    """The mail server says for good that there is no such mailbox."""


@dataclass(frozen=True, slots=True)
class Mail:
    """One message as it will be read: a subject line and the same words twice, plain and marked up."""

    subject: str
    text: str
    html: str


def render_mail(*, kind: str, language: str, facts: Mapping[str, Any]) -> Mail:
    """Draw a message of a kind (``countdown``, ``check-in``, ``lead-in``, ``invitation``, ``tell-coach``).

    ``facts`` fill the three templates of that kind; every kind needs ``practice`` and ``first_name``, and ``stop_url``
    where the reader may stop such mail. An unknown language falls back to the default one.
    """
    spoken = language if language in dict(settings.LANGUAGES) else settings.LANGUAGE_CODE
    with translation.override(spoken):
        context = {"site_url": settings.SITE_URL, "language": spoken, **facts}
        subject = _one_line(render_to_string(f"mail/{kind}_subject.txt", context))
        text = render_to_string(f"mail/{kind}.txt", context)
        html = render_to_string(f"mail/{kind}.html", {**context, "subject": subject})
    return Mail(subject=subject, text=_tidy(text), html=html)


def deliver(
    *,
    mail: Mail,
    practice: Practice,
    to: list[tuple[str, str]],
    work_id: UUID,
    at: datetime,
    stop_url: str = "",
) -> str:
    """Hand a message to the mail server and return its Message-ID. Never call this inside a transaction.

    ``to`` are (name, address) pairs. The Message-ID is the owed work's id, so a repeat after a crash is recognised as
    the same message. ``stop_url`` puts both one-click headers on it (RFC 8058). Raises AddressRefused when the mailbox
    does not exist, and Failed when it is worth trying again.
    """
    message_id = f"<{work_id}@{settings.MAIL_DOMAIN}>"
    headers = {
        "Message-ID": message_id,
        "Date": format_datetime(at),
        # RFC 3834: no out-of-office answers, please.
        "Auto-Submitted": "auto-generated",
    }
    if stop_url:
        headers["List-Unsubscribe"] = f"<{stop_url}>"
        headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    message = EmailMultiAlternatives(
        subject=mail.subject,
        body=mail.text,
        from_email=formataddr((_one_line(practice.name), parseaddr(settings.DEFAULT_FROM_EMAIL)[1])),
        to=[formataddr((_one_line(name), address)) for name, address in to],
        reply_to=[formataddr((_one_line(practice.name), practice.email))] if practice.email else None,
        headers=headers,
    )
    message.attach_alternative(mail.html, "text/html")
    try:
        message.send()
    except smtplib.SMTPRecipientsRefused as refused:
        if all(_is_no_mailbox(code, reply) for code, reply in refused.recipients.values()):
            raise AddressRefused from None
        raise _not_taken(max(code for code, _ in refused.recipients.values())) from None
    except smtplib.SMTPResponseException as refused:
        raise _not_taken(refused.smtp_code) from None
    except OSError as error:
        # Also what smtplib raises when the server hangs up: it may have taken the message, hence the fixed id.
        raise Failed(f"the mail server could not be reached ({type(error).__name__})") from None
    return message_id


def _not_taken(code: int) -> Failed:
    """The server's own words are left out: they like to repeat the address."""
    return Failed(f"the mail server answered {code}")


def first_name(name: str) -> str:
    """How a letter greets: the first word of a name."""
    return name.split()[0] if name.split() else ""


def _is_no_mailbox(code: int, reply: bytes) -> bool:
    """Permanent, and about the address: an enhanced 5.1.x (RFC 3463), or one of the plain codes without any."""
    enhanced = reply.split(b" ", 1)[0]
    if enhanced.count(b".") == 2:
        return enhanced.startswith(b"5.1.")
    return code in ADDRESS_REFUSED


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _tidy(text: str) -> str:
    """At most one blank line between paragraphs, none at the ends: templates leave more."""
    lines: list[str] = []
    for line in (line.strip() for line in text.strip().splitlines()):
        if line or (lines and lines[-1]):
            lines.append(line)
    return "\n".join(lines) + "\n"
